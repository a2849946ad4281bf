// Checks HTML pages as their users see them: on a phone, on a screen reader, on paper. Takes files; prints every finding and
// `N passed, N failed`; ends with 1 when something failed.
import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { basename, join, resolve } from 'node:path';
import { pathToFileURL } from 'node:url';
import { chromium } from 'playwright-core';
import { limitOf } from './limits.mjs';

const PHONE = 360;
const PAPERS = { A4: [595, 842], Letter: [612, 792] };
const TEXT_LEAST = 12; // 9 pt in CSS pixels
const MM = 96 / 25.4;
const DOTS = 2; // a millimetre, of the pictures in which the filled area is measured
const GAP = 8 * DOTS; // rows without ink from which on paper counts as empty: more than a blank to write in, a heading's distance

const require = createRequire(import.meta.url);
const axeSource = readFileSync(require.resolve('axe-core/axe.min.js'), 'utf8');
const vnu = require.resolve('vnu-jar/build/dist/vnu.jar');
const files = process.argv.slice(2).map((file) => resolve(file));
const work = mkdtempSync(join(tmpdir(), 'pages-'));

let passed = 0;
let failed = 0;
function report(file, check, findings) {
  if (findings.length === 0) {
    passed += 1;
    return;
  }
  failed += 1;
  console.log(`${basename(file)}: ${check}`);
  for (const finding of findings.slice(0, 10)) console.log(`  ${finding}`);
  if (findings.length > 10) console.log(`  and ${findings.length - 10} more`);
}

/** What the HTML and CSS checker calls an error, by file. */
function markupErrors() {
  // The checker speaks on standard error.
  const run = ['-c', 'exec "$@" 2>&1 >/dev/null', 'sh', 'java', '-jar', vnu, '--format', 'json', '--exit-zero-always'];
  const output = execFileSync('sh', [...run, ...files], { maxBuffer: 1 << 28 });
  const errors = JSON.parse(output).messages.filter((message) => message.type !== 'info');
  return (file) =>
    errors
      .filter((message) => message.url === undefined || message.url.endsWith(encodeURI(file)))
      .map((message) => `${message.lastLine}:${message.lastColumn ?? 0} ${message.message}`);
}

/** Elements that stick out to the right, or whose content does. */
function sticksOut() {
  const width = document.documentElement.clientWidth;
  const name = (element) => `${element.tagName.toLowerCase()} “${element.textContent.trim().slice(0, 40)}”`;
  const out = [...document.body.querySelectorAll('*')].filter((element) => {
    const style = getComputedStyle(element);
    // What only screen readers see is clipped on purpose.
    const hidden = (one) => one !== null && getComputedStyle(one).clipPath !== 'none';
    const scrolled = (one) => one !== null && getComputedStyle(one).overflowX === 'auto';
    if (scrolled(element.closest('figure.picture'))) return false;
    if (hidden(element) || hidden(element.closest('thead'))) return false;
    // Words of a scaled picture are measured before and after it is scaled.
    const inside = !(element instanceof SVGElement) && style.display !== 'inline' && element.clientWidth > 0 && element.scrollWidth > element.clientWidth + 1;
    return inside || element.getBoundingClientRect().right > width + 1;
  });
  return out.map(name);
}

/** Words in pictures that come out too small to read; a photograph in a table is looked at by itself. */
function smallWords(least) {
  const pictures = [...document.querySelectorAll('figure.picture svg')].filter((svg) => !svg.closest('td') && svg.viewBox.baseVal !== null && svg.getClientRects().length > 0);
  return pictures.flatMap((svg) => {
    const scale = svg.getBoundingClientRect().width / svg.viewBox.baseVal.width;
    const small = [...svg.querySelectorAll('text')].filter((text) => parseFloat(getComputedStyle(text).fontSize) * scale < least - 0.01);
    return small.map((text) => `“${text.textContent.slice(0, 40)}” at ${(parseFloat(getComputedStyle(text).fontSize) * scale).toFixed(1)} px`);
  });
}

