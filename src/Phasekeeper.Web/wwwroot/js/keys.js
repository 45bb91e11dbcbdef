// "?" leads to the list of keys, unless text is being written or another program's keys are held.
document.addEventListener('keydown', (event) => {
  if (event.key !== '?' || event.ctrlKey || event.altKey || event.metaKey || event.defaultPrevented) return;
  const at = event.target;
  if (at instanceof Element && (at.closest('input, textarea, select') || at.isContentEditable)) return;
  document.querySelector('.page-bar a[href$="#keys"]')?.click();
});
