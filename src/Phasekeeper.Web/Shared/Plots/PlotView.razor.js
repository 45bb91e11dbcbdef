// Draws PlotDocuments (PlotDocument.cs). One state a figure; data are fetched here, outside the circuit.
import { figureOf } from '/js/plot-figure.js';
import { drawPanels, followPanels, panelsPng, stopPanels } from '/js/plot-panels.js';
import { landTrace } from '/js/plot-land.js';
import { attach, followAttach, listFlags } from '/js/plot-attach.js';
import { followNotes, listNotes } from '/js/plot-notes.js';
import { csvOf, fillTable } from '/js/plot-table.js';

const states = new WeakMap();
const groups = new Map();
const scripts = new Map();

export function show(root, options, dotnet) {
  let state = states.get(root);
  if (!state) {
    state = create(root, dotnet);
    states.set(root, state);
  }
  const changedUrl = state.options?.url !== options.url;
  // The page has taken a zoom over into its address: what is drawn, or on its way, is already that.
  const adopted = changedUrl && state.range && isSameWithRange(state.options?.url, options.url, state.range);
  if (state.options?.group !== options.group) join(state, options.group);
  state.options = options;
  if (!options.url) { clear(state); return; }
  if (adopted) { state.range = null; return; }
  if (changedUrl) { state.range = null; state.revision++; }
  load(state);
}

export function dispose(root) {
  const state = states.get(root);
  if (!state) return;
  states.delete(root);
  join(state, null);
  state.abort?.abort();
  state.visible.disconnect();
  window.clearTimeout(state.later);
  window.clearTimeout(state.timer);
  document.removeEventListener('pk-theme', state.onTheme);
  if (state.plotly) state.plotly.purge(state.canvas);
  stopPanels(state);
}

function isSameWithRange(before, after, range) {
  if (!before || !after) return false;
  const [a, b] = [new URL(before, document.baseURI), new URL(after, document.baseURI)];
  const same = Date.parse(b.searchParams.get('from')) === Math.round(range[0]) && Date.parse(b.searchParams.get('to')) === Math.round(range[1]);
  for (const url of [a, b]) { url.searchParams.delete('from'); url.searchParams.delete('to'); url.searchParams.sort(); }
  return same && a.href === b.href;
}

function part(root, name) { return root.querySelector(`[data-plot="${name}"]`); }

function create(root, dotnet) {
  const state = {
    root, dotnet, canvas: part(root, 'canvas'), cover: part(root, 'cover'), options: null, document: null, plotly: null,
    range: null, revision: 0, drawn: false, seen: false, wanted: false, silent: false, timer: 0, abort: null,
  };
  state.onTheme = () => { if (state.drawn) draw(state); };
  document.addEventListener('pk-theme', state.onTheme);
  // Plots far below the fold are fetched when they come near.
  state.visible = new IntersectionObserver((entries) => {
    if (!entries.some((entry) => entry.isIntersecting)) return;
    state.seen = true;
    if (state.wanted) load(state);
  }, { rootMargin: '400px' });
  state.visible.observe(root);
  // The rest follows when the page has settled, so that printing and searching find everything drawn.
  state.later = window.setTimeout(() => { state.seen = true; if (state.wanted) load(state); }, 2500);
  root.addEventListener('click', (event) => {
    const button = event.target instanceof Element ? event.target.closest('button[data-plot]') : null;
    if (!button) return;
    if (button.dataset.plot === 'reset') zoomTo(state, null, true);
    if (button.dataset.plot === 'png') savePng(state);
    if (button.dataset.plot === 'csv') saveText(csvOf(state.document), fileName(state, 'csv'), 'text/csv');
    if (button.dataset.plot === 'retry') load(state);
    if (button.dataset.plot === 'attach') attach(state, button);
  });
  followNotes(state, () => load(state));
  followAttach(state);
  part(root, 'details').addEventListener('toggle', (event) => {
    if (event.target.open && state.document) fillTable(part(root, 'table'), state.document);
  });
  return state;
}