/** Words of a picture that lie on others or leave its frame, by the boxes that the browser gives them. */
function coveredWords() {
  const NEAR = 1; // above and below its letters a box has room of its own
  const box = (element) => {
    const { left, right, top, bottom } = element.getBoundingClientRect();
    return { left, right, top: top + NEAR, bottom: bottom - NEAR, words: element.textContent.slice(0, 40) };
  };
  return [...document.querySelectorAll('svg')].flatMap((svg) => {
    const frame = svg.getBoundingClientRect();
    const words = [...svg.querySelectorAll('text')].map(box);
    const out = words.filter(({ left, right, top, bottom }) => left < frame.left || right > frame.right || top < frame.top || bottom > frame.bottom);
    const on = (a, b) => a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;
    const pairs = words.flatMap((a, index) => words.slice(index + 1).filter((b) => on(a, b)).map((b) => `“${a.words}” lies on “${b.words}”`));
    return [...out.map((one) => `“${one.words}” leaves its picture`), ...pairs];
  });
}

/** The check of words in pictures must find words that lie on others, and words that leave the frame, and nothing else. */
async function findsCoveredWords(browser) {
  const page = await browser.newPage();
  const text = (x, y, words) => `<text x="${x}" y="${y}">${words}</text>`;
  const words = [text(10, 20, 'first'), text(20, 25, 'second'), text(10, 60, 'third'), text(180, 60, 'fourth')];
  await page.setContent(`<svg width="200" height="100" viewBox="0 0 200 100" font-size="12.5">${words.join('')}</svg>`);
  const found = (await page.evaluate(coveredWords)).join('; ');
  await page.close();
  return found === '“fourth” leaves its picture; “first” lies on “second”' ? [] : [`found only: ${found}`];
}

/** The sheet of paper as the style sheet has it, in CSS pixels. */
function paper() {
  const found = { size: '', top: 0, right: 0, bottom: 0, left: 0 };
  for (const sheet of document.styleSheets) {
    for (const rule of sheet.cssRules) {
      if (!(rule instanceof CSSPageRule) || rule.selectorText !== '') continue;
      const value = (property) => rule.style.getPropertyValue(property);
      found.size = value('size') || found.size;
      for (const side of ['top', 'right', 'bottom', 'left']) {
        const margin = value(`margin-${side}`);
        if (margin.endsWith('mm')) found[side] = parseFloat(margin);
      }
    }
  }
  return found;
}

/** Text too small to read under a vehicle. */
function smallText(least) {
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  const small = [];
  while (walker.nextNode()) {
    const { textContent, parentElement } = walker.currentNode;
    const size = parseFloat(getComputedStyle(parentElement).fontSize);
    if (textContent.trim() !== '' && size < least - 0.01) small.push(`${size} px “${textContent.trim().slice(0, 40)}”`);
  }
  return small;
}

/** Pieces of tasks that would be split between two sheets of paper: a task goes on overleaf between its pieces, never within one; a long row between its boxes. */
function splitTasks(height) {
  const long = (row) => row.querySelectorAll('.ask').length > 4 || row.querySelectorAll('.keep').length > 8;
  const all = [...document.querySelectorAll('.task')].flatMap((task) => [...task.querySelectorAll(':scope > p, :scope > ol > li, :scope > ul > li, tr')]);
  const tasks = all.flatMap((piece) => (long(piece) ? [...piece.querySelectorAll('.ask:not(.tick), .keep')] : [piece]));
  const split = tasks.filter((task) => {
    const avoids = getComputedStyle(task).breakInside.startsWith('avoid');
    return !avoids || task.getBoundingClientRect().height > height;
  });
  return split.map((task) => `${Math.round(task.getBoundingClientRect().height)} of ${Math.round(height)} px “${task.textContent.trim().slice(0, 40)}”`);
}

/** Tick boxes without a name, or tasks with the name of another. */
function badNames() {
  const name = (box) => box.getAttribute('aria-label')?.trim() ?? '';
  const boxes = [...document.querySelectorAll('input[type=checkbox]')];
  const nameless = boxes.filter((box) => name(box) === '').map(() => 'a tick box has no name');
  const tasks = [...document.querySelectorAll('.task > input')].map(name);
  return [...nameless, ...tasks.filter((task, index) => tasks.indexOf(task) !== index).map((task) => `two tasks are named “${task}”`)];
}

async function accessibility(page) {
  await page.evaluate(axeSource);
  const tags = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'];
  const result = await page.evaluate((tags) => axe.run(document, { runOnly: tags, resultTypes: ['violations'] }), tags);
  return result.violations.map((v) => `${v.id} (${v.impact}) at ${v.nodes.length} places: ${v.help}; ${v.nodes[0].html.slice(0, 100)}`);
}

/** The words of one sheet of a printed file within its margins. */
function words(file, number, crop) {
  const text = execFileSync('pdftotext', ['-f', String(number), '-l', String(number), ...crop, file, '-'], { encoding: 'utf8' });
  return text.split(/\s+/).filter((word) => word !== '');
}

