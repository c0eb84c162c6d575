import { getAll } from '../api.js';
import { make, row } from './template.js';
import { withdrawRows } from './withdraw-row.js';

/**
 * The chainage maps that a line ever had, newest first; who may takes one back.
 *
 * @param {HTMLElement} el  the part of the page
 * @param {HTMLDialogElement} dialog  of the withdrawal
 * @param {{line: object, person: object|null}} on
 * @param {() => void} done  called when a withdrawal is on record: places are read otherwise
 */
export async function lineMaps(el, dialog, { line, person }, done) {
	const { rows } = await getAll('maps', `line=${line.id}`);
	const takeBack = withdrawRows(dialog, 'maps', person, done);

	el.hidden = rows.length === 0;
	if (takeBack)
		el.querySelector('thead > tr').append(Object.assign(make('th', 'Withdraw'),
			{ scope: 'col' }));
	el.querySelector('tbody').replaceChildren(...rows.map((one) => {
		const tr = row(one.track, [one.entered_at.slice(0, 10), 'keep'], one.entered_by ?? '',
			standing(one));
		if (takeBack)
			tr.append(takeBack(one, `chainage map of ${line.code}, ${one.track}, recorded on ` +
				one.entered_at.slice(0, 10)));
		return tr;
	}));
}

function standing({ withdrawn, withdrawn_by: by, withdrawn_why: why, in_force: holds }) {
	return withdrawn ? `withdrawn by ${by}: ${why}` : holds ? 'in force' : 'a later one holds';
}
