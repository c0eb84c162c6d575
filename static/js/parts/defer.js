import { put } from '../api.js';
import { newUuid } from '../logic/uuid.js';
import { formDialog } from './form-dialog.js';

/**
 * The dialog that puts an inspection off, with a person's reason and a new date.
 *
 * @param {HTMLDialogElement} dialog
 * @param {() => void} done  called when the server has taken it
 * @returns {(bond: {id: number, label: string}) => void} opens it for a bond
 */
export function deferDialog(dialog, done) {
	let bond, uuid;
	const { open } = formDialog(dialog, ({ until_day, reason }) =>
		put(`/api/deferrals/${uuid}`, { bond_id: bond.id, until_day, reason }), done);

	return (which) => {
		bond = which;
		uuid = newUuid();
		dialog.querySelector('[data-f="label"]').textContent = bond.label;
		open();
	};
}
