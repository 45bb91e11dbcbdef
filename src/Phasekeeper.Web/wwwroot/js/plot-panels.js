// Draws the panels of a PlotDocument (PlotPanels.cs) on one canvas: what is missing is hatched, what is bad is hatched the other way, what is doubtful is dotted.
import { layout } from '/js/plot-panels-layout.js';
import { outline, paint } from '/js/plot-panels-paint.js';
import { followPointer } from '/js/plot-panels-pointer.js';

export function drawPanels(state, data) {
  state.panelCanvas ??= document.createElement('canvas');
  if (!state.panelCanvas.isConnected) {
    state.panelCanvas.className = 'panels-canvas';
    state.panelCanvas.tabIndex = 0;
    state.panelCanvas.setAttribute('role', 'img');
    state.panelCanvas.setAttribute('aria-label', `${data.title}. Arrow keys go from value to value, Enter chooses one. All values are in the table below.`);
    state.canvas.setAttribute('role', 'group');
    state.canvas.replaceChildren(state.panelCanvas);
  }
  const width = state.canvas.clientWidth || 800;
  const plan = layout(data, width);
  state.plan = plan;
  state.canvas.parentElement.style.height = plan.height + 'px';
  paint(state.panelCanvas, data, plan, Math.min(3, window.devicePixelRatio || 1), null);
  if (state.cursor) outline(state);
  links(state, data, plan);
}

export function followPanels(state, report) {
  followPointer(state, () => drawPanels(state, state.document), report);
}

export function panelsPng(data) {
  const plan = layout(data, 1500, 30);
  const canvas = document.createElement('canvas');
  paint(canvas, data, plan, 2, data.title);
  return canvas.toDataURL('image/png');
}

export function stopPanels(state) {
  state.panelResize?.disconnect();
  state.panelResize = null;
  state.panelLinks?.remove();
  state.panelNote?.remove();
  state.panelLinks = state.panelNote = state.cursor = null;
  if (state.panelCanvas) {
    state.panelCanvas.remove();
    state.panelCanvas = null;
  }
}

// Row labels are links of the page itself, so that they are read and reached like any other.
function links(state, data, plan) {
  state.panelLinks?.remove();
  state.panelLinks = document.createElement('div');
  state.panelLinks.className = 'panels-links';
  for (const panel of plan.panels) {
    const row = data.panels.rows[panel.row];
    if (!panel.first || !row.label) continue;
    const link = document.createElement(row.href ? 'a' : 'span');
    link.textContent = row.label;
    if (row.href) link.href = row.href;
    if (row.detail && !(plan.narrow && panel.height < 30)) link.append(Object.assign(document.createElement('small'), { textContent: row.detail }));
    Object.assign(link.style, { left: '0px', top: panel.y + 2 + 'px', width: plan.left - 36 + 'px', height: panel.height + 'px' });
    state.panelLinks.append(link);
  }
  state.canvas.parentElement.append(state.panelLinks);
}
