// views/charge.js - a drive or shore power: which charger, how long, and when it ended.
import { iso, toInput } from '../clock.js';
import { draw, html } from '../html.js';
import { decimal, parseDecimal } from '../numbers.js';
import { chips, heading, moment, momentS, problem, readForm, saveAndLeave, saveBar } from '../parts/form.js';
import { newId } from '../uuid7.js';

export async function mount(root, app, [id]) {
  const edited = id ? app.data.charges.find((charge) => charge.id === id) : null;
  const draftKey = `${app.rigId}/charge/${edited ? edited.id : 'new'}`;
  const sources = app.data.sources.filter((source) => source.kind !== 'solar');
  let draft = (await app.draft(draftKey)) || begin(app, edited, sources);
  const { say } = app.words;

  const paint = () => draw(root, html`<form novalidate autocomplete="off">${heading(app, say('charge.title'))}
    ${chips('source', say('charge.source'), sources.map((source) => [source.id, source.name || say(`charge.${source.kind}`)]), draft.source)}
    <label class="field"><span>${say('charge.hours')}</span><input type="text" inputmode="decimal" name="hours" value="${draft.hours}" aria-describedby="problem"></label>
    ${moment(app, draft, say('charge.ended'))}
    <p class="caution">${say('caution.charging')}</p>${problem('')}${saveBar(say('form.save'))}</form>`);
  paint();
  root.addEventListener('input', () => {
    const before = draft;
    draft = readForm(root.querySelector('form'), before);
    app.store.saveDraft(draftKey, draft).catch(() => app.keepElsewhere(draftKey, draft));
    if (before.when !== draft.when) {
      paint();
      root.querySelector(`[name=when][value=${draft.when}]`).focus();
    }
  });
  root.addEventListener('submit', async (event) => {
    event.preventDefault();
    const hours = parseDecimal(draft.hours);
    const endS = momentS(app, draft);
    const fault = !draft.source ? 'charge.no_source' : !(hours > 0 && hours <= 1000) ? 'charge.no_hours' : Number.isNaN(endS) ? 'when.unfilled' : '';
    if (fault) {
      root.querySelector('#problem').textContent = say(fault);
      return;
    }
    const set = { source_id: draft.source, starts_at: iso(endS - hours * 3600, app.zone()), hours };
    await saveAndLeave(app, root, [{ tbl: 'charge', row: edited ? edited.id : newId(), set }],
      { draft: draftKey, done: { code: 'charge.saved', args: {} }, leave: edited ? '#/logbook' : '#/tonight' });
  });
  return { lead: 'h1' };
}

function begin(app, edited, sources) {
  if (!edited) return { source: sources.length === 1 ? sources[0].id : null, hours: '', when: 'now' };
  const endS = Date.parse(edited.starts_at) / 1000 + edited.hours * 3600;
  return { source: edited.source_id, hours: decimal(edited.hours, 2, app.words.locale), when: 'other', at: toInput(endS, app.zone()) };
}
