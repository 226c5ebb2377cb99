// views/first.js - the first visit: look at the demo rig, describe a rig of one's own, or bring a file.
import { draw, html } from '../html.js';
import { filePicker, listenForFile } from '../parts/file-picker.js';

export async function mount(root, app) {
  const { say } = app.words;
  const begun = Boolean(await app.draft('setup'));
  draw(root, html`<h1 tabindex="-1">${say('first.title')}</h1><p>${say('first.what')}</p><p class="quiet">${say('first.keeps')}</p>
    <p id="problem" class="problem" role="alert"></p>
    <div class="action-bar"><button type="button" class="primary" data-act="demo">${say('first.demo')}</button>
      <a class="file-button" href="#/setup">${say(begun ? 'setup.go_on' : 'setup.begin')}</a>${filePicker(say('first.file'))}</div>`);
  root.addEventListener('click', async (event) => {
    if (event.target.dataset.act !== 'demo') return;
    event.target.disabled = true;
    try {
      await app.openDemo();
    } catch (error) {
      event.target.disabled = false;
      root.querySelector('#problem').textContent = say('first.demo_failed', { reason: error.message });
    }
  });
  listenForFile(root, app);
  return { lead: 'h1' };
}
