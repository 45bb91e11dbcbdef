// Sends chosen or dropped files to POST /api/v1/packets, one after the other.
const largest = 512 * 1024 * 1024;

export function start(root) {
  const input = root.querySelector('[data-upload="files"]');
  const list = root.querySelector('[data-upload="list"]');
  const drop = input.closest('label');
  let queue = Promise.resolve();
  const add = (files) => {
    for (const file of files) {
      const line = document.createElement('li');
      line.textContent = `${file.name}: waiting`;
      list.prepend(line);
      queue = queue.then(() => send(file, line));
    }
  };
  input.addEventListener('change', () => { add([...input.files]); input.value = ''; });
  drop.addEventListener('dragover', (event) => { event.preventDefault(); drop.classList.add('is-over'); });
  drop.addEventListener('dragleave', () => drop.classList.remove('is-over'));
  drop.addEventListener('drop', (event) => { event.preventDefault(); drop.classList.remove('is-over'); add([...event.dataTransfer.files]); });
}

function send(file, line) {
  if (file.size > largest) {
    line.textContent = `${file.name}: ${(file.size / 1048576).toFixed(0)} MiB; at most 512 MiB can be sent at once. Put it into the inbox folder instead.`;
    return Promise.resolve();
  }
  return new Promise((resolve) => {
    const request = new XMLHttpRequest();
    request.open('POST', `/api/v1/packets?road=upload&name=${encodeURIComponent(file.name)}`);
    request.setRequestHeader('Content-Type', 'application/octet-stream');
    request.upload.addEventListener('progress', (event) => {
      if (event.lengthComputable) line.textContent = `${file.name}: ${Math.round(100 * event.loaded / event.total)} % sent`;
    });
    request.addEventListener('load', () => { line.textContent = `${file.name}: ${outcome(request)}`; resolve(); });
    request.addEventListener('error', () => { line.textContent = `${file.name}: the connection failed; send it again (what arrived is recognised).`; resolve(); });
    request.send(file);
  });
}

function outcome(request) {
  let answer = null;
  try { answer = JSON.parse(request.responseText); } catch { return `the server answered ${request.status} without a reason.`; }
  if (request.status >= 400) return answer.detail ?? answer.title ?? `the server answered ${request.status}.`;
  return `${answer.stored} stored, ${answer.duplicates} duplicates, ${answer.quarantined} quarantined`;
}
