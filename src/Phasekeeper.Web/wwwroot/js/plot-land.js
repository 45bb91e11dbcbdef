// Land outlines behind maps: /data/land-110m.json (its own header says where it comes from), read once and only when a map is drawn.
let reading = null;

export function landTrace() {
  reading ??= read().catch((error) => { reading = null; throw error; });
  return reading;
}

async function read() {
  const response = await fetch(new URL('/data/land-110m.json', document.baseURI));
  if (!response.ok) throw new Error(`The land outlines could not be read (${response.status} ${response.statusText}).`);
  const { rings, stepDeg } = await response.json();
  const [x, y] = [[], []];
  for (const ring of rings) {
    let [longitude, latitude] = [0, 0];
    for (let i = 0; i < ring.length; i += 2) {
      longitude += ring[i];
      latitude += ring[i + 1];
      x.push(longitude * stepDeg);
      y.push(latitude * stepDeg);
    }
    x.push(null);
    y.push(null);
  }
  return { x, y };
}