function join(state, group) {
  if (state.group) groups.get(state.group)?.delete(state);
  state.group = group ?? null;
  if (!group) return;
  if (!groups.has(group)) groups.set(group, new Set());
  groups.get(group).add(state);
}

function clear(state) {
  state.abort?.abort();
  wipe(state);
  state.document = null;
  state.cover.replaceChildren();
  part(state.root, 'summary').textContent = '';
  listNotes(state);
  part(state.root, 'table').replaceChildren();
}

async function load(state) {
  state.wanted = !state.seen;
  if (!state.drawn) setState(state, 'loading', 'Loading…');
  if (state.wanted) return;
  state.abort?.abort();
  const abort = state.abort = new AbortController();
  const asked = { url: address(state), range: state.range };
  try {
    const [response] = await Promise.all([fetch(asked.url, { signal: abort.signal, headers: { Accept: 'application/json' } }), state.options.panels ? null : ready(state)]);
    if (!response.ok) throw new Error(await reason(response));
    state.document = await response.json();
    // Where the data that are drawn came from: by the time that they are attached, others may be on their way.
    state.source = asked;
    state.land = state.document.map ? await landTrace() : null;
  } catch (error) {
    if (abort.signal.aborted) return;
    fail(state, error);
    return;
  }
  if (abort.signal.aborted) return;
  await draw(state);
}

function address(state) {
  const url = new URL(state.options.url, document.baseURI);
  if (state.range) {
    url.searchParams.set('from', new Date(state.range[0]).toISOString());
    url.searchParams.set('to', new Date(state.range[1]).toISOString());
  }
  const width = state.canvas.clientWidth || 800;
  url.searchParams.set('columns', Math.max(50, Math.min(4000, width)));
  return url;
}

async function reason(response) {
  const text = await response.text();
  try {
    const problem = JSON.parse(text);
    return problem.detail ?? problem.title ?? text;
  } catch {
    return `The server answered ${response.status} ${response.statusText}.`;
  }
}

// The two scripts both call themselves Plotly: each is remembered under its address as it arrives, one after the other.
let queue = Promise.resolve();
function ready(state) {
  const source = state.options.heatMaps ? state.options.heatMapScript : state.options.lineScript;
  if (!scripts.has(source)) {
    const loaded = queue.then(() => new Promise((resolve, reject) => {
      const script = document.createElement('script');
      script.src = new URL(source, document.baseURI);
      script.onload = () => resolve(window.Plotly);
      script.onerror = () => { scripts.delete(source); reject(new Error(`The plot script ${source} could not be loaded.`)); };
      document.head.append(script);
    }));
    scripts.set(source, loaded);
    queue = loaded.catch(() => {});
  }
  return scripts.get(source).then((plotly) => { state.plotly = plotly; });
}

async function draw(state) {
  const data = state.document;
  const isEmpty = !data.traces.some((trace) => trace.x.length > 0);
  part(state.root, 'summary').textContent = data.summary;
  listNotes(state);
  listFlags(state);
  if (part(state.root, 'details').open) fillTable(part(state.root, 'table'), data);
  if (isEmpty) {
    wipe(state);
    setState(state, 'empty', data.emptyText);
    return;
  }
  if (data.panels) {
    drawPanels(state, data);
    if (!state.drawn) followPanels(state, (key, x, y) => { if (state.options.reportsPoints) state.dotnet.invokeMethodAsync('Clicked', key, x, y); });
    state.drawn = true;
    setState(state, 'ready', null);
    return;
  }
  const figure = figureOf(data, { range: state.range, revision: state.revision, width: state.canvas.clientWidth, land: state.land });
  const first = !state.drawn;
  state.silent = true;
  try {
    await state.plotly.react(state.canvas, figure.traces, figure.layout, figure.config);
  } finally {
    state.silent = false;
  }
  state.drawn = true;
  if (first) listen(state);
  setState(state, 'ready', null);
}

