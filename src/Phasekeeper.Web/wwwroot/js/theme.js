// Light, dark or as the system: put on <html> before the first paint, remembered in this browser. The cookie tells the
// server which palette to render first. Works without the circuit.
(function () {
  'use strict';
  const key = 'pk-theme';
  const order = ['system', 'light', 'dark'];
  const system = window.matchMedia('(prefers-color-scheme: dark)');
  let follower = null;

  function chosen() {
    let value = null;
    try { value = window.localStorage.getItem(key); } catch { /* storage is switched off in this browser: the system's theme it is */ }
    return order.includes(value) ? value : 'system';
  }

  function isDark() {
    const choice = chosen();
    return choice === 'dark' || (choice === 'system' && system.matches);
  }

  function apply() {
    const dark = isDark();
    const root = document.documentElement;
    const changed = root.dataset.theme !== (dark ? 'dark' : 'light');
    root.dataset.theme = dark ? 'dark' : 'light';
    root.dataset.themeChoice = chosen();
    document.cookie = key + '=' + root.dataset.theme + '; path=/; max-age=31536000; samesite=strict';
    if (!changed) return;
    document.dispatchEvent(new CustomEvent('pk-theme', { detail: { dark } }));
    if (follower) follower.invokeMethodAsync('SetDark', dark);
  }

  window.pkTheme = {
    follow(reference) {
      follower = reference;
      // The first call that comes through a circuit: the page works now.
      if (window.pkCircuit) window.pkCircuit.came();
      return isDark();
    },
    unfollow() { follower = null; },
  };

  system.addEventListener('change', apply);
  document.addEventListener('click', function (event) {
    if (!(event.target instanceof Element)) return;
    if (event.target.closest('[data-reload]')) { window.location.reload(); return; }
    if (!event.target.closest('[data-theme-toggle]')) return;
    const next = order[(order.indexOf(chosen()) + 1) % order.length];
    try { window.localStorage.setItem(key, next); } catch { /* not remembered beyond this page where storage is switched off */ }
    apply();
  });
  apply();
})();
