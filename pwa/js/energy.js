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
  let asked = 0;
  const sums = new Map(); // number -> what waits for it

  const stop = (message) => {
    clearTimeout(alarm);
    if (worker) worker.terminate();
    worker = null;
    for (const { reject } of sums.values()) reject(new Error(message));
    sums.clear();
    onError(message);
  };

  const hear = ({ data }) => {
    if (data.sum) {
      const waits = sums.get(data.sum);
      sums.delete(data.sum);
      const reply = data.error ? data : JSON.parse(data.text);
      if (waits && reply.error) waits.reject(new Error(reply.error));
      else if (waits) waits.resolve(reply);
      return;
    }
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
    /**
     * A smaller sum for a page, by the names in energy-worker.js: 'sheet', 'arc', or 'answer' to another question.
     * @param {string} name @param {object} about what the sum needs @returns {Promise<object>} rejects with a sentence
     */
    sum(name, about) {
      wake();
      asked += 1;
      const number = asked;
      return new Promise((resolve, reject) => {
        sums.set(number, { resolve, reject });
        worker.postMessage({ sum: number, name, text: JSON.stringify(about) });
      });
    },
    /** Whatever is being worked out is of no more use. */
    forget() {
      current += 1;
      clearTimeout(alarm);
    },
  };
}
