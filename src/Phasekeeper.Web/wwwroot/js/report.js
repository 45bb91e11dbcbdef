// Draws the plots of a report, which is a page for paper and has no circuit, and says on <html data-report> when all are drawn.
const nobody = { invokeMethodAsync() { return Promise.resolve(); } };

async function start() {
  const report = document.querySelector('[data-report]');
  if (!report) return;
  // Paper is light, whatever the screen has.
  document.documentElement.dataset.theme = 'light';
  const { show } = await import('/Shared/Plots/PlotView.razor.js');
  const figures = [...report.querySelectorAll('figure.plot[data-url]')];
  for (const figure of figures) {
    const url = figure.dataset.url;
    show(figure, {
      url, revision: 0, group: null, heatMaps: url.includes('/completeness'), panels: figure.closest('[data-panels]') !== null, title: figure.querySelector('h2').textContent,
      reportsZoom: false, reportsPoints: false, lineScript: report.dataset.lines, heatMapScript: report.dataset.heat,
    }, nobody);
  }
  const timer = window.setInterval(() => {
    if (figures.some((figure) => figure.dataset.state === 'loading')) return;
    window.clearInterval(timer);
    const failed = figures.filter((figure) => figure.dataset.state === 'failed');
    document.documentElement.dataset.report = failed.length === 0 ? 'drawn' : 'failed: ' + failed.map((figure) => figure.querySelector('h2').textContent).join(', ');
  }, 100);
}

start();
