// energy.js - the page's side of the model: sends the newest question to the worker and passes on what comes back.
import { ASSETS } from './assets-map.js';

const PATIENCE_MS = 90000; // after this the worker is taken for dead and replaced

/**
 * @param {{onAnswer: (reply: {stage: string, answer: object, suns: object[]|null}) => void, onError: (message: string) => void}} listener
 */
export function makeEnergy({ onAnswer, onError }) {
  let worker = null;
  let current = 0;
  let alarm = null;

  const stop = (message) => {
    clearTimeout(alarm);
    if (worker) worker.terminate();
    worker = null;
    onError(message);
  };

  const hear = ({ data }) => {
    if (data.id !== current) return; // an older question's answer
    if (data.stage !== 'first') clearTimeout(alarm);
    if (data.error) onError(data.error);
    else onAnswer(data);
  };

  return {
    /** @param {object} exported a daybank-export/1 object @param {number} askedAt epoch [s] @param {{lat_deg, lon_deg}|null} place */
    ask(exported, askedAt, place) {
      if (!worker) {
        worker = new Worker(ASSETS['js/energy-worker.js'], { type: 'module' });
        worker.onmessage = hear;
        worker.onerror = (event) => stop(event.message || 'worker');
      }
      current += 1;
      worker.postMessage({ id: current, exported, asked_at: askedAt, place });
      clearTimeout(alarm);
      alarm = setTimeout(() => stop('worker'), PATIENCE_MS);
    },
    /** Whatever is being worked out is of no more use. */
    forget() {
      current += 1;
      clearTimeout(alarm);
    },
  };
}
