import { getAll } from '../api.js';
import { readNumber, writeFigure } from '../logic/number.js';
import { recordDialog } from './form-dialog.js';
import { fill, make } from './template.js';

/**
 * What the readings of imported files were measured with: told, and for who may, asked in a dialog.
 *
 * @param {HTMLDialogElement} dialog
 * @param {() => void} done  called when it is on record
 * @returns {{stated: () => Promise<Map<number, object>>, fillCell: (cell: HTMLElement, row: object,
 *	stated: Map<number, object>, mayState: boolean) => void}}
 */
export function importMeter(dialog, done) {
	let row;
	const { open } = recordDialog(dialog, ({ percent, uohm, reason }) => {
		const figures = { percent: readNumber(percent), uohm: readNumber(uohm) };
		const errors = Object.entries(figures).filter(([, { problem }]) => problem)
			.map(([field, { problem: detail }]) => ({ field, detail }));

		if (errors.length)
			throw Object.assign(new Error(errors[0].detail), { errors });
		return { what: 'rulings', label: row.file_name, body: { kind: 'states_meter',
			import_id: row.id, percent: figures.percent.value, uohm: figures.uohm.value,
			reason } };
	}, done);

	return {
		/** By the number of the import; the newest word counts. */
		async stated() {
			const { rows } = await getAll('rulings', 'kind=states_meter&sort=oldest');
			return new Map(rows.map((one) => [one.import_id, one]));
		},
		fillCell(cell, of, stated, mayState) {
			const said = stated.get(of.id);

			if (of.kind !== 'inspections')
				return;
			cell.append(said ? `${writeFigure(said.percent, 3)} % + ${writeFigure(said.uohm,
				3)} µΩ, by ${said.person} ` : 'not stated ');
			if (mayState) {
				const button = Object.assign(make('button', said ? 'State it anew' : 'State it'),
					{ type: 'button' });
				button.setAttribute('aria-label',
					`${button.textContent}: what ${of.file_name} was measured with`);
				button.addEventListener('click', () => {
					row = of;
					fill(dialog, { file: of.file_name });
					open();
				});
				cell.append(button);
			}
		}
	};
}
