// Paints all panels with their axes, marks and key on a canvas.
import { number, token, withUnit } from '/js/plot-figure.js';
import { cells, patternsOf, ramps } from '/js/plot-panels-cells.js';
import { place, ticksOf } from '/js/plot-panels-layout.js';

export function paint(canvas, data, plan, density, title) {
  canvas.width = Math.round(plan.width * density);
  canvas.height = Math.round(plan.height * density);
  canvas.style.height = plan.height + 'px';
  const g = canvas.getContext('2d');
  g.scale(density, density);
  if (title !== null) {
    g.fillStyle = token('surface');
    g.fillRect(0, 0, plan.width, plan.height);
    text(g, title, 8, 20, { size: 15, weight: 650, colour: token('ink') });
  }
  const patterns = patternsOf(g);
  const traces = new Map();
  for (const trace of data.traces) traces.set(trace.panel, [...(traces.get(trace.panel) ?? []), trace]);
  plan.panels.forEach((panel, number) => {
    g.fillStyle = token('sunken');
    g.fillRect(panel.x, panel.y, panel.width, panel.height);
    g.fillStyle = patterns.missing;
    g.fillRect(panel.x, panel.y, panel.width, panel.height);
    for (const trace of traces.get(number) ?? []) cells(g, plan, panel, trace, patterns, density);
    marks(g, data, plan, panel);
    axes(g, data, plan, panel);
  });
  key(g, data, plan, patterns);
}

function text(g, words, x, y, { size = 11, weight = 400, colour = token('ink-2'), align = 'left', width = undefined } = {}) {
  g.font = `${weight} ${size}px ${token('font')}`;
  g.fillStyle = colour;
  g.textAlign = align;
  g.fillText(words, x, y, width);
}

function marks(g, data, plan, panel) {
  const row = data.panels.rows[panel.row];
  const x = (value) => Math.max(panel.x, Math.min(panel.x + panel.width, place(plan, panel, value, plan.y[0])[0]));
  for (const band of row.bands) {
    const [from, to] = [x(band.from), x(band.to)];
    g.fillStyle = token('ink');
    if (band.kind === 'shadow') g.fillRect(from, panel.y, to - from, 3);
    if (band.kind !== 'night') continue;
    g.fillStyle = token('series-3');
    g.fillRect(from, panel.y + panel.height - 3, to - from, 3);
    g.strokeStyle = token('ink-2');
    g.lineWidth = 1;
    g.setLineDash([2, 2]);
    for (const [edge, end] of [[from, band.from], [to, band.to]]) if (end > plan.x[0] && end < plan.x[1]) line(g, edge, panel.y, edge, panel.y + panel.height);
    g.setLineDash([]);
  }
  for (const marker of row.markers) {
    g.strokeStyle = token('focus');
    g.lineWidth = 1.5;
    line(g, x(marker.at), panel.y, x(marker.at), panel.y + panel.height);
  }
}

function line(g, x0, y0, x1, y1) {
  g.beginPath();
  g.moveTo(x0, y0);
  g.lineTo(x1, y1);
  g.stroke();
}

