// views/event.js - something happened: an appliance cut out, a fuse blew, the bank was flat.
import { iso, toInput } from '../clock.js';
import { draw, html } from '../html.js';
import { chips, heading, moment, momentS, problem, readForm, saveAndLeave, saveBar } from '../parts/form.js';
import { newId } from '../uuid7.js';

const KINDS = ['cut_out', 'fuse_blown', 'restored', 'flat', 'jump_start'];
const OF_A_CIRCUIT = ['cut_out', 'fuse_blown', 'restored'];

export async function mount(root, app, [id]) {
  const edited = id ? app.data.events.find((event) => event.id === id) : null;
  const draftKey = `${app.rigId}/event/${edited ? edited.id : 'new'}`;
  let draft = (await app.draft(draftKey)) || begin(app, edited);
  const { say } = app.words;

  const paint = () => draw(root, html`<form novalidate autocomplete="off">${heading(app, say('event.title'))}
    ${chips('kind', say('event.kind'), KINDS.map((kind) => [kind, say(`event.${kind}`)]), draft.kind)}
    ${OF_A_CIRCUIT.includes(draft.kind) && chips('circuit', say('event.circuit'), app.data.circuits.map((circuit) => [circuit.id, circuit.name || circuit.id]), draft.circuit)}
    ${draft.kind === 'fuse_blown' && html`<p class="caution">${say('caution.fuse')}</p>`}
    ${draft.kind === 'flat' && html`<p class="caution">${say('caution.flat')}</p>`}
    ${draft.kind === 'jump_start' && html`<p class="caution">${say('caution.jump')}</p>`}
    ${moment(app, draft, say('event.when'))}
    <label class="field"><span>${say('reading.note')}</span><input type="text" name="note" maxlength="2000" value="${draft.note}"></label>
    ${problem('')}${saveBar(say('form.save'))}</form>`);
  paint();
  root.addEventListener('input', (event) => {
    draft = readForm(root.querySelector('form'), draft);
    app.store.saveDraft(draftKey, draft).catch(() => app.keepElsewhere(draftKey, draft));
    if (['kind', 'when'].includes(event.target.name)) {
      const { name, value } = event.target;
      paint();
      root.querySelector(`[name=${name}][value=${value}]`).focus();
    }
  });
  root.addEventListener('submit', async (event) => {
    event.preventDefault();
    const atS = momentS(app, draft);
    const needsCircuit = OF_A_CIRCUIT.includes(draft.kind);
    const fault = !draft.kind ? 'event.no_kind' : needsCircuit && !draft.circuit ? 'event.no_circuit'
      : Number.isNaN(atS) ? 'when.unfilled' : atS > app.now() + 60 ? 'when.future' : '';
    if (fault) {
      root.querySelector('#problem').textContent = say(fault);
      return;
    }
    const set = { kind: draft.kind, at: iso(atS, app.zone()), between: null, circuit_id: needsCircuit ? draft.circuit : null, note: draft.note.trim() || null };
    await saveAndLeave(app, root, [{ tbl: 'event', row: edited ? edited.id : newId(), set }],
      { draft: draftKey, done: { code: 'event.saved', args: {} }, leave: edited ? '#/logbook' : '#/tonight' });
  });
  return { lead: 'h1' };
}

function begin(app, edited) {
  const { fridgeId } = app.circuits();
  if (!edited) return { kind: null, circuit: fridgeId, when: 'now', note: '' };
  const at = edited.at || edited.between[1];
  return { kind: edited.kind, circuit: edited.circuit_id || fridgeId, when: 'other', at: toInput(Date.parse(at) / 1000, app.zone()), note: edited.note || '' };
}
