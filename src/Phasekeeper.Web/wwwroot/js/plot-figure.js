// Turns a PlotDocument into traces and layout of the plot script, in the colours of the theme in use.
import { diverging, sequential } from '/js/plot-colours.js';

export function token(name) {
  return getComputedStyle(document.documentElement).getPropertyValue('--pk-' + name).trim();
}

const bandTokens = { shadow: 'shade-night', penumbra: 'shade-penumbra', night: 'shade-night', activity: 'shade-activity', gap: 'shade-gap', notice: 'notice', warning: 'warning', critical: 'critical' };
const markerTokens = { event: 'ink-2', setChange: 'series-3', flag: 'warning', changePoint: 'series-5' };
const markerSigns = { event: '▾', setChange: '◆', flag: '⚑', changePoint: '↕' };

export function figureOf(data, view) {
  const axes = new Map();
  const layout = baseLayout(data, view);
  placeAxes(data, layout, axes);
  const traces = view.land ? [landOf(view.land, axes)] : [];
  let position = 0;
  for (const trace of data.traces) {
    const isSeries = trace.role === 'series' && trace.kind !== 'heat';
    if (isSeries) position++;
    const drawn = tracesOf(trace, data, axes.get(trace.axis), (trace.colour || ((position - 1) % 8 + 1)));
    traces.push(...(trace.inLegend === false ? drawn.map((one) => ({ ...one, showlegend: false })) : drawn));
  }
  layout.shapes = [...bands(data), ...lines(data, axes), ...data.markers.map(markerLine), ...(data.notes ?? []).map(noteShape)];
  layout.annotations = [...bandLabels(data), ...lineLabels(data, axes), ...data.markers.map(markerSign), ...(data.notes ?? []).map(noteSign)];
  // A name stands in the legend once, for all its traces.
  const named = new Set();
  for (const trace of traces) {
    trace.legendgroup = trace.name;
    if (trace.showlegend === false) continue;
    trace.showlegend = !named.has(trace.name);
    if (trace.showlegend) named.add(trace.name);
  }
  layout.showlegend = named.size > 1;
  if (data.stacked) Object.assign(layout, { barmode: 'stack', bargap: 0.05 });
  return { traces, layout, config: { displayModeBar: false, responsive: true, doubleClick: 'reset', scrollZoom: false, showTips: false } };
}

function landOf(land, axes) {
  const axis = [...axes.values()][0];
  return { ...land, xaxis: 'x', yaxis: axis.id, type: 'scatter', mode: 'lines', fill: 'toself', fillcolor: token('map-land'), line: { color: token('map-coast'), width: 0.8 }, hoverinfo: 'skip', showlegend: false, name: 'land' };
}

function baseLayout(data, view) {
  const narrow = view.width < 480;
  const coarse = window.matchMedia('(pointer: coarse)').matches;
  const font = { family: token('font'), size: 12, color: token('ink-2') };
  const x = {
    ...axisLook(), type: data.x.kind === 'time' ? 'date' : data.x.kind === 'logarithmic' ? 'log' : 'linear',
    hoverformat: data.x.kind === 'time' ? '%Y-%m-%d %H:%M:%S UTC' : undefined, nticks: narrow ? 4 : 9,
    title: { text: data.x.kind === 'time' ? 'UTC' : withUnit(data.x), standoff: 6, font: { ...font, size: 11 } },
  };
  ticks(x, data.x);
  const range = view.range ?? limits(data.x);
  if (range) x.range = range; else x.autorange = data.x.reversed ? 'reversed' : true;
  return {
    autosize: true, font, paper_bgcolor: view.titled ? token('surface') : 'rgba(0,0,0,0)', plot_bgcolor: 'rgba(0,0,0,0)',
    margin: { l: narrow ? 46 : 58, r: 12, t: view.titled ? 48 : 22, b: 40 }, hovermode: data.traces.some(isFree) ? 'closest' : 'x unified',
    hoverlabel: { bgcolor: token('surface'), bordercolor: token('line-strong'), font: { family: token('font'), size: 12, color: token('ink') } },
    legend: { orientation: 'h', x: 0, y: 1, yanchor: 'bottom', traceorder: 'normal', font: { size: 11 } }, dragmode: coarse ? false : 'zoom', uirevision: view.revision,
    title: view.titled ? { text: data.title, x: 0.02, font: { size: 16, color: token('ink') } } : undefined, xaxis: x,
  };
}