function wipe(state) {
  if (state.drawn && state.plotly) state.plotly.purge(state.canvas);
  stopPanels(state);
  state.drawn = false;
}

function listen(state) {
  state.canvas.removeAllListeners?.('plotly_relayout');
  state.canvas.on('plotly_relayout', (change) => {
    if (state.silent || state.document?.x.kind !== 'time') return;
    if (change['xaxis.autorange'] || change['xaxis.range'] === null) { zoomTo(state, null, true); return; }
    const from = change['xaxis.range[0]'] ?? change['xaxis.range']?.[0];
    const to = change['xaxis.range[1]'] ?? change['xaxis.range']?.[1];
    if (from === undefined || to === undefined) return;
    zoomTo(state, [Math.round(milliseconds(from)), Math.round(milliseconds(to))], true);
  });
  state.canvas.on('plotly_clickannotation', (event) => {
    const href = event.annotation.name;
    if (href?.startsWith('/') && !href.startsWith('//')) window.Blazor.navigateTo(href);
  });
  state.canvas.on('plotly_click', (event) => {
    const point = event.points?.[0];
    if (point && state.options.reportsPoints) state.dotnet.invokeMethodAsync('Clicked', point.data.name ?? '', Number(milliseconds(point.x)), Number(point.y));
  });
}

// Plotly writes dates as "2031-03-01 12:00:00.5" and means UTC.
function milliseconds(value) {
  return typeof value === 'number' ? value : Date.parse(/[zZ]$/.test(value) ? value : value.replace(' ', 'T') + (value.length > 10 ? 'Z' : 'T00:00Z'));
}

function zoomTo(state, range, byHand) {
  state.range = range;
  if (!range) state.revision++;
  window.clearTimeout(state.timer);
  state.timer = window.setTimeout(() => load(state), 120);
  if (!byHand) return;
  for (const other of groups.get(state.group) ?? []) if (other !== state) zoomTo(other, range, false);
  if (state.options.reportsZoom) {
    state.dotnet.invokeMethodAsync('Zoomed', range ? new Date(range[0]).toISOString() : null, range ? new Date(range[1]).toISOString() : null);
  }
}

function setState(state, name, text) {
  state.root.dataset.state = name;
  state.cover.textContent = text ?? '';
}

function fail(state, error) {
  setState(state, state.drawn ? 'stale' : 'failed', `${state.drawn ? 'Not up to date' : 'The plot could not be drawn'}: ${error.message} `);
  const retry = document.createElement('button');
  retry.type = 'button';
  retry.className = 'pk-button small';
  retry.dataset.plot = 'retry';
  retry.textContent = 'Try again';
  state.cover.append(retry);
}

async function savePng(state) {
  if (!state.drawn) return;
  if (state.document.panels) { saveLink(panelsPng(state.document), fileName(state, 'png')); return; }
  const figure = figureOf(state.document, { range: state.range, revision: 0, width: 1200, titled: true, land: state.land });
  const image = await state.plotly.toImage({ data: figure.traces, layout: figure.layout }, { format: 'png', width: 1200, height: Math.max(420, state.canvas.clientHeight + 60), scale: 2 });
  saveLink(image, fileName(state, 'png'));
}

function saveText(text, name, type) {
  const url = URL.createObjectURL(new Blob([text], { type }));
  saveLink(url, name);
  window.setTimeout(() => URL.revokeObjectURL(url), 10000);
}

function saveLink(href, name) {
  const link = document.createElement('a');
  link.href = href;
  link.download = name;
  document.body.append(link);
  link.click();
  link.remove();
}

function fileName(state, extension) {
  return (state.document?.title ?? state.options.title).toLowerCase().replace(/[^a-z0-9]+/g, '-').replace(/^-|-$/g, '') + '.' + extension;
}
