// energy.js - the page's side of the model: sends the newest question to the worker and passes on what comes back.
import { ASSETS } from './assets-map.js';

const PATIENCE_MS = 90000; // after this the worker is taken for dead and replaced

/**
 * @param {{onAnswer: (reply: {stage: string, answer: object, suns: object[]|undefined}) => void,
 *   onCheckpoints: (made: object[]) => void, onError: (message: string) => void}} listener
 */
export function makeEnergy({ onAnswer, onCheckpoints, onError }) {
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
    else if (data.stage === 'checkpoints') onCheckpoints(data.checkpoints);
    else onAnswer(data);
  };

  /** The interpreter takes its time to start: the sooner it is told, the sooner it is ready. */
  const wake = () => {
    if (worker) return;
    worker = new Worker(ASSETS['js/energy-worker.js'], { type: 'module' });
    worker.onmessage = hear;
    worker.onerror = (event) => stop(event.message || 'worker');
  };

  return {
    wake,
    /**
     * @param {object} exported a daybank-export/1 object @param {number} askedAt epoch [s]
     * @param {{place: {lat_deg, lon_deg}|null, checkpoints: object[]}} more
     */
    ask(exported, askedAt, { place, checkpoints }) {
      wake();
      current += 1;
      worker.postMessage({ id: current, exported, asked_at: askedAt, place, checkpoints });
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
