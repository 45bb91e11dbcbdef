// Ctrl+K, or the button of the page's line, opens a list of places: pages, an orbit, a day, flags that stand. It leads there and changes nothing. It needs no circuit.
const most = 12;
let dialog, field, list, note, places = [];

const wordsOf = (text) => text.toLowerCase().split(/\s+/).filter(Boolean);
const fits = (place, words) => words.every((w) => place.text.toLowerCase().includes(w));

// Pages that this person may see are those that the page itself links to.
function pages() {
  const links = document.querySelectorAll('.shell-header nav a[href], .page-bar-links a[href]');
  return [...links].map((a) => ({ text: a.textContent.trim(), what: 'page', href: a.getAttribute('href') })).filter((p) => p.text);
}

function typed(text) {
  const found = [];
  if (/^\d{1,7}$/.test(text)) found.push({ text: `Orbit ${text}`, what: 'orbit', href: `/orbit/${text}` });
  if (/^\d{4}-\d{2}-\d{2}$/.test(text)) {
    found.push({ text: `Sign-off of ${text}`, what: 'day', href: `/day/${text}` }, { text: `Winds of ${text}`, what: 'day', href: `/winds?date=${text}` }, { text: `Report of ${text}`, what: 'day', href: `/reports/day/${text}` });
  }
  return found;
}

async function flags() {
  try {
    const answer = await fetch('/api/v1/flags/newest?limit=100', { headers: { accept: 'application/json' } });
    if (!answer.ok) return [];
    return (await answer.json()).items.map((f) => ({ text: f.message, what: `${f.severity} flag`, href: `/flags/${encodeURIComponent(f.id)}` }));
  } catch { return []; } // Without the server the pages are still listed.
}

function show() {
  const words = wordsOf(field.value);
  const found = [...typed(field.value.trim()), ...places.filter((p) => fits(p, words))].slice(0, most);
  list.replaceChildren(...found.map((place, i) => {
    const item = document.createElement('li');
    item.id = `go-to-${i}`;
    item.setAttribute('role', 'option');
    item.dataset.href = place.href;
    const what = document.createElement('span');
    what.className = 'muted';
    what.textContent = place.what;
    item.append(place.text, ' ', what);
    item.addEventListener('click', () => go(item));
    return item;
  }));
  note.textContent = found.length > 0 ? 'Arrow keys choose, Enter goes there, Esc closes.' : 'Nothing fits. An orbit’s number, a day such as 2031-05-09, a page’s name or words of a flag lead on.';
  list.hidden = found.length === 0;
  field.setAttribute('aria-expanded', found.length > 0);
  choose(0);
}

function choose(i) {
  const items = [...list.querySelectorAll('[role=option]')];
  items.forEach((item, n) => item.setAttribute('aria-selected', n === i));
  items[i]?.scrollIntoView({ block: 'nearest' });
  if (items[i]) field.setAttribute('aria-activedescendant', items[i].id); else field.removeAttribute('aria-activedescendant');
}

// As a click on a link of the page, so that a page with a circuit stays in it.
function go(item) {
  dialog.close();
  const link = Object.assign(document.createElement('a'), { href: item.dataset.href });
  document.body.append(link);
  link.click();
  link.remove();
}

function keys(event) {
  const items = [...list.querySelectorAll('[role=option]')];
  const at = items.findIndex((i) => i.getAttribute('aria-selected') === 'true');
  if (event.key === 'ArrowDown' || event.key === 'ArrowUp') choose((at + (event.key === 'ArrowDown' ? 1 : items.length - 1)) % Math.max(1, items.length));
  else if (event.key === 'Enter' && items[at]) go(items[at]);
  else return;
  event.preventDefault();
}

function build() {
  dialog = Object.assign(document.createElement('dialog'), { className: 'go-to' });
  dialog.setAttribute('aria-label', 'Go to');
  dialog.innerHTML = '<label class="pk-field">Go to a page, an orbit, a day, a flag<input type="text" role="combobox" aria-expanded="true" aria-controls="go-to-list" aria-autocomplete="list" autocomplete="off" spellcheck="false"></label><ul id="go-to-list" role="listbox" aria-label="Places"></ul><p class="muted" role="status"></p>';
  [field, list, note] = ['input', 'ul', 'p'].map((part) => dialog.querySelector(part));
  field.addEventListener('input', show);
  field.addEventListener('keydown', keys);
  document.body.append(dialog);
}

function open() {
  if (!document.querySelector('[data-go-to]')) return;
  if (!dialog?.isConnected) build();
  if (dialog.open) return;
  places = pages();
  field.value = '';
  show();
  dialog.showModal();
  flags().then((found) => { places = [...places, ...found]; if (dialog.open) show(); });
}

document.addEventListener('keydown', (event) => {
  if (event.key.toLowerCase() !== 'k' || !(event.ctrlKey || event.metaKey) || event.altKey || event.shiftKey) return;
  if (!document.querySelector('[data-go-to]')) return;
  event.preventDefault();
  open();
});
document.addEventListener('click', (event) => { if (event.target instanceof Element && event.target.closest('[data-go-to]')) open(); });
