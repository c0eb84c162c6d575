import { ROW_MEANT } from '../logic/import.js';
import { recordDialog } from './form-dialog.js';
import { fill, fillSelect, make } from './template.js';

/**
 * What a row of an imported log meant: told, and for who may, stated in a dialog, also once the
 * import lies there.
 *
 * @param {HTMLDialogElement} dialog
 * @param {() => void} done  called when it is on record
 * @returns {(cell: HTMLElement, row: object, mayState: boolean) => void} for each row of imports
 */
export function importMeant(dialog, done) {
	let row;
	const { open } = recordDialog(dialog, ({ row_meant: meant, reason }) => ({ what: 'rulings',
		label: row.file_name, body: { kind: 'states_rows', import_id: row.id, row_meant: meant,
			reason } }), done);

	fillSelect(dialog.querySelector('select'), ROW_MEANT);
	return (cell, of, mayState) => {
		if (of.kind !== 'inspections')
			return;
		cell.append(ROW_MEANT.find(([code]) => code === of.row_meant)?.[1] ?? 'not stated', ' ');
		if (mayState && of.standing === 'counts' && !of.withdrawn) {
			const words = of.row_meant ? 'State it anew' : 'State it';
			const button = Object.assign(make('button', words), { type: 'button' });
			button.setAttribute('aria-label',
				`${button.textContent}: what a row of ${of.file_name} meant`);
			button.addEventListener('click', () => {
				row = of;
				fill(dialog, { file: of.file_name });
				open();
			});
			cell.append(button);
		}
	};
}
