// Keeps a plot beside a flag as it is seen: at once on the flag's own page, elsewhere through a small form that finds the flag.
import { span } from '/js/plot-notes.js';

function part(state, name) { return state.root.querySelector(`[data-plot="${name}"]`); }

export function followAttach(state) {
  let later = 0;
  state.root.addEventListener('click', (event) => {
    const button = event.target instanceof Element ? event.target.closest('button[data-plot]') : null;
    if (button?.dataset.plot === 'flag') open(state, part(state, 'flag-form').hidden);
    if (button?.dataset.plot === 'flag-cancel') open(state, false);
  });
  state.root.addEventListener('input', (event) => {
    if (!isFind(event.target)) return;
    window.clearTimeout(later);
    later = window.setTimeout(() => find(state), 250);
  });
  state.root.addEventListener('keydown', (event) => {
    if (!(event.target instanceof Element) || !event.target.closest('[data-plot="flag-form"]')) return;
    if (event.key === 'Escape') { event.preventDefault(); open(state, false); }
    if (event.key !== 'Enter' || !isFind(event.target)) return;
    // Enter looks for what is written; what is attached stays for good, so that has its own button.
    event.preventDefault();
    window.clearTimeout(later);
    find(state);
  });
  state.root.addEventListener('submit', (event) => {
    if (!(event.target instanceof Element) || event.target.dataset.plot !== 'flag-form') return;
    event.preventDefault();
    send(state, event.target);
  });
}

function isFind(element) { return element instanceof HTMLInputElement && element.name === 'find' && element.closest('[data-plot="flag-form"]') !== null; }

function open(state, shown) {
  const form = part(state, 'flag-form');
  const button = part(state, 'flag');
  if (!form || !button) return;
  form.hidden = !shown;
  button.setAttribute('aria-expanded', String(shown));
  part(state, 'flag-refused').textContent = '';
  if (!shown) { button.focus(); return; }
  part(state, 'flag-told').replaceChildren();
  form.elements.find.focus();
  find(state);
}

// After a redraw: another stretch of time has other flags.
export function listFlags(state) {
  const form = part(state, 'flag-form');
  if (form && !form.hidden && form.elements.find.value.trim() === '' && stretch(state, form) !== state.flagStretch) find(state);
}

// The plot's time as it is seen, or what the page says where the axis is none of time; null = neither.
function stretch(state, form) {
  const isTime = state.document?.x.kind === 'time' && !state.document.panels;
  const [from, to] = isTime ? span(state) : [form.dataset.from, form.dataset.to].map((text) => (text ? Number(text) : NaN));
  return Number.isFinite(from) && Number.isFinite(to) && to >= from ? `from=${new Date(from).toISOString()}&to=${new Date(Math.max(to, from + 1)).toISOString()}` : null;
}

async function find(state) {
  const form = part(state, 'flag-form');
  const [found, list] = [part(state, 'flag-found'), part(state, 'flag-list')];
  const words = form.elements.find.value.trim();
  const most = Number(form.dataset.most);
  state.flagStretch = stretch(state, form);
  const query = words ? `q=${encodeURIComponent(words)}` : state.flagStretch;
  state.finding?.abort();
  const abort = state.finding = new AbortController();
  let answer;
  try {
    const response = await fetch(new URL(`/api/v1/flags/newest?limit=${most}${query ? '&' + query : ''}`, document.baseURI), { signal: abort.signal, headers: { Accept: 'application/json' } });
    if (!response.ok) throw new Error(await reason(response));
    answer = await response.json();
  } catch (error) {
    if (!abort.signal.aborted) found.textContent = `The flags could not be read: ${error.message}`;
    return;
  }
  if (abort.signal.aborted) return;
  const chosen = form.elements.flag?.value;
  // An answer may come while somebody is already among the flags: the focus stays where it was.
  const focused = list.contains(document.activeElement) ? document.activeElement.value : null;
  part(state, 'flag-legend').textContent = words ? 'Flags that were found' : state.flagStretch ? "Flags that stand in this plot's time" : 'Flags that stand';
  list.replaceChildren(...answer.items.map((flag) => choice(flag, flag.id === chosen || (answer.items.length === 1 && flag.id === words))));
  if (focused !== null) ([...list.querySelectorAll('input')].find((radio) => radio.value === focused) ?? form.elements.find).focus();
  found.textContent = answer.items.length === 0 ? (words ? 'No flag fits.' : 'No flag stands in this time; find another by its id or words.')
    : answer.next ? `The newest ${answer.items.length} are listed; find others by their id or words.` : '';
}

