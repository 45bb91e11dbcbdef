// Draws the panels of a PlotDocument (PlotPanels.cs) on one canvas: what is missing is hatched, what is bad is hatched the other way, what is doubtful is dotted.
import { diverging, ramp, sequential } from '/js/plot-colours.js';
import { number, token, withUnit } from '/js/plot-figure.js';

const ramps = { diverging: ramp(diverging), sequential: ramp(sequential) };

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

// Pointer, keys and size; once for each canvas.
export function followPanels(state, report) {
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
      drawPanels(state, state.document);
      note(state, state.cursor);
    } else if (event.key === 'Enter' && state.cursor) choose(state.cursor);
    else if (event.key === 'Escape') { state.cursor = null; note(state, null); drawPanels(state, state.document); }
  });
  let last = state.canvas.clientWidth;
  state.panelResize = new ResizeObserver(() => {
    if (state.canvas.clientWidth === last || !state.panelCanvas || !state.document?.panels) return;
    last = state.canvas.clientWidth;
    drawPanels(state, state.document);
  });
  state.panelResize.observe(state.canvas);
}

// Beyond a panel's edge the cursor goes on in the neighbour.
function moved(data, cursor, [dx, dy]) {
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

function layout(data, width, above = 0) {
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

function place(plan, panel, x, y) {
  return [
    panel.x + (x - plan.x[0]) / (plan.x[1] - plan.x[0]) * panel.width,
    panel.y + panel.height - (y - plan.y[0]) / (plan.y[1] - plan.y[0]) * panel.height,
  ];
}

const step = (values) => values.length > 1 ? (values[values.length - 1] - values[0]) / (values.length - 1) : 1;

function paint(canvas, data, plan, density, title) {
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
  const patterns = { missing: hatch(g, 1, token('line')), bad: hatch(g, -1, token('line-strong')), doubtful: dots(g) };
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

// Patterns are made in screen pixels: they look alike whatever the size of a cell.
function tile(g, size, draw) {
  const canvas = document.createElement('canvas');
  canvas.width = canvas.height = size;
  draw(canvas.getContext('2d'), size);
  return g.createPattern(canvas, 'repeat');
}

function hatch(g, direction, colour) {
  return tile(g, 8, (t, n) => {
    t.strokeStyle = colour;
    t.lineWidth = 1.2;
    t.beginPath();
    for (const shift of [-n, 0, n]) {
      t.moveTo(shift - 1, direction > 0 ? n + 1 : -1);
      t.lineTo(shift + n + 1, direction > 0 ? -1 : n + 1);
    }
    t.stroke();
  });
}

function dots(g) {
  return tile(g, 4, (t) => {
    t.fillStyle = token('surface');
    t.fillRect(0, 0, 1.5, 1.5);
    t.fillRect(2, 2, 1.5, 1.5);
  });
}

function cells(g, plan, panel, trace, patterns, density) {
  const [columns, rows] = [trace.x.length, trace.y.length];
  if (!columns || !rows) return;
  const colours = trace.scale.diverging ? ramps.diverging : ramps.sequential;
  const [low, high] = [trace.scale.min ?? 0, trace.scale.max ?? 1];
  const image = new ImageData(columns, rows);
  const masks = { 1: new ImageData(columns, rows), 2: new ImageData(columns, rows) };
  const has = { 1: false, 2: false };
  for (let r = 0; r < rows; r++) {
    for (let c = 0; c < columns; c++) {
      const value = trace.z[r][c];
      const at = 4 * ((rows - 1 - r) * columns + c);
      const quality = trace.quality ? trace.quality[r][c] : '0';
      if (quality === '1' || quality === '2') {
        masks[quality].data[at + 3] = 255;
        has[quality] = true;
      }
      if (value === null || quality === '2') continue;
      const colour = colours[Math.max(0, Math.min(255, Math.round((value - low) / (high - low) * 255)))];
      image.data.set(colour, at);
      image.data[at + 3] = 255;
    }
  }
  const [dx, dy] = [step(trace.x), step(trace.y)];
  const [left, bottom] = place(plan, panel, trace.x[0] - dx / 2, trace.y[0] - dy / 2);
  const [right, top] = place(plan, panel, trace.x[columns - 1] + dx / 2, trace.y[rows - 1] + dy / 2);
  g.save();
  g.beginPath();
  g.rect(panel.x, panel.y, panel.width, panel.height);
  g.clip();
  g.imageSmoothingEnabled = false;
  g.drawImage(bitmap(image), left, top, right - left, bottom - top);
  if (has[1]) g.drawImage(masked(masks[1], (right - left) * density, (bottom - top) * density, patterns.doubtful), left, top, right - left, bottom - top);
  if (has[2]) g.drawImage(masked(masks[2], (right - left) * density, (bottom - top) * density, patterns.bad), left, top, right - left, bottom - top);
  g.restore();
}

function bitmap(image) {
  const canvas = document.createElement('canvas');
  [canvas.width, canvas.height] = [image.width, image.height];
  canvas.getContext('2d').putImageData(image, 0, 0);
  return canvas;
}

function masked(mask, width, height, pattern) {
  const canvas = document.createElement('canvas');
  [canvas.width, canvas.height] = [Math.max(1, Math.round(width)), Math.max(1, Math.round(height))];
  const t = canvas.getContext('2d');
  t.imageSmoothingEnabled = false;
  t.drawImage(bitmap(mask), 0, 0, canvas.width, canvas.height);
  t.globalCompositeOperation = 'source-in';
  t.fillStyle = pattern;
  t.fillRect(0, 0, canvas.width, canvas.height);
  return canvas;
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

function ticksOf(axis, range, most) {
  if (axis.ticks) return axis.ticks.map((tick) => [tick.at, tick.label]);
  const raw = (range[1] - range[0]) / most;
  const power = 10 ** Math.floor(Math.log10(raw));
  const by = [1, 2, 5, 10].map((n) => n * power).find((n) => n >= raw);
  const ticks = [];
  for (let value = Math.ceil(range[0] / by) * by; value <= range[1] + 1e-9; value += by) ticks.push([value, number(value).replace('-', '−')]);
  return ticks;
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

function hit(data, plan, x, y) {
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

function outline(state) {
  const { trace, ix, iy } = state.cursor;
  const panel = state.plan.panels[trace.panel];
  const [x, y] = place(state.plan, panel, trace.x[ix], trace.y[iy]);
  const g = state.panelCanvas.getContext('2d');
  g.strokeStyle = token('focus');
  g.lineWidth = 2;
  g.strokeRect(x - 5, y - 5, 10, 10);
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
