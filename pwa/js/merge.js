// merge.js - folds changes into rows: per field the change with the greatest (clock, change id) wins.
// The order ends in the change's id, not the device's: a backup restored onto a second phone gives two
// writers with one device id and equal clocks.

/** @typedef {{id: string, dev: string, sv: number, hlc: string, tbl: string, row: string, set: object}} Op */
/** @typedef {{fields: object, clocks: Object<string, [string, string]>, made: string}} Row */

/**
 * One change folded into a row. Pure: the given row is left as it was.
 * @param {Row|undefined} row @param {Op} op @returns {Row}
 */
export function fold(row, op) {
  const fields = { ...(row ? row.fields : {}) };
  const clocks = { ...(row ? row.clocks : {}) };
  for (const [name, value] of Object.entries(op.set)) {
    const held = clocks[name];
    if (!held || later(op.hlc, op.id, held[0], held[1])) {
      fields[name] = value;
      clocks[name] = [op.hlc, op.id];
    }
  }
  // The row's place in a list is that of its earliest change, whichever order the changes arrive in.
  const made = row && row.made < op.hlc ? row.made : op.hlc;
  return { fields, clocks, made };
}

/** @returns {boolean} whether (hlc, id) a comes after b */
export const later = (hlcA, idA, hlcB, idB) => hlcA > hlcB || (hlcA === hlcB && idA > idB);

/**
 * The fields that differ, as a change would set them; a field that is gone is set to null.
 * @param {object} before @param {object} after @returns {object}
 */
export function difference(before, after) {
  const set = {};
  for (const [name, value] of Object.entries(after)) {
    if (!same(before[name], value)) set[name] = value;
  }
  for (const name of Object.keys(before)) {
    if (!(name in after) && before[name] !== null && name !== 'deleted') set[name] = null;
  }
  return set;
}

const same = (a, b) => a === b || (typeof a === 'object' && JSON.stringify(a) === JSON.stringify(b));