// Places where pointing means one point, not a moment: heat maps, coloured points, profiles over height.
function isFree(trace) { return trace.kind === 'heat' || trace.c || trace.sigmaOfX; }

function axisLook() {
  return { gridcolor: token('grid'), linecolor: token('line-strong'), zerolinecolor: token('line'), tickfont: { size: 11 }, automargin: true, showline: false, ticks: 'outside', ticklen: 3, tickcolor: token('line') };
}

function limits(axis) {
  if (axis.min === null || axis.max === null || axis.min === undefined || axis.max === undefined) return null;
  return axis.reversed ? [axis.max, axis.min] : [axis.min, axis.max];
}

function ticks(target, axis) {
  if (!axis.ticks) return;
  target.tickmode = 'array';
  target.tickvals = axis.ticks.map((tick) => tick.at);
  target.ticktext = axis.ticks.map((tick) => tick.label);
}

export function withUnit(axis) { return axis.unit ? `${axis.title} (${axis.unit})` : axis.title; }

// Panels from top to bottom on one x axis, heights by share.
function placeAxes(data, layout, axes) {
  const own = data.y.filter((axis) => !axis.over);
  const total = own.reduce((sum, axis) => sum + axis.share, 0);
  const gap = own.length > 1 ? 0.05 : 0;
  let top = 1;
  data.y.forEach((axis, index) => {
    const key = index === 0 ? 'yaxis' : 'yaxis' + (index + 1);
    const id = index === 0 ? 'y' : 'y' + (index + 1);
    const target = { ...axisLook(), nticks: 6, type: axis.kind === 'logarithmic' ? 'log' : 'linear', title: { text: withUnit(axis), standoff: 8, font: { size: 11 } } };
    const range = limits(axis);
    if (range) target.range = range; else target.autorange = axis.reversed ? 'reversed' : true;
    ticks(target, axis);
    if (axis.over) {
      Object.assign(target, { overlaying: axes.get(axis.over).id, side: 'right', showgrid: false, domain: axes.get(axis.over).domain });
    } else {
      const height = (1 - gap * (own.length - 1)) * axis.share / total;
      target.domain = [Math.max(0, top - height), top];
      top -= height + gap;
    }
    if (data.map && index === 0) Object.assign(target, { scaleanchor: 'x', scaleratio: 1, constrain: 'domain' });
    axes.set(axis.id, { id, key, unit: axis.unit, domain: target.domain });
    layout[key] = target;
  });
  const last = own.length ? axes.get(own[own.length - 1].id) : { id: 'y' };
  layout.xaxis.anchor = last.id;
  if (data.map) layout.xaxis.constrain = 'domain';
}

function colourOf(trace, number) {
  switch (trace.role) {
    case 'model': return token('ink-2');
    case 'measured': return token('series-1');
    case 'context': return token('line-strong');
    case 'provisional': case 'warning': case 'critical': return token(trace.role);
    default: return token('series-' + number);
  }
}

const dashes = ['solid', 'solid', 'dot', 'solid', 'dashdot', 'dot', 'dash', 'dashdot'];

function tracesOf(trace, data, axis, number) {
  const unit = axis.unit ? ' ' + axis.unit : '';
  const colour = colourOf(trace, number);
  const common = { name: trace.name, x: trace.x, y: trace.y, yaxis: axis.id, xaxis: 'x' };
  if (trace.kind === 'heat') return [heat(trace, common, data)];
  const { text, template } = readOut(trace, data, unit);
  const drawn = { ...common, text, hovertemplate: template };
  if (trace.kind === 'bars') return [{ ...drawn, type: 'bar', marker: { color: colour } }];
  if (trace.kind === 'points') return [points(trace, drawn, colour, number)];
  const line = { color: colour, width: trace.role === 'context' ? 1 : 1.6, dash: trace.role === 'model' ? 'dash' : trace.role === 'series' ? dashes[number - 1] : 'solid', shape: trace.kind === 'steps' ? 'hv' : 'linear' };
  const main = { ...drawn, type: 'scatter', mode: trace.x.length < 60 && trace.role === 'series' ? 'lines+markers' : 'lines', marker: { size: 4, color: colour }, line, connectgaps: false };
  return trace.low && trace.high ? [...envelope(trace, common, colour), main] : [main];
}

