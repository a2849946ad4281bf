// Uses the workshop's page as its people do, with taps and keys on several devices: serve.mjs PROGRAM. From the first day to a released job, with
// a row done again, the network gone, the power cut, and TLS. Looks at every kind of page it comes to; ends with 1 at the first thing that is not so.
import { execFileSync, spawn } from 'node:child_process';
import { once } from 'node:events';
import { cpSync, mkdirSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { dirname, join, resolve } from 'node:path';
import { createInterface } from 'node:readline';
import { fileURLToPath } from 'node:url';
import { chromium } from 'playwright-core';

const WIDTHS = [390, 820, 1280];
const TALL = 48; // pixels, of whatever is tapped
const HEAVY = 60_000; // bytes of a page
const JOB = 'ridge';
const FLAGS = ['--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking', '--disable-component-update', '--disable-sync'];

const program = resolve(process.argv[2]);
const root = join(dirname(fileURLToPath(import.meta.url)), '../..');
const photo = join(root, 'tests/cases/records/lying.jpg');
const axeSource = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
const work = mkdtempSync(join(tmpdir(), 'serve-'));
const [jobs, home] = [join(work, 'jobs'), join(work, 'home')];
const pins = {};
const looked = new Set();
const complaints = [];

function must(holds, sentence) {
  if (!holds) throw new Error(sentence);
}

/** The program itself, answering; what it says first is where. */
async function serve(port, more = []) {
  const child = spawn(program, ['serve', jobs, '--port', String(port), ...more], { env: { ...process.env, LIFTSHEET_HOME: home }, stdio: ['ignore', 'pipe', 'inherit'] });
  const [line] = await Promise.race([once(createInterface(child.stdout), 'line'), once(child, 'exit')]);
  must(typeof line === 'string', 'the program ended instead of opening its page');
  return { child, address: line.match(/https?:\/\/\S+/)[0] };
}

async function end({ child }, signal) {
  if (child.exitCode !== null || child.signalCode !== null) return;
  const gone = once(child, 'exit');
  child.kill(signal);
  await gone;
}

/** Whether the program is killed just now. */
let powerless = false;

/** A browser of its own at a screen of that size; all that it complains of, and whatever it asks another host for, is kept. */
async function device(browser, address, [width, height]) {
  const context = await browser.newContext({ viewport: { width, height } });
  const page = await context.newPage();
  const own = { context, page, address, away: false, size: { width, height } };
  page.on('console', (message) => {
    if (message.type() === 'error' && !own.away && !powerless) complaints.push(`${page.url()}: ${message.text()}`);
  });
  page.on('pageerror', (error) => complaints.push(`${page.url()}: ${error}`));
  page.on('request', (request) => {
    if (!request.url().startsWith(own.address) && !/^(data|blob):/.test(request.url())) complaints.push(`${page.url()} asks for ${request.url()}`);
  });
  page.on('dialog', (dialog) => dialog.accept());
  await page.goto(address);
  return own;
}

/** What is wrong with the page as it is drawn now. */
function faults(least) {
  const name = (element) => `${element.tagName.toLowerCase()} “${element.textContent.trim().slice(0, 40)}”`;
  const width = document.documentElement.clientWidth;
  const wide = document.documentElement.scrollWidth > width ? [`it is ${document.documentElement.scrollWidth} px wide`] : [];
  const tapped = [...document.querySelectorAll('button, a.button, a.row, nav a, header a, summary, select, input:not([type="hidden"]):not([type="checkbox"]):not([type="radio"]), label.tick')];
  const seen = tapped.filter((element) => element.checkVisibility());
  const low = seen.filter((element) => element.getBoundingClientRect().height < least - 0.5);
  return [...wide, ...low.map((element) => `${name(element)} is ${element.getBoundingClientRect().height} px high`)];
}

/** Looks at a kind of page once, at each width. */
async function look({ page, size }, kind) {
  if (looked.has(kind)) return;
  looked.add(kind);
  const found = [];
  const bytes = Buffer.byteLength(await page.content());
  if (bytes > HEAVY) found.push(`${bytes} bytes`);
  await page.evaluate(axeSource);
  for (const width of WIDTHS) {
    await page.setViewportSize({ ...size, width });
    const { violations } = await page.evaluate(() => axe.run(document, { runOnly: ['wcag2a', 'wcag2aa', 'best-practice'], resultTypes: ['violations'] }));
    found.push(...violations.map((one) => `at ${width} px ${one.id}: ${one.help}; ${one.nodes[0].html.slice(0, 100)}`));
    found.push(...(await page.evaluate(faults, TALL)).map((one) => `at ${width} px ${one}`));
  }
  await page.setViewportSize(size);
  if (found.length > 0) complaints.push(...found.map((one) => `the page of ${kind}: ${one}`));
}

/** Taps something, and waits for the page that comes. */
async function tap({ page }, locator) {
  await page.evaluate(() => (document.body.dataset.left = 'yes'));
  await locator.click();
  const come = () => document.body !== null && !document.body.dataset.left && document.readyState === 'complete';
  await page.waitForFunction(come).catch(async () => must(false, `${locator} leads nowhere: ${await page.locator('body').innerText()}`));
}

const link = ({ page }, name) => page.getByRole('link', { name }).first();
const button = ({ page }, name) => page.getByRole('button', { name }).first();
const main = ({ page }) => page.locator('main').innerText();
const alert = ({ page }) => page.getByRole('alert').allInnerTexts().then((all) => all.join(' '));

/** Opens the job's first page, or one that it leads to. */
async function open(one, name) {
  await tap(one, link(one, 'Jobs'));
  await look(one, 'jobs');
  await tap(one, one.page.locator('main a.row').first());
  await look(one, 'a job');
  if (name) await tap(one, link(one, name));
}

/** Signs in on a device where somebody else may be signed in. */
async function enter(one, name, pin = pins[name]) {
  const { page } = one;
  if ((await page.locator('header form span').allInnerTexts())[0] === name && pin === pins[name]) return;
  await tap(one, link(one, /^(Sign in|Somebody else)$/));
  await look(one, 'who signs in');
  await tap(one, link(one, name));
  await look(one, 'a PIN');
  await page.getByLabel(`PIN of ${name}`).fill(pin);
  await tap(one, button(one, `Sign in as ${name}`));
}

/** Adds somebody on the page of people; keeps the PIN that it shows once. */
async function join_(one, name, { roles = [], licences, pin } = {}) {
  const { page } = one;
  const form = page.locator('form').filter({ hasText: 'Add, and draw a PIN' });
  await form.getByLabel('Name').fill(name);
  for (const box of await form.getByRole('checkbox').all()) await box.setChecked(roles.includes(await box.getAttribute('value')));
  if (licences) await form.getByLabel(/^Licences/).fill(licences);
  if (pin) await form.getByLabel('Your PIN').fill(pin);
  await tap(one, form.getByRole('button', { name: 'Add' }));
  must(/PIN is \d{6}/.test(await main(one)), `nobody is told a PIN for ${name}: ${await main(one)}`);
  pins[name] = await page.locator('strong.big').innerText();
}

const [LEAD, HAND, TRADE] = ['R. Hazel (invented)', 'T. Alder (invented)', 'M. Rowan (invented)'];

async function firstDay(office) {
  await look(office, 'jobs, before anybody works here');
  await tap(office, link(office, "The workshop's people"));
  await look(office, 'people, before anybody works here');
  await join_(office, LEAD);
  await look(office, 'people, with a PIN');
  const wrong = pins[LEAD] === '111111' ? '222222' : '111111';
  await enter(office, LEAD, wrong);
  must(/PIN/.test(await alert(office)), 'a PIN typed wrong is not refused in words');
  await look(office, 'a PIN typed wrong');
  await tap(office, link(office, 'Jobs'));
  await enter(office, LEAD);
  await tap(office, link(office, "The workshop's people"));
  await look(office, 'people');
  await join_(office, HAND, { roles: ['fitter'], pin: pins[LEAD] });
  await join_(office, TRADE, { roles: ['tradesperson'], licences: 'refrigerant, brakes, restraint, engineer, windscreen-and-sensors, fuel, electrical', pin: pins[LEAD] });
}

/** Begins a job on a vehicle of a kind that was done before, of which nothing is measured yet. */
async function begins(one) {
  const { page } = one;
  await tap(one, link(one, 'Jobs'));
  await tap(one, link(one, 'Begin a job'));
  await tap(one, page.locator('main h2:has-text("Like one") ~ a.row').first());
  await look(one, 'a new job, like another');
  for (const [name, text] of [['name', JOB], ['identification', 'DEMO-0041'], ['spacer', '40']]) await page.locator(`[name="${name}"]`).fill(text);
  await tap(one, button(one, 'Begin the job'));
  must((await alert(one)) === '', `the job is not begun: ${await alert(one)}`);
}

/** What is typed into each field of a screen: this vehicle is just like that one, whose values stand beside. */
async function readings(one, screen) {
  const { page } = one;
  const fields = await page.locator('[name^="v:"]').evaluateAll((all) =>
    all.map((own) => {
      const last = [...own.closest('.field').querySelectorAll('p')].map((p) => p.textContent.match(/^Last time (.*)/)?.[1]);
      // What holds a connection is ticked: nothing is asked of it where something is.
      const ticked = own.closest('fieldset')?.querySelector(':checked') ? 'ticked' : '';
      const each = 'each' in own.closest('.field').dataset;
      return { name: own.name, each, chosen: own.tagName === 'SELECT', there: own.value || ticked, last: last.find(Boolean) };
    }),
  );
  const open = fields.filter((field) => field.there === '');
  for (const field of open) must(field.last, `nothing is said of the last time on ${screen} beside ${field.name}`);
  // Of the mounts only what is otherwise than at the one before is typed.
  const of = (field) => field.name.split('.').slice(0, -1).join('.');
  const told = (place) => JSON.stringify(open.filter((field) => of(field) === place).map((field) => [field.name.split('.').at(-1), field.last]));
  const places = [...new Set(open.map(of))];
  const same = places.filter((place, at) => at > 0 && place.startsWith('v:mounts.') && told(place) === told(places[at - 1]));
  for (const place of same) await page.locator(`[name="same:mount-${place.split('.')[1]}"]`).check();
  for (const { name, chosen, last } of open.filter((field) => field.each || !same.includes(of(field)))) {
    const field = page.locator(`[name="${name}"]`);
    await (chosen ? field.selectOption(last) : field.fill(last));
  }
  return open.length;
}

/** Fills in the open screen; gives how much was typed, and whether its verdict was said meanwhile. */
async function measures(one) {
  const screen = await one.page.locator('h1').innerText();
  await look(one, screen === 'Body mounts' ? 'the mounts' : 'a reading');
  const typed = await readings(one, screen);
  const says = () => /(leave|reposition|extend|replace|refer|fabricate)/i.test(document.querySelector('[data-said]').textContent);
  const said = screen !== 'Body mounts' && (await one.page.waitForFunction(says, null, { timeout: 1500 }).then(() => true, () => false));
  await tap(one, button(one, 'Write down'));
  must((await alert(one)) === '', `a reading on ${screen} is not taken: ${await alert(one)}`);
  return { typed, said };
}

/** The next screen on which something is open, from the front or from the end of the list; nothing where all is measured. */
async function opens(one, fromEnd) {
  await open(one, /^Survey/);
  await look(one, 'the survey');
  const left = one.page.locator('main a.row', { hasText: 'to be measured' });
  const count = await left.count();
  if (count === 0) return false;
  await tap(one, fromEnd ? left.nth(count - 1) : left.first());
  return true;
}

/** Two people measure the vehicle, one from its front and one from the end, until nothing is left. */
async function survey(phone, office) {
  const done = { typed: 0, said: 0 };
  const goes = async (one, fromEnd) => {
    while (await opens(one, fromEnd)) {
      const { typed, said } = await measures(one);
      done.typed += typed;
      done.said += said ? 1 : 0;
    }
  };
  await takesBack(phone);
  await Promise.all([goes(phone, false), goes(office, true)]);
  console.log(`  ${done.typed} values, ${done.said} verdicts said while they were typed`);
  must(done.typed > 200, 'the survey asks for little');
  must(done.said > 5, 'hardly a verdict is said while a reading is typed');
  await open(phone);
  must((await main(phone)).includes('Ready to begin'), `the survey leaves something open: ${await main(phone)}`);
}

/** A value is written down, with a sign that the keys for numbers do not have, and taken back. */
async function takesBack(one) {
  const { page } = one;
  await open(one, /^Survey/);
  const first = page.locator('main a.row', { hasText: 'Fuel filler hose' });
  await tap(one, first);
  await look(one, 'a reading, not taken yet');
  must(await page.locator('figure svg').count(), 'nothing shows where a connection is that is not measured yet');
  const field = page.locator('[name="v:filler-hose.overlap"]');
  await field.pressSequentially('38');
  await page.getByRole('button', { name: '±' }).click();
  await field.pressSequentially('2');
  must((await field.inputValue()) === '38±2', `the key for ± types ${await field.inputValue()}`);
  await tap(one, button(one, 'Write down'));
  await look(one, 'a value that may be taken back');
  await tap(one, button(one, 'Take it back'));
  await tap(one, first);
  must((await field.inputValue()) === '', 'what was taken back is still there');
}

/** Something right for what a task asks for. */
async function answer(field) {
  const [type, tag] = await field.evaluate((own) => [own.type, own.tagName]);
  if (tag === 'SELECT') return field.selectOption('yes');
  if (type === 'radio') return (await field.inputValue()) === 'yes' ? field.check() : undefined;
  return type === 'file' ? field.setInputFiles(photo) : field.fill(await right(field));
}

async function right(field) {
  const { type, mode, name, least, most } = await field.evaluate((own) => ({ type: own.type, mode: own.inputMode, name: own.name, ...own.dataset }));
  if (type === 'date') return /calibrated/.test(name) ? '2099-03-02' : '2026-03-02';
  if (type === 'datetime-local') return '2026-03-02T08:30';
  if (mode !== 'decimal') return 'B. Birch (invented)';
  if (/odometer/.test(name)) return '45210';
  if (/gap_before/.test(name)) return '30';
  if (/gap_after/.test(name)) return '70';
  if (least && most) return String((Number(least) + Number(most)) / 2);
  if (least) return String(Number(least) + 1);
  return most ? String(Number(most) - 1) : '30';
}

/** Fills in the open task. */
async function fill(one, own = 'form[data-keep]') {
  const form = one.page.locator(own);
  // Of many answers one tick is enough.
  const all = form.locator('[name="ticks"]');
  const ticked = (await all.count()) > 0;
  if (ticked) await look(one, 'a task with many answers');
  for (const field of await form.locator(`[name^="a:"]${ticked ? ':not([type="radio"])' : ''}`).all()) await answer(field);
  if (ticked) await all.check();
  const wrench = form.locator('[name="wrench"]');
  if (await wrench.count()) await wrench.fill('W7');
}

async function send(one, who) {
  const title = await one.page.locator('h1').innerText();
  await tap(one, button(one, `Done, as ${who}`));
  must((await alert(one)) === '', `“${title}” is not signed: ${await alert(one)}`);
}

/** Opens the first task of a list, which comes by itself after one is signed; says whether there was one. */
async function first(one, list, there = false) {
  if (!there) await open(one, list);
  await look(one, `the list ${list.source.slice(1)}`);
  const rows = one.page.locator('main a.row');
  if ((await rows.count()) === 0) return false;
  await tap(one, rows.first());
  return true;
}

/** Does every task that is somebody's turn; gives how many. */
async function does(one, who) {
  await enter(one, who);
  let done = 0;
  for (; await first(one, /^My work/, done > 0); done += 1) {
    await look(one, 'a task');
    await fill(one);
    await send(one, who);
  }
  return done;
}

/** Checks every task that waits for it; gives how many. */
async function checks(one) {
  let done = 0;
  for (; await first(one, /^To check/, done > 0); done += 1) {
    await look(one, 'a check');
    const title = await one.page.locator('h1').innerText();
    await one.page.getByLabel(`PIN of ${LEAD}`).fill(pins[LEAD]);
    await fill(one, 'main form');
    await tap(one, button(one, /^Sign /));
    must((await alert(one)) === '', `“${title}” is not signed as checked: ${await alert(one)}`);
  }
  return done;
}

async function entries(one) {
  await open(one, /^Record/);
  await look(one, 'the record');
  return one.page.locator('main tr:has(td)').allInnerTexts();
}

/** A check that is a refusal: the row opens again, with its reason. */
async function rejects(one) {
  must(await first(one, /^To check/), 'nothing waits to be checked');
  const title = await one.page.locator('h1').innerText();
  await tap(one, link(one, 'A remark, or something is wrong'));
  await look(one, 'what is wrong with a task');
  const all = one.page.getByLabel('All of these');
  if (await all.count()) await all.check();
  await one.page.getByLabel('Why').fill('the far side was not looked at');
  await one.page.getByLabel(`PIN of ${LEAD}`).fill(pins[LEAD]);
  await tap(one, button(one, 'Reject'));
  must((await alert(one)) === '', `“${title}” is not rejected: ${await alert(one)}`);
  return title;
}

async function doneAgain(phone, office) {
  const title = await rejects(office);
  await open(phone, /^My work/);
  await tap(phone, link(phone, title));
  must((await main(phone)).includes('the far side was not looked at'), 'the fitter is not told why it was rejected');
  await fill(phone);
  await send(phone, HAND);
}

/** Fills in the next task, and says that it is done while nothing answers. */
async function keeps(phone) {
  must(await first(phone, /^My work/), 'there is nothing to do while the network is gone');
  await fill(phone);
  return async () => {
    await button(phone, `Done, as ${HAND}`).click();
    await phone.page.getByText('kept on this device; nothing is signed yet').waitFor();
  };
}

/** Sends what was kept, and looks whether it was signed, and once. */
async function sends(phone, office, before) {
  must((await entries(office)).length === before, 'something is signed that was only kept');
  await tap(phone, link(phone, 'Jobs'));
  await tap(phone, button(phone, `Send as ${HAND}`));
  const after = await entries(office);
  const done = after.slice(0, after.length - before).map((line) => line.replace(/^\d+\s+\S+\s+\S+/, ''));
  must(done.length > 0 && new Set(done).size === done.length, `what was kept is not signed once: ${done.join('; ')}`);
  await tap(phone, link(phone, 'Jobs'));
  must((await button(phone, 'Send as').count()) === 0, 'what was sent is still kept');
}

/** What is sent by a person who was away for too long is led to where people sign in, and stays kept. */
async function lapses(phone) {
  await phone.page.route('**/task/*', (route) => route.fulfill({ status: 303, headers: { location: '/sign-in' } }), { times: 1 });
  await button(phone, `Send as ${HAND}`).click();
  await phone.page.getByText('Nobody is signed in here any more').waitFor();
  must((await button(phone, 'Send as').count()) === 1, 'what nobody took is not kept any more');
}

async function cut(phone, office) {
  const before = (await entries(office)).length;
  const done = await keeps(phone);
  phone.away = true;
  await phone.context.setOffline(true);
  await done();
  await phone.context.setOffline(false);
  phone.away = false;
  await lapses(phone);
  await sends(phone, office, before);
}

/** The power fails while a task is filled in; gives the program that is started again. */
async function powerCut(server, phone, office) {
  const before = await entries(office);
  const done = await keeps(phone);
  // Any open list, on whichever device, looks whether there is anything new, and finds nobody.
  powerless = true;
  await end(server, 'SIGKILL');
  await done();
  const again = await serve(new URL(server.address).port);
  // What a list asked for just before the restart is told of a moment later.
  await new Promise((later) => setTimeout(later, 1000));
  powerless = false;
  for (const [one, who] of [[office, LEAD], [phone, HAND]]) {
    await tap(one, link(one, 'Jobs'));
    must((await link(one, 'Sign in').count()) === 1, 'somebody is still signed in after the power cut');
    await enter(one, who);
  }
  must((await entries(office)).join() === before.join(), 'what was signed before the power cut is not all there');
  await sends(phone, office, before.length);
  return again;
}

/** All that is left, until the job is released. */
async function toTheEnd(phone, office) {
  // What comes due after the lift is nobody's turn today.
  const released = async () => (await open(office), (await main(office)).includes('Released'));
  for (let more = 1; !(await released()); ) {
    must(more > 0, `the job cannot be brought to its end: ${await main(office)}`);
    more = (await does(phone, HAND)) + (await does(phone, TRADE)) + (await checks(office));
  }
}

/** Goes on with the Tab key to what bears a name, or is a field of a task. */
async function tabTo({ page }, selector, text = '') {
  for (let steps = 0; steps < 80; steps += 1) {
    const there = await page.evaluate(([selector, text]) => document.activeElement.matches(selector) && document.activeElement.textContent.includes(text), [selector, text]);
    if (there) return;
    await page.keyboard.press('Tab');
  }
  throw new Error(`the Tab key does not lead to ${text || selector}`);
}

async function press(one, selector, text) {
  await tabTo(one, selector, text);
  await tap(one, { click: () => one.page.keyboard.press('Enter') });
}

/** The same by keys alone. */
async function byKeys(one) {
  const { keyboard } = one.page;
  await press(one, 'header a', 'Sign in');
  await press(one, 'a.row', HAND);
  await tabTo(one, 'input[name="pin"]');
  await keyboard.type(pins[HAND]);
  await press(one, 'button', 'Sign in as');
  await press(one, 'main a.row');
  await press(one, 'main a.row', 'My work');
  await press(one, 'main a.row');
  for (const field of await one.page.locator('form[data-keep] [name^="a:"]').all()) {
    const type = await field.evaluate((own) => own.type);
    if (type === 'radio' && (await field.inputValue()) === 'no') continue;
    await tabTo(one, `[name="${await field.getAttribute('name')}"]`);
    if (type === 'radio') await keyboard.press('Space');
    else if (type === 'text') await keyboard.type(await right(field));
    else await answer(field);
  }
  await press(one, 'button', 'Done, as');
  must((await alert(one)) === '' && /Signed|signed|done/i.test(await main(one)), `by keys alone a task is not signed: ${await alert(one)}`);
}

/** The pages that nothing else leads to. */
async function others(one) {
  await tap(one, link(one, 'Jobs'));
  await tap(one, link(one, 'Begin a job'));
  await look(one, 'a new job');
  await tap(one, one.page.locator('main a.row').first());
  await look(one, 'a new job of a kind of vehicle');
  await open(one, /^Study/);
  await look(one, 'a question');
  await tap(one, one.page.locator('main form button').first());
  await look(one, 'an answer');
  await open(one, /^Survey/);
  await open(one);
  for (const paper of await one.page.locator('a[href*="/paper/"]').all()) {
    await tap(one, paper);
    await one.page.goBack({ waitUntil: 'load' });
  }
  one.away = true; // the browser complains of what it is refused
  await one.page.goto(`${one.address}/nowhere`);
  await look(one, 'no such page');
  one.away = false;
  await tap(one, link(one, 'Back'));
}

/** A browser that trusts the certificate as a device does that was given it. */
async function trusting() {
  const database = join(work, 'device/.pki/nssdb');
  mkdirSync(database, { recursive: true });
  execFileSync('certutil', ['-d', `sql:${database}`, '-N', '--empty-password']);
  execFileSync('certutil', ['-d', `sql:${database}`, '-A', '-n', 'page', '-t', 'P,,', '-i', join(home, 'page.certificate.pem')]);
  return chromium.launch({ executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium', args: FLAGS, env: { ...process.env, HOME: join(work, 'device') } });
}

async function onTheNetwork(stranger) {
  const server = await serve(0, ['--on', '127.0.0.1']);
  const address = `https://localhost:${new URL(server.address).port}`;
  const refused = await device(stranger, address, [390, 844]).then(() => false, (error) => /ERR_CERT_AUTHORITY_INVALID/.test(error));
  must(refused, 'a browser that was not given the certificate trusts it');
  const browser = await trusting();
  try {
    const phone = await device(browser, address, [390, 844]);
    await look(phone, 'jobs, with the code for a camera');
    must((await main(phone)).includes('Sign in to see the jobs'), 'a stranger on the network sees the jobs');
    await enter(phone, HAND);
    await open(phone, /^Record/);
    must((await main(phone)).includes(HAND), 'by TLS the record is not there');
    await open(phone, /^Signed sheet/);
    must(/SHA-256 fingerprint\s+[0-9A-F:]{40}/.test(await phone.page.locator('body').innerText()), 'the printed sheet does not say what certificate the page has');
  } finally {
    await browser.close();
    await end(server, 'SIGTERM');
  }
}

async function main_(browser) {
  mkdirSync(jobs);
  cpSync(join(root, 'rules/demo/forestry-crew.yaml'), join(jobs, 'zz-before.yaml'));
  const step = async (what, made) => {
    const [from, result] = [Date.now(), await made];
    console.log(`${what}: ${((Date.now() - from) / 1000).toFixed(1)} s`);
    return result;
  };
  let server = await serve(0);
  try {
    const office = await device(browser, server.address, [820, 1180]);
    await step('the first day', firstDay(office));
    const phone = await device(browser, server.address, [390, 844]);
    await enter(phone, HAND);
    await step('a new job', begins(office));
    await step('the survey, from blank', survey(phone, office));
    await step('by keys alone', byKeys(await device(browser, server.address, [1280, 800])));
    await step('a task that is rejected, and done again', doneAgain(phone, office));
    await step('the network is gone', cut(phone, office));
    await step('checked so far', checks(office));
    server = await step('the power fails', powerCut(server, phone, office));
    await step('to the release', toTheEnd(phone, office));
    await step('all other pages', others(office));
  } finally {
    // An open list would look for a program that is not there any more.
    await Promise.all(browser.contexts().map((context) => context.close()));
    await end(server, 'SIGTERM');
  }
  await step('on the network', onTheNetwork(browser));
}

const browser = await chromium.launch({ executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium', args: FLAGS });
try {
  await main_(browser);
} catch (error) {
  complaints.push(error.message);
} finally {
  await browser.close();
  rmSync(work, { recursive: true });
}
for (const one of new Set(complaints)) console.log(one);
console.log(complaints.length === 0 ? `the workshop's page serves: ${looked.size} kinds of page` : "the workshop's page does not serve as it should");
process.exitCode = complaints.length === 0 ? 0 : 1;
