// Notes of the team: the list below a plot, and the small form that pins one to a stretch of the plot's time.

function part(state, name) { return state.root.querySelector(`[data-plot="${name}"]`); }

export function followNotes(state, reload) {
  state.root.addEventListener('click', (event) => {
    const button = event.target instanceof Element ? event.target.closest('button[data-plot]') : null;
    if (button?.dataset.plot === 'note') open(state, part(state, 'note-form').hidden);
    if (button?.dataset.plot === 'note-cancel') open(state, false);
    if (button?.dataset.plot === 'note-retire') retire(state, button, reload);
  });
  state.root.addEventListener('keydown', (event) => {
    if (event.key === 'Escape' && event.target instanceof Element && event.target.closest('[data-plot="note-form"]')) open(state, false);
  });
  state.root.addEventListener('submit', (event) => {
    if (!(event.target instanceof Element) || event.target.dataset.plot !== 'note-form') return;
    event.preventDefault();
    pin(state, event.target, reload);
  });
}

export function listNotes(state) {
  const button = part(state, 'note');
  const isTime = state.document?.x.kind === 'time';
  if (button) button.hidden = !isTime;
  const list = part(state, 'notes');
  if (!list) return;
  const notes = state.document?.notes ?? [];
  list.hidden = notes.length === 0;
  list.replaceChildren(...notes.map((note) => {
    const item = document.createElement('li');
    const words = document.createElement('span');
    words.textContent = `Note ${note.number}, ${stretch(note)}${note.about ? ', ' + note.about : ''}: ${note.text} (${note.by})`;
    item.append(words);
    if (part(state, 'note-form')) {
      const end = Object.assign(document.createElement('button'), { type: 'button', className: 'pk-button small no-print', textContent: 'Retire' });
      end.dataset.plot = 'note-retire';
      end.dataset.note = note.id;
      end.setAttribute('aria-label', `Retire note ${note.number}: ${note.text}`);
      item.append(end);
    }
    return item;
  }));
}

function stretch(note) {
  const text = (at) => new Date(at).toISOString().slice(0, 19).replace('T', ' ');
  return note.from === note.to ? `${text(note.from)} UTC` : `${text(note.from)} – ${text(note.to)} UTC`;
}

function open(state, shown) {
  const form = part(state, 'note-form');
  const button = part(state, 'note');
  if (!form || !button) return;
  form.hidden = !shown;
  button.setAttribute('aria-expanded', String(shown));
  part(state, 'note-told').textContent = '';
  if (!shown) { button.focus(); return; }
  const [from, to] = span(state);
  form.elements.from.value = field(from);
  form.elements.to.value = field(to);
  form.elements.text.focus();
}

// What is visible: a zoom, the axis where it is fixed, else the data.
export function span(state) {
  if (state.range) return state.range;
  const data = state.document;
  const all = data.traces.flatMap((trace) => trace.x).filter((x) => x !== null);
  const least = all.reduce((a, b) => Math.min(a, b), Infinity);
  const most = all.reduce((a, b) => Math.max(a, b), -Infinity);
  return [data.x.min ?? least, data.x.max ?? most];
}

function field(at) { return Number.isFinite(at) ? new Date(at).toISOString().slice(0, 19) : ''; }

async function pin(state, form, reload) {
  const utc = (text) => (text.length === 16 ? text + ':00Z' : text + 'Z');
  await send(state, '/api/v1/annotations', { from: utc(form.elements.from.value), to: utc(form.elements.to.value), text: form.elements.text.value }, () => {
    form.elements.text.value = '';
    open(state, false);
    reload();
  });
}

async function retire(state, button, reload) {
  button.disabled = true;
  await send(state, `/api/v1/annotations/${button.dataset.note}/retire`, null, () => { part(state, 'note').focus(); reload(); });
  button.disabled = false;
}

async function send(state, address, body, done) {
  const told = part(state, 'note-told');
  const form = part(state, 'note-form');
  try {
    const response = await fetch(new URL(address, document.baseURI), {
      method: 'POST', headers: { Accept: 'application/json', ...(body ? { 'Content-Type': 'application/json' } : {}) }, body: body ? JSON.stringify(body) : undefined,
    });
    if (!response.ok) {
      const text = await response.text();
      let reason = `the server answered ${response.status}.`;
      try { reason = JSON.parse(text).detail ?? reason; } catch { /* no problem details: the status tells enough */ }
      throw new Error(reason);
    }
    done();
  } catch (error) {
    if (form.hidden) open(state, true);
    told.textContent = `Not done: ${error.message}`;
  }
}
