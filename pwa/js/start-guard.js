// start-guard.js - shows the way to safe mode if the app has not drawn its first screen in time.
//
// A classic script without imports, loaded before the app's modules: it must work when they do not. The app says that
// it has drawn by setting data-drawn on <html>. The page holds the hidden text; see templates/_start_guard.html.

(() => {
  const PATIENCE_MS = 10_000; // our assumption, no source: far above a slow phone's start, short enough to wait for
  const page = document.documentElement;
  const show = () => {
    const note = document.getElementById('start-trouble');
    if (note) note.hidden = 'drawn' in page.dataset;
  };
  setTimeout(show, PATIENCE_MS);
  // a screen that comes late after all takes the note away again
  new MutationObserver(() => 'drawn' in page.dataset && show())
    .observe(page, { attributes: true, attributeFilter: ['data-drawn'] });
})();
