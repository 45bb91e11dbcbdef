// The words of a page lie over it while they are open: Esc and a click beside them close them. It needs no circuit.
const opened = () => document.querySelector('[data-words-here][open]');

document.addEventListener('keydown', (event) => {
  const words = event.key === 'Escape' ? opened() : null;
  if (!words) return;
  if (words.contains(document.activeElement)) words.querySelector('summary').focus();
  words.open = false;
});

document.addEventListener('click', (event) => {
  const words = opened();
  if (words && !words.contains(event.target)) words.open = false;
});