function envelope(trace, common, colour) {
  // One closed polygon for each stretch without a gap: a fill between two lines would bridge the gaps.
  const x = [];
  const y = [];
  let start = 0;
  for (let i = 0; i <= trace.x.length; i++) {
    if (i < trace.x.length && trace.low[i] !== null && trace.high[i] !== null) continue;
    if (i - start > 1) {
      const members = Array.from({ length: i - start }, (_, k) => start + k);
      x.push(...members.map((k) => trace.x[k]), ...members.map((k) => trace.x[k]).reverse(), null);
      y.push(...members.map((k) => trace.high[k]), ...members.map((k) => trace.low[k]).reverse(), null);
    }
    start = i + 1;
  }
  return [{ ...common, x, y, type: 'scatter', mode: 'lines', line: { width: 0, color: colour }, fill: 'toself', fillcolor: fade(colour, '33'), hoverinfo: 'skip', showlegend: false }];
}

function fade(colour, alpha) { return /^#[0-9a-f]{6}$/i.test(colour) ? colour + alpha : colour; }

function points(trace, drawn, colour, number) {
  const marker = { size: 6, color: colour, symbol: ['circle', 'diamond', 'square', 'triangle-up', 'cross', 'x', 'star', 'hexagon'][number - 1], opacity: trace.role === 'context' ? 0.5 : 1 };
  if (trace.role === 'provisional') marker.symbol = 'circle-open';
  if (trace.role === 'critical') marker.symbol = 'x';
  if (trace.role === 'warning') marker.symbol = 'triangle-up';
  if (trace.open) Object.assign(marker, { symbol: marker.symbol + '-open', size: 8 });
  if (trace.c) Object.assign(marker, { color: trace.c, ...colours(trace.scale) });
  const bars = trace.sigma ? { [trace.sigmaOfX ? 'error_x' : 'error_y']: { type: 'data', array: trace.sigma, thickness: 1, width: 0, color: fade(colour, '99') } } : {};
  return { ...drawn, type: 'scatter', mode: 'markers', marker, ...bars };
}

function colours(scale) {
  return {
    colorscale: scale.diverging ? diverging : sequential, cmin: scale.min ?? undefined, cmax: scale.max ?? undefined, cmid: scale.diverging ? 0 : undefined,
    colorbar: { title: { text: withUnit(scale), side: 'right', font: { size: 11 } }, thickness: 10, tickfont: { size: 11 }, outlinewidth: 0, ...(scale.ticks ? { tickvals: scale.ticks.map((tick) => tick.at), ticktext: scale.ticks.map((tick) => tick.label) } : {}) }, showscale: true,
  };
}

function heat(trace, common, data) {
  const { cmin, cmax, cmid, ...look } = colours(trace.scale);
  const unit = trace.scale.unit ? ' ' + trace.scale.unit : '';
  const x = data.x.kind === 'time' ? '%{x|%Y-%m-%d %H:%M:%S} UTC' : `${data.x.title} %{x}${data.x.unit ? ' ' + data.x.unit : ''}`;
  const y = data.y.find((axis) => axis.id === trace.axis);
  const word = (value) => trace.scale.ticks?.find((tick) => tick.at === value)?.label ?? '';
  const words = trace.scale.ticks ? { text: trace.z.map((row) => row.map(word)) } : {};
  return {
    ...common, ...words, type: 'heatmap', showlegend: false, z: trace.z, zmin: cmin, zmax: cmax, zmid: cmid, ...look, hoverongaps: false,
    hovertemplate: `${x}<br>${y.title} %{y}${y.unit ? ' ' + y.unit : ''}<br>${trace.scale.title} ${trace.scale.ticks ? '%{text}' : '%{z:.5~g}' + unit}<extra></extra>`,
  };
}

function readOut(trace, data, unit) {
  const text = trace.x.map((_, i) => {
    const parts = [];
    if (trace.sigma && trace.sigma[i] !== null) parts.push('± ' + number(trace.sigma[i]) + (trace.sigmaOfX ? ' ' + (data.x.unit ?? '') : unit));
    if (trace.low && trace.low[i] !== null && trace.low[i] !== trace.high[i]) parts.push(`${number(trace.low[i])} … ${number(trace.high[i])}${unit}`);
    if (trace.c && trace.c[i] !== null) parts.push(`${trace.scale.title} ${number(trace.c[i])}${trace.scale.unit ? ' ' + trace.scale.unit : ''}`);
    if (trace.orbit) parts.push('orbit ' + trace.orbit[i]);
    if (trace.note && trace.note[i]) parts.push(trace.note[i]);
    return parts.length ? ' · ' + parts.join(' · ') : '';
  });
  const free = data.traces.some(isFree);
  const place = !free ? '' : data.x.kind === 'time' ? '%{x|%Y-%m-%d %H:%M:%S} UTC<br>' : `${data.x.title} %{x:.5~g}${data.x.unit ? ' ' + data.x.unit : ''}<br>`;
  return { text, template: `${place}${free ? escape(trace.name) + ' ' : ''}%{y:.6~g}${unit}%{text}${free ? '<extra></extra>' : ''}` };
}

function escape(text) { return text.replace(/[<>&{}%]/g, ' '); }

export function number(value) { return Number(value.toPrecision(4)).toString(); }

function bands(data) {
  return data.bands.map((band) => {
    const meaning = ['notice', 'warning', 'critical'].includes(band.kind);
    const colour = token(bandTokens[band.kind]);
    return { type: 'rect', xref: 'x', yref: 'paper', x0: band.from, x1: band.to, y0: 0, y1: 1, line: { width: 0 }, fillcolor: colour, opacity: meaning ? 0.14 : 1, layer: 'below' };
  });
}

// A label that would lie on the one before it is left out; the band is still there.
function bandLabels(data) {
  const room = 0.12 * ((data.x.max ?? 0) - (data.x.min ?? 0));
  let last = -Infinity;
  const labelled = data.bands.filter((band) => band.label && !['shadow', 'penumbra'].includes(band.kind)).sort((one, other) => one.from - other.from).filter((band) => {
    const free = band.from - last >= room;
    if (free) last = band.from;
    return free;
  });
  return labelled.slice(0, 12).map((band) => ({
    xref: 'x', yref: 'paper', x: band.from, y: 1, xanchor: 'left', yanchor: 'top', text: band.label, showarrow: false, font: { size: 10, color: token('ink-2') },
  }));
}

function lineColour(line) { return token(line.kind === 'reference' ? 'ink-2' : line.kind); }

function lines(data, axes) {
  return data.lines.map((line) => ({
    type: 'line', xref: line.from === null && line.to === null ? 'paper' : 'x', x0: line.from ?? 0, x1: line.to ?? 1, yref: axes.get(line.axis).id, y0: line.value, y1: line.value,
    line: { color: lineColour(line), width: 1.2, dash: line.kind === 'critical' ? 'solid' : line.kind === 'warning' ? 'dash' : 'dot' }, layer: 'above',
  }));
}

function lineLabels(data, axes) {
  return data.lines.filter((line) => line.label).map((line) => ({
    xref: 'paper', x: 1, xanchor: 'right', yref: axes.get(line.axis).id, y: line.value, yanchor: 'bottom', text: line.label, showarrow: false, font: { size: 10, color: lineColour(line) },
  }));
}

// A note is outlined, never filled: bands beneath it stay readable, and it does not hang on colour.
function noteShape(note) {
  const line = { color: token('accent'), width: 1.2, dash: 'dash' };
  return note.from === note.to ? { type: 'line', xref: 'x', yref: 'paper', x0: note.from, x1: note.from, y0: 0, y1: 1, line, layer: 'above' }
    : { type: 'rect', xref: 'x', yref: 'paper', x0: note.from, x1: note.to, y0: 0, y1: 1, line, fillcolor: 'rgba(0,0,0,0)', layer: 'above' };
}

function noteSign(note) {
  return {
    xref: 'x', yref: 'paper', x: note.from, y: 0, xanchor: 'left', yanchor: 'bottom', showarrow: false, captureevents: true, text: `note ${note.number}`, hovertext: escape(`${note.text} (${note.by})`),
    bgcolor: token('surface'), bordercolor: token('accent'), borderpad: 1, font: { size: 10, color: token('accent') }, hoverlabel: { bgcolor: token('surface'), bordercolor: token('line-strong'), font: { color: token('ink') } },
  };
}

function markerLine(marker) {
  return { type: 'line', xref: 'x', yref: 'paper', x0: marker.at, x1: marker.at, y0: 0, y1: 1, line: { color: token(markerTokens[marker.kind]), width: 1, dash: 'dot' }, layer: 'below' };
}

function markerSign(marker) {
  return {
    xref: 'x', yref: 'paper', x: marker.at, y: 1, yanchor: 'top', showarrow: false, text: markerSigns[marker.kind], hovertext: marker.label, captureevents: true, name: marker.href ?? undefined,
    font: { size: 13, color: token(markerTokens[marker.kind]) }, hoverlabel: { bgcolor: token('surface'), bordercolor: token('line-strong'), font: { color: token('ink') } },
  };
}
