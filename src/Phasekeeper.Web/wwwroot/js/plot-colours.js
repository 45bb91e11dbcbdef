// Colour scales of heat maps and coloured points: dark to light where only size matters, two hues where the sign does. The signed scale is neutral at zero, of steps that
// are even to the eye with and without full colour vision, and as dark at one end as at the other, so that +100 and −100 weigh the same (PlotColoursTests measures it).
export const sequential = [[0, '#12263a'], [0.2, '#174f68'], [0.4, '#1f7d84'], [0.6, '#56a97f'], [0.8, '#adcb6b'], [1, '#f6e8a0']];
export const diverging = [
  [0, '#493786'], [0.1, '#6754b1'], [0.2, '#8774d9'], [0.3, '#a79ee3'], [0.4, '#cbc7eb'], [0.5, '#f2efed'],
  [0.6, '#e4c5ab'], [0.7, '#d69a65'], [0.8, '#c26f01'], [0.9, '#955400'], [1, '#6b3a00'],
];

const channels = (hex) => [1, 3, 5].map((i) => parseInt(hex.slice(i, i + 2), 16));

// 256 colours [r, g, b] from a scale's low end to its high end.
export function ramp(scale) {
  return Array.from({ length: 256 }, (_, k) => {
    const t = k / 255;
    const at = Math.max(1, scale.findIndex(([place]) => place >= t));
    const [[from, low], [to, high]] = [scale[at - 1], scale[at]];
    const share = (t - from) / (to - from);
    const [a, b] = [channels(low), channels(high)];
    return a.map((value, i) => Math.round(value + share * (b[i] - value)));
  });
}
