// Pointer, keys and the note beside the value that they are at.
import { number } from '/js/plot-figure.js';
import { hit, moved, place } from '/js/plot-panels-layout.js';

// Pointer, keys and size; once for each canvas.
export function followPointer(state, redraw, report) {
  const canvas = state.panelCanvas;
  const at = (event) => {
    const box = canvas.getBoundingClientRect();
    return hit(state.document, state.plan, event.clientX - box.left, event.clientY - box.top);
  };
  const choose = (cell) => { if (cell) report(cell.trace.key ?? cell.trace.name, cell.trace.x[cell.ix], cell.trace.y[cell.iy]); };
  canvas.addEventListener('mousemove', (event) => note(state, at(event)));
  canvas.addEventListener('mouseleave', () => note(state, null));
  canvas.addEventListener('click', (event) => choose(at(event)));
  canvas.addEventListener('keydown', (event) => {
    const step = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[event.key];
    if (step) {
      event.preventDefault();
      const first = state.document.traces[0];
      const old = state.cursor ?? { trace: first, ix: first.x.length >> 1, iy: first.y.length >> 1 };
      state.cursor = moved(state.document, old, step);
      redraw();
      note(state, state.cursor);
    } else if (event.key === 'Enter' && state.cursor) choose(state.cursor);
    else if (event.key === 'Escape') { state.cursor = null; note(state, null); redraw(); }
  });
  let last = state.canvas.clientWidth;
  state.panelResize = new ResizeObserver(() => {
    if (state.canvas.clientWidth === last || !state.panelCanvas || !state.document?.panels) return;
    last = state.canvas.clientWidth;
    redraw();
  });
  state.panelResize.observe(state.canvas);
}

function note(state, cell) {
  const frame = state.canvas.parentElement;
  if (!state.panelNote) {
    state.panelNote = document.createElement('div');
    state.panelNote.className = 'panels-note';
    state.panelNote.setAttribute('role', 'status');
    frame.append(state.panelNote);
  }
  state.panelNote.hidden = !cell;
  if (!cell) return;
  const { document: data, plan } = state;
  const { trace, ix, iy } = cell;
  const value = trace.z[iy][ix];
  const quality = trace.quality ? trace.quality[iy][ix] : '0';
  const unit = trace.scale.unit ? ' ' + trace.scale.unit : '';
  const figure = value === null ? 'no value' : number(value).replace('-', '−') + unit;
  const xText = data.x.ticks ? labelNear(data.x, trace.x[ix]) : number(trace.x[ix]).replace('-', '−');
  state.panelNote.textContent = `${trace.name} · ${data.x.title} ${xText}${data.x.unit ? ' ' + data.x.unit : ''} · ${number(trace.y[iy]).replace('-', '−')} ${data.y[0].unit ?? ''} · ${figure}${quality === '2' ? ' · bad' : quality === '1' ? ' · ' + data.panels.dottedText : ''}`;
  const [x, y] = place(plan, plan.panels[trace.panel], trace.x[ix], trace.y[iy]);
  const box = state.panelNote.getBoundingClientRect();
  state.panelNote.style.left = Math.max(0, Math.min(plan.width - box.width, x + 12)) + 'px';
  state.panelNote.style.top = Math.max(0, y - 34) + 'px';
}

function labelNear(axis, x) {
  const exact = axis.ticks.find((tick) => tick.at === x);
  return exact ? exact.label : number(x).replace('-', '−');
}
