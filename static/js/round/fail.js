import { defectCaution } from '../logic/defect.js';
import { failureBodies, openFailures } from '../logic/round-acts.js';
import { newUuid } from '../logic/uuid.js';
import { me } from '../parts/session.js';
import { make } from '../parts/template.js';
import { actForm, caution, chosen, doerOf, typedField } from './act-form.js';
import { list } from './pieces.js';

/**
 * A failure of one bond, or one and the same of several (a theft): one act, an entry for each.
 *
 * @param {HTMLElement} root
 * @param {{pack: object, rows: object[], entries: object[], words: object}} data  rows: of
 *	bond_rows
 * @param {{save(entries: object[]): Promise<boolean>, leave(): void}} wishes  save: all of them
 *	are on the disk, or none
 */
export function mountFail(root, { pack, rows, entries, words }, { save, leave }) {
	const [one] = rows;
	const bondOf = ({ bond_id: id }) => pack.bonds.find((bond) => bond.bond_id === id);
	const ids = rows.map(({ bond_id: id }) => id);
	const before = rows.flatMap((row) => openFailures(bondOf(row), entries)
		.map((failure) => `${row.label}: ${failureWords(failure, words)}, not made good`));
	const ends = rows.length > 1 ? [] : [chosen('Where', 'end', [['', 'the cable, or both'],
		...bondOf(one).known.ends.map(({ end, short }) => [end, short])])];

	return actForm(root, {
		title: rows.length > 1 ? `One failure of ${rows.length} bonds` : `${one.label} failed`,
		word: rows.length > 1 ? `SAVE FOR ${rows.length} BONDS` : 'SAVE THE FAILURE',
		pieces: [caution('Keep away from the open ends', defectCaution('missing')[1]),
			...rows.length > 1 ? [list(rows.map(({ label, chainage }) =>
				[label, chainage].filter(Boolean).join(', ')))] : [],
			...before.length ? [make('p', 'On record already:', 'notice'), list(before)] : [],
			chosen('What failed', 'mode', words.failure_mode), ...ends,
			typedField('Cause, if known', 'cause'), typedField('Note', 'note', { long: true }),
			typedField('Found by', 'found_by', { value: me()?.name ?? '', most: 120 })],
		draft: { what: 'failures', bond_id: rows.length > 1 ? null : one.bond_id,
			label: rows.map(({ label }) => label).join(', '), round: pack.round.uuid,
			page: `/round/${pack.round.uuid}#failed=${ids.join()}` }
	}, { leave, save: async (values, fields) => {
		if (!values.mode)
			return [{ field: 'mode', detail: 'Say what failed.' }];
		const bodies = failureBodies(ids, { ...values, found_by: doerOf(values, 'found_by') },
			pack.round.shift_day);

		return save(rows.map(({ label, bond_id: id }, i) => ({ what: 'failures', label,
			bond_id: id, uuid: i === 0 ? values.uuid : newUuid(), body: bodies[i], fields })));
	} });
}

/** A failure in a line, of the API or of this tablet. */
export const failureWords = ({ mode, end_words: end, found_day: day }, words) =>
	[words.failure_mode.get(mode), end, day].filter(Boolean).join(', ');
