// parts/file-picker.js - a person's own file, opened on the phone; used on the first visit and on the rig's page.
import { html } from '../html.js';

/** A real file field under a large label. */
export const filePicker = (label) => html`<label class="file-button"><input type="file" name="file" accept=".json,application/json"><span>${label}</span></label>`;

/** Opens what is picked; a file that cannot be taken is refused with its reason beside the field. */
export function listenForFile(root, app) {
  root.addEventListener('change', async (event) => {
    const file = event.target.type === 'file' && event.target.files[0];
    if (!file) return;
    const place = root.querySelector('#problem');
    place.textContent = '';
    app.toast({ code: 'file.reading', args: {} }); // ten years of log take some seconds
    try {
      await app.openFile(await file.text());
    } catch (error) {
      app.toast(null);
      place.textContent = error.code && error.args ? app.words.say(error.code, error.args) : app.words.say('store.refused', { reason: error.name });
    }
    event.target.value = '';
  });
}
