import { doerToSend } from '../logic/doer.js';
import { newUuid } from '../logic/uuid.js';
import { formDialog } from './form-dialog.js';
import { makePhoto } from './photo.js';
import { record } from './queue.js';
import { me } from './session.js';

/**
 * The dialog that adds a photo to a bond, one of its ends, or what was recorded of it.
 *
 * @param {HTMLDialogElement} dialog
 * @param {{id: number, label: string, ends: object[]}} bond
 * @param {() => void} done
 * @returns {(day: string, entries: [string, string, string][]) => void}  opens it; entries: kind,
 *	id and words of each that the photo may be of
 */
export function addPhoto(dialog, bond, done) {
	const of = dialog.querySelector('select');
	const input = dialog.querySelector('[type="file"]');
	let uuid = null, made = null, madeOf = null;

	async function send(values) {
		const [file] = input.files;

		if (file !== madeOf)
			made = await makePhoto(file);
		madeOf = file;
		const { pictures, ...hashes } = made;
		const { taken_day, note, taken_by } = values;
		const body = { bond_id: bond.id, taken_day, note: note.trim() || undefined,
			taken_by: doerToSend(taken_by, me()) || undefined, ...JSON.parse(values.of),
			...hashes };

		await record({ uuid, what: 'photos', bond_id: bond.id, label: bond.label, body, pictures });
	}

	const { open } = formDialog(dialog, send, done);

	return (day, entries) => {
		[uuid, made, madeOf] = [newUuid(), null, null];
		of.replaceChildren(new Option('the bond', '{}'),
			...bond.ends.map(({ end, short }) => new Option(short, JSON.stringify({ end }))),
			...entries.map(([entry, entry_id, words]) =>
				new Option(words, JSON.stringify({ entry, entry_id }))));
		open({ taken_day: day, taken_by: me().name });
	};
}
