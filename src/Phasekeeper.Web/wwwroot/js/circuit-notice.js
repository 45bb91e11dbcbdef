// The server renders a page before the circuit that makes it work is there. Where none comes, because the server refuses it or cannot
// be reached, the page would look alive and be dead: this says so. It goes again as soon as a circuit comes, however late.
(function () {
  'use strict';
  // chosen: a circuit on a busy server takes up to two or three seconds; who waits longer wants to know why.
  const patienceMs = 5000;
  // chosen: whoever is shut out should know within ten seconds of looking at the page.
  const answerMs = 3000;
  let timer = null;
  let here = false;

  function notice() { return document.getElementById('circuit-notice'); }

  // Why no circuit is there, as far as the server tells: 'refused', 'waiting' or 'unreachable'.
  async function reason() {
    try {
      const answer = await fetch('/api/v1/me', { cache: 'no-store', headers: { Accept: 'application/json' }, signal: AbortSignal.timeout(answerMs) });
      return answer.status === 401 || answer.status === 403 ? 'refused' : 'waiting';
    } catch { return 'unreachable'; }
  }

  async function tell() {
    const why = await reason();
    if (here || !notice()) return;
    notice().dataset.why = why;
    // chosen: as often again, since what is slow now may be refused later, and the other way round.
    if (why !== 'refused') timer = window.setTimeout(tell, patienceMs);
  }

  window.pkCircuit = {
    // Called through the first circuit of the document: proof that it works.
    came() {
      here = true;
      window.clearTimeout(timer);
      if (notice()) delete notice().dataset.why;
    },
  };

  // A page without anything to click needs no circuit, and has no notice.
  if (notice()) timer = window.setTimeout(tell, patienceMs);
})();
