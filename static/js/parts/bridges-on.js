import { getAll } from '../api.js';
import { make, row } from './template.js';

/**
 * The temporary bridges still on, the longest first, each with its age. The sheet is hidden when
 * there is none.
 *
 * @param {HTMLElement} sheet  with a table .bridges
 */
export async function bridgesOn(sheet) {
	const { rows } = await getAll('bridges', 'on=yes&sort=oldest');

	sheet.querySelector('.bridges > tbody').replaceChildren(...rows.map((bridge) => {
		const tr = row([bridge.age_days, 'figure bad'], '', bridge.line, bridge.place,
			bridge.on_day, bridge.done_by);
		const link = make('a', bridge.label);

		link.href = `/bonds/${bridge.bond_id}`;
		tr.cells[1].append(link);
		return tr;
	}));
	sheet.hidden = rows.length === 0;
}