function axes(g, data, plan, panel) {
  g.strokeStyle = token('line-strong');
  g.lineWidth = 1;
  g.strokeRect(panel.x + 0.5, panel.y + 0.5, panel.width - 1, panel.height - 1);
  const { titles, columns } = data.panels;
  const title = titles ? titles[panel.row * columns.length + panel.column] : panel.row === 0 ? columns[panel.column] : null;
  if (title) text(g, title, panel.x, panel.y - 7, { weight: 650, colour: token('ink'), width: panel.width });
  if (panel.first) {
    const ticks = ticksOf(data.y[0], plan.y, Math.max(2, panel.height / 15 < 5 ? panel.height / 15 : 5));
    for (const [value, label] of ticks) {
      const [, y] = place(plan, panel, plan.x[0], value);
      if (y > panel.y + panel.height - 4 && ticks.length > 2) continue;
      line(g, panel.x - 3, y, panel.x, y);
      text(g, label, panel.x - 5, y + 3.5, { size: 10, align: 'right' });
    }
    if (panel.row === 0) text(g, data.y[0].unit ?? data.y[0].title, panel.x - 5, panel.y - 7, { size: 10, align: 'right' });
  }
  if (panel.row !== data.panels.rows.length - 1) return;
  for (const [value, label] of ticksOf(data.x, plan.x, panel.width / 46)) {
    const [x] = place(plan, panel, value, plan.y[0]);
    line(g, x, panel.y + panel.height, x, panel.y + panel.height + 3);
    text(g, label, x, panel.y + panel.height + 14, { size: 10, align: x > panel.x + panel.width - 8 ? 'right' : x < panel.x + 8 ? 'left' : 'center' });
  }
  text(g, withUnit(data.x), panel.x + panel.width / 2, panel.y + panel.height + 27, { size: 10, align: 'center', width: panel.width });
}

function key(g, data, plan, patterns) {
  const cell = (plan.width - 16) / plan.keyColumns;
  const at = (index) => [8 + (index % plan.keyColumns) * cell, plan.keyTop + 50 * Math.floor(index / plan.keyColumns)];
  plan.scales.forEach((scale, index) => {
    const [x, y] = at(index);
    const width = Math.min(240, cell - 30);
    const colours = scale.diverging ? ramps.diverging : ramps.sequential;
    for (let k = 0; k < 256; k++) {
      g.fillStyle = `rgb(${colours[k].join(' ')})`;
      g.fillRect(x + k / 256 * width, y + 14, width / 256 + 0.6, 10);
    }
    text(g, withUnit(scale), x, y + 9, { size: 11, colour: token('ink'), width: cell - 12 });
    const [low, high] = [scale.min ?? 0, scale.max ?? 1];
    const places = scale.diverging ? [low, low / 2, 0, high / 2, high] : [low, (low + high) / 2, high];
    places.forEach((value, i) => text(g, number(value).replace('-', '−'), x + (value - low) / (high - low) * width, y + 36, { size: 10, align: i === 0 ? 'left' : i === places.length - 1 ? 'right' : 'center' }));
  });
  const [x, y] = at(plan.scales.length);
  const used = (quality) => data.traces.some((trace) => trace.quality?.some((row) => row.includes(quality)));
  const signs = [['missing', 'none'], ...(used('2') ? [['bad', 'bad']] : []), ...(used('1') ? [['doubtful', data.panels.dottedText]] : [])];
  let right = x;
  for (const [name, word] of signs) {
    g.fillStyle = name === 'doubtful' ? token('series-2') : token('sunken');
    g.fillRect(right, y + 2, 18, 12);
    g.fillStyle = patterns[name];
    g.fillRect(right, y + 2, 18, 12);
    text(g, word, right + 22, y + 12);
    right += 30 + g.measureText(word).width;
  }
  right = x;
  if (!data.panels.rows.some((row) => row.bands.length)) return;
  for (const [colour, word] of plan.narrow ? [['ink', 'shadow'], ['series-3', 'night at the tangent point']] : [['ink', 'satellite in shadow'], ['series-3', 'night at the tangent point']]) {
    g.fillStyle = token(colour);
    g.fillRect(right, y + 26, 18, 4);
    text(g, word, right + 22, y + 32, { size: 10 });
    right += 32 + g.measureText(word).width;
  }
}

export function outline(state) {
  const { trace, ix, iy } = state.cursor;
  const panel = state.plan.panels[trace.panel];
  const [x, y] = place(state.plan, panel, trace.x[ix], trace.y[iy]);
  const g = state.panelCanvas.getContext('2d');
  g.strokeStyle = token('focus');
  g.lineWidth = 2;
  g.strokeRect(x - 5, y - 5, 10, 10);
}
