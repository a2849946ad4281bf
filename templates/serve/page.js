// What the pages do more where a script runs: they say at once what a value comes to, show what others have written, and keep on this
// device what could not be sent. Every form works without it.
'use strict';

const seconds = 1000;
const OUT = 'Nobody is signed in here any more: sign in, and send it then.';

// What could not be sent, on this device: its page, its fields with their photographs, whose it is, and when it was done.
const kept = {
  open: () => new Promise((resolve, reject) => {
    const request = indexedDB.open('liftsheet', 1);
    request.onupgradeneeded = () => request.result.createObjectStore('kept', { keyPath: 'id', autoIncrement: true });
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  }),
  async with(mode, act) {
    const base = await kept.open();
    return new Promise((resolve, reject) => {
      const work = base.transaction('kept', mode);
      const request = act(work.objectStore('kept'));
      work.oncomplete = () => resolve(request.result);
      work.onerror = () => reject(work.error);
    });
  },
  all: () => kept.with('readonly', store => store.getAll()),
  put: one => kept.with('readwrite', store => store.put(one)),
  drop: id => kept.with('readwrite', store => store.delete(id)),
};

const element = (name, text, attributes = {}) => {
  const made = document.createElement(name);
  made.textContent = text;
  Object.entries(attributes).forEach(([key, value]) => made.setAttribute(key, value));
  return made;
};

const person = () => document.querySelector('header form span')?.textContent ?? '';
const token = () => document.querySelector('input[name="form"]')?.value ?? '';

// Puts another page in the place of this one, as a link would.
function show(html, address) {
  const page = new DOMParser().parseFromString(html, 'text/html');
  history.pushState(null, '', address);
  document.title = page.title;
  document.body.replaceWith(page.body);
  window.scrollTo(0, 0);
  begin();
}

// A notice under the heading; the one before of the same kind goes.
function notice(kind, ...content) {
  document.querySelector(`[data-notice="${kind}"]`)?.remove();
  if (content.length === 0) return;
  const box = element('div', '', { class: 'notice', role: 'status', 'data-notice': kind });
  box.append(...content);
  document.querySelector('h1')?.after(box);
}

async function send(address, fields) {
  const body = new FormData();
  fields.forEach(([name, value]) => body.append(name, value));
  const plain = ![...body.values()].some(value => value instanceof Blob);
  return fetch(address, { method: 'POST', body: plain ? new URLSearchParams(body) : body });
}

// Whoever was away for too long is led to where people sign in, and nothing was taken.
const signedOut = answer => new URL(answer.url).pathname === '/sign-in';

async function submitted(event) {
  const form = event.target;
  event.preventDefault();
  const observed = form.elements.observed;
  if (observed) observed.value = new Date().toISOString().slice(0, 19) + 'Z';
  const fields = [...new FormData(form, event.submitter)];
  const address = form.action;
  let why = OUT;
  try {
    const answer = await send(address, fields);
    if (!signedOut(answer)) {
      show(await answer.text(), answer.url);
      return;
    }
  } catch {
    why = 'There is no network.';
  }
  // Checks and hold points are made with the network only.
  if (!form.querySelector('input[name="act"][value="done"]') && !form.dataset.verdict) {
    notice('network', element('p', `${why} Nothing is signed.`));
    return;
  }
  await kept.put({ address, title: form.dataset.keep, fields, person: person(), at: new Date().toISOString() });
  await list(`${why} What was typed is kept on this device; nothing is signed yet.`);
}

// What is kept on this device, each with a way to send it.
async function list(first) {
  const all = await kept.all();
  const lines = all.map(one => {
    const line = element('p', `${one.title}: kept ${one.at.slice(0, 16).replace('T', ' ')} UTC by ${one.person}. ${one.why ?? ''}`);
    const own = one.person === person();
    const button = element('button', own ? `Send as ${one.person}` : `${one.person} sends it, signed in`, { class: 'small', type: 'button' });
    button.disabled = !own;
    button.addEventListener('click', () => again(one));
    const away = element('button', 'Throw away', { class: 'small', type: 'button' });
    away.addEventListener('click', async () => {
      if (!window.confirm('Throw away what was typed?')) return;
      await kept.drop(one.id);
      await list();
    });
    line.append(element('br', ''), button, ' ', away);
    return line;
  });
  const heading = first ? [element('p', first)] : all.length > 0 ? [element('p', 'Kept on this device, and not signed:')] : [];
  notice('network', ...heading, ...lines);
}

