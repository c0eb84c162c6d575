import { get, put } from '../api.js';
import { newUuid } from '../logic/uuid.js';
import { formDialog } from './form-dialog.js';
import { fill, make } from './template.js';

const KINDS = ['inspections', 'failures'];   // lines, maps and bonds are not taken back so

/**
 * What a file brought is withdrawn as a whole, by who may, after what was recorded since was named.
 *
 * @param {HTMLDialogElement} dialog
 * @param {() => void} done  called when it is on record
 * @returns {(cell: HTMLElement, row: object, mayWithdraw: boolean) => void} for each row of imports
 */
export function importWithdraw(dialog, done) {
	let row, uuid;
	const { open } = formDialog(dialog, ({ reason }) => put(`/api/withdrawals/${uuid}`,
		{ entry: 'import', import_id: row.id, reason }), done);

	async function ask(of) {
		const { totals } = await get(`/api/recorded-since?import=${of.id}&limit=1`);

		row = of;
		uuid = newUuid();
		fill(dialog, { file: of.file_name, since: sinceWords(totals.entries) });
		dialog.querySelector('.since').href = `/list?of=recorded-since&import=${of.id}`;
		dialog.querySelector('.since').hidden = totals.entries === 0;
		open();
	}
	return (cell, of, mayWithdraw) => {
		if (of.withdrawn)
			cell.append('withdrawn');
		else if (mayWithdraw && KINDS.includes(of.kind) && of.added > 0) {
			const button = Object.assign(make('button', 'Withdraw'), { type: 'button' });
			button.setAttribute('aria-label', `Withdraw ${of.file_name}`);
			button.addEventListener('click', () => ask(of));
			cell.append(button);
		}
	};
}

const sinceWords = (entries) => entries === 0
	? 'Nothing was recorded since on the bonds that it brought entries of.'
	: `${entries} ${entries === 1 ? 'entry was' : 'entries were'} recorded since on the bonds ` +
		`that it brought entries of. They stay, and count.`;
