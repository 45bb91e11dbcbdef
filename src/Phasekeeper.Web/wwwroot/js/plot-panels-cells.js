// The values of a panel as pixels: colours, and patterns for what is missing, bad or doubtful.
import { diverging, ramp, sequential } from '/js/plot-colours.js';
import { token } from '/js/plot-figure.js';
import { place, step } from '/js/plot-panels-layout.js';

export const ramps = { diverging: ramp(diverging), sequential: ramp(sequential) };

export const patternsOf = (g) => ({ missing: hatch(g, 1, token('line')), bad: hatch(g, -1, token('line-strong')), doubtful: dots(g) });

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

export function cells(g, plan, panel, trace, patterns, density) {
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
