import { get } from '../api.js';
import { standingWords } from '../logic/import.js';
import { recordDialog } from './form-dialog.js';
import { fill, make } from './template.js';

const LOOK_AGAIN_MS = 1000;
const LOOKS = 'Looking what was recorded since …';
const OF_ENTRIES = ['inspections', 'failures'];

/**
 * What a file brought is withdrawn as a whole, by who may, after what was recorded since was named.
 *
 * @param {HTMLDialogElement} dialog
 * @param {() => void} done  called when it is on record, and again until it counts for nothing
 * @returns {(cell: HTMLElement, row: object, mayWithdraw: boolean) => void} for each row of imports
 */
export function importWithdraw(dialog, done) {
	let row;
	const { open } = recordDialog(dialog, ({ reason }) => ({ what: 'withdrawals',
		label: row.file_name, body: { entry: 'import', import_id: row.id, reason } }), done);

	/* (of a file of all bonds that is a long look: the dialog is there at once, and says so) */
	async function ask(of) {
		const button = dialog.querySelector('button.main');

		row = of;
		fill(dialog, { file: of.file_name, since: LOOKS });
		dialog.querySelector('.since').hidden = true;
		open();
		button.disabled = true;         // what it says is read first
		try {
			const { totals } = await get(`/api/recorded-since?import=${of.id}&limit=1`);

			if (row !== of)
				return;
			fill(dialog, { since: sinceWords(of.kind, totals.entries) });
			dialog.querySelector('.since').href = `/list?of=recorded-since&import=${of.id}`;
			dialog.querySelector('.since').hidden = totals.entries === 0;
			button.disabled = false;
		} catch (problem) {
			fill(dialog, { since: `What was recorded since is not known: ${problem.message}` });
		}
	}
	return (cell, of, mayWithdraw) => {
		cell.append(standingWords(of), ' ');
		if (of.standing === 'being_withdrawn')
			setTimeout(done, LOOK_AGAIN_MS);
		if (!of.withdrawn && mayWithdraw && (of.standing === 'under_way' ||
			(of.standing === 'counts' && of.added > 0))) {
			const button = Object.assign(make('button', 'Withdraw'), { type: 'button' });
			button.setAttribute('aria-label', `Withdraw ${of.file_name}`);
			button.addEventListener('click', () => ask(of));
			cell.append(button);
		}
	};
}

/* What stands on a bond, line, track or map keeps it. */
function sinceWords(kind, entries) {
	const onEntries = OF_ENTRIES.includes(kind);
	const where = onEntries ? 'on the bonds that it brought entries of' : 'on what it brought';

	return entries === 0 ? `Nothing was recorded since ${where}.`
		: `${entries} ${entries === 1 ? 'entry was' : 'entries were'} recorded since ${where}. ` +
			(onEntries ? 'They stay, and count.' : 'It is withdrawn once nothing stands on it: ' +
				'those that count are withdrawn first.');
}