/** Words that reach over the lower margin of their sheet, and so are cut off; what stands wholly in it is the foot. */
function cutWords(file, { bottom }) {
  const text = execFileSync('pdftotext', ['-bbox', file, '-'], { encoding: 'utf8', maxBuffer: 1e9 });
  return text.split('<page').slice(1).flatMap((page, index) => {
    const edge = Number(page.match(/height="([\d.]+)"/)[1]) - (bottom * 72) / 25.4;
    const words = [...page.matchAll(/yMin="([\d.]+)" xMax="[\d.]+" yMax="([\d.]+)">(.*?)</g)];
    // The box of a word is somewhat higher than its letters.
    const over = words.filter(([, top, end]) => top < edge - 2 && end > edge + 2);
    return over.map(([, , , word]) => `sheet ${index + 1}: ${word}`);
  });
}

/** How much of each sheet is filled within its margins, from 0 to 1: in either half, the height without what is empty for longer than [`GAP`]. */
function fills(file, { top, right, bottom, left }) {
  const prefix = join(work, 'fill');
  execFileSync('pdftoppm', ['-gray', '-r', String(25.4 * DOTS), file, prefix]);
  const pictures = readdirSync(work).filter((name) => name.startsWith('fill-')).sort();
  return pictures.map((name) => {
    const picture = readFileSync(join(work, name));
    rmSync(join(work, name));
    const [head, width, height] = picture.toString('latin1', 0, 40).match(/^P5\s+(\d+)\s+(\d+)\s+255\s/).map((part, index) => (index === 0 ? part.length : Number(part)));
    const halves = [
      [left * DOTS, width / 2 - DOTS],
      [width / 2 + DOTS, width - right * DOTS],
    ].map((half) => half.map(Math.round));
    const rows = [Math.round(top * DOTS), Math.round(height - bottom * DOTS)];
    const filled = halves.map(([from, to]) => {
      let empty = 0;
      let run = 0;
      for (let row = rows[0]; row <= rows[1]; row += 1) {
        const line = picture.subarray(head + row * width + from, head + row * width + to);
        if (row < rows[1] && !line.some((shade) => shade < 128)) {
          run += 1;
          continue;
        }
        if (run > GAP) empty += run;
        run = 0;
      }
      return 1 - empty / (rows[1] - rows[0]);
    });
    return (filled[0] + filled[1]) / 2;
  });
}

/** What a stretch of a document begins with, and whether its pages are for the pillar. */
function stretches() {
  return [...document.querySelectorAll('main h2')].map((head) => ({ text: head.textContent.replace(/\s+/g, ''), pillar: /^raise-.*-side$/.test(head.id), large: document.querySelector('main.large') !== null }));
}

/** The printed file: its paper, sheets that carry nothing but their head and foot, how many there are and how full they are. */
function printed(pdf, sheet, heads, limit) {
  const file = join(work, 'page.pdf');
  writeFileSync(file, pdf);
  const info = execFileSync('pdfinfo', [file], { encoding: 'utf8' });
  const [, width, height] = info.match(/Page size:\s+([\d.]+) x ([\d.]+)/).map(Number);
  const pages = Number(info.match(/Pages:\s+(\d+)/)[1]);
  const known = Object.entries(PAPERS).find(([, [w, h]]) => Math.abs(w - width) < 1 && Math.abs(h - height) < 1);
  const size = known?.[0].toLowerCase() === sheet.size.toLowerCase() ? [] : [`${width} by ${height} pt, not ${sheet.size}`];
  const point = 72 / 25.4;
  const crop = [
    ['-x', sheet.left * point],
    ['-y', sheet.top * point],
    ['-W', width - (sheet.left + sheet.right) * point],
    ['-H', height - (sheet.top + sheet.bottom) * point],
  ].flatMap(([flag, value]) => [flag, String(Math.round(value))]);
  const texts = Array.from({ length: pages }, (_, index) => words(file, index + 1, crop));
  const empty = texts.flatMap((text, index) => (text.length < 3 ? [`sheet ${index + 1} of ${pages} is empty`] : []));
  // A page's first words tell which stretch begins on it; the page before it is that stretch's last.
  const begins = texts.map((text) => heads.find((head) => text.join('').startsWith(head.text)));
  // At 14 pt throughout it is printed on one side.
  const front = begins.flatMap((head, index) => (head?.pillar && !head.large && index % 2 === 1 ? [`sheet ${index + 1} is for the pillar and on a back side`] : []));
  const counts = texts.map((_, index) => !begins[index]?.pillar && index + 1 < pages && begins[index + 1] === undefined);
  const all = fills(file, sheet);
  const counted = all.filter((_, index) => counts[index]);
  const mean = counted.length === 0 ? 1 : counted.reduce((sum, fill) => sum + fill, 0) / counted.length;
  const figures = `${pages} pages, mean fill ${mean.toFixed(2)} (${all.map((fill, index) => (counts[index] ? fill.toFixed(2) : `[${fill.toFixed(2)}]`)).join(' ')})`;
  const long = pages > (limit.pages ?? Infinity) ? [`${figures}; asked for: at most ${limit.pages} pages`] : [];
  const bare = mean < (limit.fill ?? 0) ? [`${figures}; asked for: at least ${limit.fill}`] : [];
  return { size, empty, cut: cutWords(file, sheet), front, long, bare, figures };
}

