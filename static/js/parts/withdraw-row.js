import { recordDialog } from './form-dialog.js';
import { may } from './session.js';
import { fill, make } from './template.js';

/* What of a list an engineer takes back, as the API names it, and by what. */
const ENTRIES = {
	calibrations: 'calibration', conductors: 'conductor', 'rail-profiles': 'rail_profile',
	lines: 'line', tracks: 'track', maps: 'map', rulings: 'ruling'
};

/**
 * A first cell for each row of a list whose rows are taken back, with a button that asks for the
 * reason.
 *
 * @param {HTMLDialogElement} dialog
 * @param {string} list  its name
 * @param {object|null} person
 * @param {() => void} done  called when a withdrawal is on record
 * @returns {((row: object, words: string) => HTMLElement)|null}  null: nothing of it is taken back
 *	by who is here
 */
export function withdrawRows(dialog, list, person, done) {
	const entry = ENTRIES[list];
	let chosen, says;

	if (!entry || !may(person, 'manage'))
		return null;
	const { open } = recordDialog(dialog, ({ reason }) =>
		({ what: 'withdrawals', label: says, body: { entry, ...chosen, reason } }), done);

	return (row, words) => {
		const td = make('td', '', 'keep');
		const button = make('button', 'Withdraw');

		td.dataset.head = 'Withdraw';
		if (row.withdrawn)
			return td;
		button.type = 'button';
		button.setAttribute('aria-label', `Withdraw: ${words}`);
		button.addEventListener('click', () => {
			chosen = entry === 'ruling' ? { entry_id: row.uuid } : { entry_number: row.id };
			says = words;
			fill(dialog, { says });
			open();
		});
		td.append(button);
		return td;
	};
}