async function again(one) {
  try {
    const fields = one.fields.map(([name, value]) => (name === 'form' ? [name, token()] : [name, value]));
    const answer = await send(one.address, fields);
    const html = await answer.text();
    // A form that comes back was not taken, and its page says why.
    const page = new DOMParser().parseFromString(html, 'text/html');
    const why = signedOut(answer) ? OUT : page.querySelector('[role="alert"]')?.textContent.trim();
    if (why) {
      await kept.put({ ...one, why: `Not taken: ${why}` });
      await list();
      return;
    }
    await kept.drop(one.id);
    show(html, answer.url);
  } catch {
    await list('There is still no network.');
  }
}

// What the typed values would come to, a moment after the last key.
function verdicts(form) {
  const said = form.querySelector('[data-said]');
  let waiting;
  form.addEventListener('input', () => {
    clearTimeout(waiting);
    waiting = setTimeout(async () => {
      try {
        const answer = await send(form.dataset.verdict, [...new FormData(form)]);
        const { said: verdict, faults } = await answer.json();
        said.textContent = [...faults, ...verdict].join(' ');
      } catch {
        said.textContent = '';
      }
    }, 0.4 * seconds);
  });
}

// A number out of its limits is said at once.
function limits(form) {
  const said = form.querySelector('[data-said]');
  form.addEventListener('input', () => {
    const out = [...form.querySelectorAll('[data-least], [data-most]')].filter(field => {
      // What has a unit of its own is read by whoever takes it.
      const number = /^[\d\s.,±-]+$/.test(field.value) ? parseFloat(field.value.replace(',', '.')) : NaN;
      const { least, most } = field.dataset;
      return number < parseFloat(least) || number > parseFloat(most);
    });
    said.textContent = out.map(field => `${field.value} is out of limits: ${field.labels[0].textContent}.`).join(' ');
  });
}

// The keys for numbers of a telephone have no signs: those of a field stand beside it as long as it is filled in.
const signs = element('span', '', { class: 'signs' });
document.addEventListener('focusin', ({ target: field }) => {
  if (!field.dataset.signs) return;
  const keys = [...field.dataset.signs].map(sign => {
    const key = element('button', sign === ' ' ? 'space' : sign, { type: 'button', tabindex: '-1' });
    key.addEventListener('mousedown', event => event.preventDefault());
    key.addEventListener('click', () => {
      field.setRangeText(sign, field.selectionStart, field.selectionEnd, 'end');
      field.dispatchEvent(new Event('input', { bubbles: true }));
    });
    return key;
  });
  signs.replaceChildren(...keys);
  field.after(signs);
});

// A list that others change is looked at again while it is seen.
async function look() {
  if (document.hidden || !document.querySelector('[data-live]')) return;
  try {
    // The device looks by itself, which does not keep its person signed in.
    const answer = await fetch(location.href, { headers: { 'x-by-itself': '1' } });
    const page = new DOMParser().parseFromString(await answer.text(), 'text/html');
    const [own, other] = [document.querySelector('main'), page.querySelector('main[data-live]')];
    const same = other && own.innerHTML === other.innerHTML;
    if (other && !same && !own.contains(document.activeElement)) own.replaceWith(other);
  } catch {
    // The next time, perhaps.
  }
}

// Whoever has a passphrase needs letters.
function letters(field) {
  const key = element('button', 'Letters', { type: 'button', class: 'small' });
  key.addEventListener('click', () => {
    field.inputMode = 'text';
    field.focus();
    key.remove();
  });
  field.closest('label').after(key);
}

function begin() {
  document.querySelectorAll('input[type="password"][inputmode="numeric"]').forEach(letters);
  document.querySelectorAll('form[data-keep]').forEach(form => form.addEventListener('submit', submitted));
  document.querySelectorAll('form[data-verdict]').forEach(verdicts);
  document.querySelectorAll('form[enctype]').forEach(limits);
  document.querySelector('[data-back]')?.addEventListener('click', event => {
    if (history.length < 2) return;
    event.preventDefault();
    history.back();
  });
  list();
}

window.addEventListener('online', () => list());
window.addEventListener('popstate', () => location.reload());
setInterval(look, 15 * seconds);
begin();