async function check(browser, file, errors) {
  const context = await browser.newContext({ offline: true, bypassCSP: true, viewport: { width: 1000, height: 800 } });
  const page = await context.newPage();
  const url = pathToFileURL(file).href;
  const requests = [];
  page.on('request', (request) => {
    if (request.url() !== url) requests.push(request.url());
  });
  const complaints = [];
  page.on('console', (message) => {
    if (message.type() === 'error') complaints.push(message.text());
  });
  await page.goto(url);

  report(file, 'HTML and CSS are valid', errors(file));
  report(file, 'nobody is shut out', await accessibility(page));
  report(file, 'tick boxes are named', await page.evaluate(badNames));
  report(file, 'no script', await page.evaluate(() => [...document.scripts].map((script) => script.outerHTML.slice(0, 80))));

  report(file, 'no word of a picture is covered or cut off', await page.evaluate(coveredWords));

  await page.setViewportSize({ width: PHONE, height: 740 });
  report(file, `fits a screen of ${PHONE} px`, await page.evaluate(sticksOut));

  await page.setViewportSize({ width: 390, height: 740 });
  report(file, 'words in pictures are at least 9 px on a phone', await page.evaluate(smallWords, 9));

  const sheet = await page.evaluate(paper);
  const points = Object.entries(PAPERS).find(([name]) => name.toLowerCase() === sheet.size.toLowerCase())?.[1] ?? PAPERS.A4;
  const pixels = points.map((point) => (point * 96) / 72);
  const inside = [pixels[0] - (sheet.left + sheet.right) * MM, pixels[1] - (sheet.top + sheet.bottom) * MM];
  await page.emulateMedia({ media: 'print' });
  await page.setViewportSize({ width: Math.floor(inside[0]), height: Math.floor(inside[1]) });
  report(file, 'fits its paper', await page.evaluate(sticksOut));
  report(file, 'no text under 9 pt on paper', await page.evaluate(smallText, TEXT_LEAST));
  report(file, 'no word of a picture under 9 pt on paper', await page.evaluate(smallWords, TEXT_LEAST));
  report(file, 'no piece of a task is split between sheets', await page.evaluate(splitTasks, inside[1]));

  const limit = limitOf(basename(file, '.html'));
  const pdf = await page.pdf({ preferCSSPageSize: true, printBackground: false });
  const { size, empty, cut, front, long, bare, figures } = printed(pdf, sheet, await page.evaluate(stretches), limit);
  console.log(`${basename(file)}: ${figures}`);
  report(file, 'prints on its paper', size);
  report(file, 'no empty sheet', empty);
  report(file, 'no word is cut off by the foot of its sheet', cut);
  report(file, 'pages for the pillar begin on a front side', front);
  report(file, 'no longer than asked', long);
  report(file, 'its pages are filled', bare);
  report(file, 'no request leaves the page', requests);
  report(file, 'the browser does not complain', complaints);
  await context.close();
}

const errors = markupErrors();
const flags = ['--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking', '--disable-component-update', '--disable-sync'];
const browser = await chromium.launch({ executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium', args: flags });
try {
  report('check.mjs', 'covered words are found', await findsCoveredWords(browser));
  for (const file of files) await check(browser, file, errors);
} finally {
  await browser.close();
  rmSync(work, { recursive: true });
}
console.log(`${passed} passed, ${failed} failed`);
process.exitCode = failed > 0 ? 1 : 0;
