/* Workbooks for the page tests, by the same writer as the other tests'. */
import { execFileSync } from 'node:child_process';
import { fileURLToPath } from 'node:url';

const writer = fileURLToPath(new URL('../../workbooks.py', import.meta.url));

/** @param {'xlsx'|'ods'} kind @param {Object<string, Array<Array>>} sheets  name -> rows of cells; "2020-03-31" is a day */
export const workbook = (kind, sheets) => execFileSync('python3', ['-B', writer, kind], { input: JSON.stringify(sheets) });