function choice(flag, isChosen) {
  const label = document.createElement('label');
  const radio = Object.assign(document.createElement('input'), { type: 'radio', name: 'flag', value: flag.id, required: true, checked: isChosen });
  const severity = Object.assign(document.createElement('span'), { className: `state state-${flag.severity}`, textContent: flag.severity });
  const words = Object.assign(document.createElement('span'), { className: 'attach-words', textContent: flag.message });
  const facts = [orbits(flag), `from ${flag.from.slice(0, 16).replace('T', ' ')} UTC`, flag.state];
  words.append(Object.assign(document.createElement('small'), { textContent: facts.filter((fact) => fact).join(' · ') }));
  label.append(radio, severity, words);
  return label;
}

function orbits(flag) {
  if (flag.firstOrbit === null || flag.lastOrbit === null || flag.firstOrbit === undefined || flag.lastOrbit === undefined) return null;
  return flag.firstOrbit === flag.lastOrbit ? `orbit ${flag.firstOrbit}` : `orbits ${flag.firstOrbit}–${flag.lastOrbit}`;
}

async function send(state, form) {
  const refused = part(state, 'flag-refused');
  const button = part(state, 'flag-send');
  const id = form.elements.flag?.value;
  if (!id) { refused.textContent = 'Not attached: choose a flag first.'; return; }
  button.disabled = true;
  refused.textContent = '';
  try {
    await keep(state, `/api/v1/flags/${encodeURIComponent(id)}/plots`, state.document?.title || state.options.title, form.elements.note.value);
    form.elements.note.value = '';
    form.elements.find.value = '';
    open(state, false);
    const link = Object.assign(document.createElement('a'), { href: `/flags/${encodeURIComponent(id)}`, textContent: `the flag ${id}` });
    part(state, 'flag-told').replaceChildren('Attached, as it is seen now, to ', link, '.');
  } catch (error) {
    refused.textContent = `Not attached: ${error.message}`;
  } finally {
    button.disabled = false;
  }
}

// The button of a flag's own plot: there is nothing to choose.
export async function attach(state, button) {
  const told = part(state, 'told');
  button.disabled = true;
  told.textContent = 'Attaching…';
  try {
    await keep(state, button.dataset.attachTo, state.options.title, null);
    told.textContent = 'Attached as it is seen now.';
  } catch (error) {
    told.textContent = `Not attached: ${error.message}`;
  } finally {
    button.disabled = false;
  }
}

// What is drawn goes to the server as it is: it is kept even if the data behind it change. A zoom by hand goes with it, as the ends of the axis.
async function keep(state, address, title, note) {
  if (!state.document || !state.drawn) throw new Error('there is nothing drawn yet.');
  const { url, range } = state.source;
  const shown = range && state.document.x.kind === 'time' ? { ...state.document, x: { ...state.document.x, min: range[0], max: range[1] } } : state.document;
  const response = await fetch(new URL(address, document.baseURI), {
    method: 'POST', headers: { 'Content-Type': 'application/json', Accept: 'application/json' },
    body: JSON.stringify({ title: title.slice(0, 300), url: url.pathname + url.search, document: shown, note: note || null }),
  });
  if (!response.ok) throw new Error(await reason(response));
}

async function reason(response) {
  const text = await response.text();
  try { return JSON.parse(text).detail ?? `the server answered ${response.status}.`; } catch { return `the server answered ${response.status}.`; }
}
