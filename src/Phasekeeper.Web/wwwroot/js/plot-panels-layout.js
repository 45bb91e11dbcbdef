// Where the panels of a PlotDocument stand, and which value lies at a point. Pixels of the page; values in the axes' units.
import { number } from '/js/plot-figure.js';

export function layout(data, width, above = 0) {
  const { columns, rows, rowHeight } = data.panels;
  const narrow = width < 620;
  const perBlock = narrow ? Math.min(2, columns.length) : columns.length;
  const blocks = Math.ceil(columns.length / perBlock);
  const hasLabels = rows.some((row) => row.label);
  const left = (hasLabels ? (narrow ? 42 : 74) : 0) + 34;
  const gap = 8;
  const panelWidth = (width - left - 8 - gap * (perBlock - 1)) / perBlock;
  const rowGap = data.panels.titles ? 24 : 5;
  const blockHeight = 22 + rows.length * (rowHeight + rowGap) + 34;
  const panels = [];
  rows.forEach((row, r) => columns.forEach((title, c) => {
    const block = Math.floor(c / perBlock);
    const place = c % perBlock;
    panels.push({ row: r, column: c, first: place === 0, x: left + place * (panelWidth + gap), y: above + block * blockHeight + 22 + r * (rowHeight + rowGap), width: panelWidth, height: rowHeight });
  }));
  const scales = distinctScales(data);
  const keyColumns = Math.max(1, Math.min(scales.length + 1, Math.floor(width / 300)));
  const keyHeight = 50 * Math.ceil((scales.length + 1) / keyColumns);
  return { width, above, narrow, left, blocks, perBlock, panels, scales, keyColumns, keyTop: above + blocks * blockHeight + 4, height: above + blocks * blockHeight + 4 + keyHeight, y: yRange(data), x: [data.x.min ?? 0, data.x.max ?? 1] };
}

function yRange(data) {
  const axis = data.y[0];
  return [axis.min ?? 0, axis.max ?? 1];
}

function distinctScales(data) {
  const found = new Map();
  for (const trace of data.traces) found.set(JSON.stringify(trace.scale), trace.scale);
  return [...found.values()];
}

export function place(plan, panel, x, y) {
  return [
    panel.x + (x - plan.x[0]) / (plan.x[1] - plan.x[0]) * panel.width,
    panel.y + panel.height - (y - plan.y[0]) / (plan.y[1] - plan.y[0]) * panel.height,
  ];
}

export const step = (values) => values.length > 1 ? (values[values.length - 1] - values[0]) / (values.length - 1) : 1;

export function ticksOf(axis, range, most) {
  if (axis.ticks) return axis.ticks.map((tick) => [tick.at, tick.label]);
  const raw = (range[1] - range[0]) / most;
  const power = 10 ** Math.floor(Math.log10(raw));
  const by = [1, 2, 5, 10].map((n) => n * power).find((n) => n >= raw);
  const ticks = [];
  for (let value = Math.ceil(range[0] / by) * by; value <= range[1] + 1e-9; value += by) ticks.push([value, number(value).replace('-', '−')]);
  return ticks;
}

export function hit(data, plan, x, y) {
  const number = plan.panels.findIndex((p) => x >= p.x && x < p.x + p.width && y >= p.y && y < p.y + p.height);
  if (number < 0) return null;
  const panel = plan.panels[number];
  const px = plan.x[0] + (x - panel.x) / panel.width * (plan.x[1] - plan.x[0]);
  const py = plan.y[0] + (panel.y + panel.height - y) / panel.height * (plan.y[1] - plan.y[0]);
  for (const trace of data.traces) {
    if (trace.panel !== number || !trace.x.length || !trace.y.length) continue;
    const ix = Math.round((px - trace.x[0]) / step(trace.x));
    const iy = Math.round((py - trace.y[0]) / step(trace.y));
    if (ix >= 0 && ix < trace.x.length && iy >= 0 && iy < trace.y.length) return { trace, ix, iy };
  }
  return null;
}

// Beyond a panel's edge the cursor goes on in the neighbour.
export function moved(data, cursor, [dx, dy]) {
  const columns = data.panels.columns.length;
  const ix = cursor.ix + dx;
  const iy = cursor.iy + dy;
  const { trace } = cursor;
  const turn = ix < 0 ? -1 : ix >= trace.x.length ? 1 : iy < 0 ? columns : iy >= trace.y.length ? -columns : 0;
  if (turn === 0) return { trace, ix, iy };
  const next = data.traces.find((other) => other.panel === trace.panel + turn);
  if (!next) return cursor;
  return {
    trace: next,
    ix: Math.abs(turn) === 1 ? (turn > 0 ? 0 : next.x.length - 1) : Math.min(cursor.ix, next.x.length - 1),
    iy: Math.abs(turn) === 1 ? Math.min(cursor.iy, next.y.length - 1) : turn > 0 ? next.y.length - 1 : 0,
  };
}
