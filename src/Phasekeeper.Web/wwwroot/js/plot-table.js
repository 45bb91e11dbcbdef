// The values of a PlotDocument as CSV and as a table: what the picture shows, for those who cannot see it or want the numbers.

const largestTable = 400;

// A note of the team is a row too: at its start, with its words and its end.
function tracesOf(data) {
  return [...data.traces, ...(data.notes ?? []).map((note) => ({
    name: `note ${note.number} by ${note.by}`, x: [data.x.kind === 'time' ? note.from : ''], y: [''],
    note: [`${note.text} (${new Date(note.from).toISOString()} to ${new Date(note.to).toISOString()}${note.about ? ', ' + note.about : ''})`],
  }))];
}

function columnsOf(data) {
  const has = (name) => tracesOf(data).some((trace) => trace[name]);
  const units = new Map(data.y.map((axis) => [axis.id, axis.unit ?? '']));
  const x = data.x.kind === 'time' ? 'timeUtc' : camel(data.x.title) + (data.x.unit ? ` (${data.x.unit})` : '');
  const columns = [['series', (trace) => trace.name], [x, (trace, i) => place(data, trace.x[i])]];
  if (has('z')) columns.push(['y', (trace, i, row) => trace.z ? trace.y[row] : '']);
  columns.push(['value', (trace, i, row) => trace.z ? trace.z[row][i] : trace.y[i]]);
  for (const name of ['low', 'high', 'sigma']) if (has(name)) columns.push([name, (trace, i) => trace[name]?.[i]]);
  columns.push(['unit', (trace) => trace.z ? trace.scale.unit ?? '' : units.get(trace.axis)]);
  if (has('c')) columns.push(['colour', (trace, i) => trace.c?.[i]]);
  if (has('orbit')) columns.push(['orbit', (trace, i) => trace.orbit?.[i]]);
  if (has('note')) columns.push(['note', (trace, i) => trace.note?.[i]]);
  return columns;
}

function camel(title) { return title.charAt(0).toLowerCase() + title.slice(1); }

function place(data, x) { return data.x.kind === 'time' ? new Date(x).toISOString() : x; }

function* rowsOf(data, columns) {
  for (const trace of tracesOf(data)) {
    const rows = trace.z ? trace.z.length : 1;
    for (let row = 0; row < rows; row++) {
      for (let i = 0; i < trace.x.length; i++) yield columns.map(([, value]) => value(trace, i, row) ?? '');
    }
  }
}

export function csvOf(data) {
  const columns = columnsOf(data);
  const lines = [columns.map(([name]) => quoted(name)).join(',')];
  for (const row of rowsOf(data, columns)) lines.push(row.map(quoted).join(','));
  return lines.join('\n') + '\n';
}

function quoted(value) {
  const text = String(value);
  return /[",\n]/.test(text) ? '"' + text.replaceAll('"', '""') + '"' : text;
}

export function fillTable(target, data) {
  const columns = columnsOf(data);
  const table = document.createElement('table');
  table.className = 'data num';
  const caption = table.createCaption();
  caption.className = 'visually-hidden';
  caption.textContent = data.title;
  const head = table.createTHead().insertRow();
  for (const [name] of columns) {
    const cell = document.createElement('th');
    cell.scope = 'col';
    cell.textContent = name;
    head.append(cell);
  }
  const body = table.createTBody();
  let count = 0;
  for (const row of rowsOf(data, columns)) {
    if (count++ >= largestTable) break;
    const line = body.insertRow();
    for (const value of row) line.insertCell().textContent = typeof value === 'number' ? String(Number(value.toPrecision(7))) : value;
  }
  target.replaceChildren(table);
  if (count <= largestTable) return;
  const more = document.createElement('p');
  more.className = 'muted';
  more.textContent = `The first ${largestTable} rows are shown; CSV has all of them.`;
  target.append(more);
}
