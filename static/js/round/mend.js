import { madeWords, openFailures, repairBody } from '../logic/round-acts.js';
import { attachmentsOf } from '../logic/shift.js';
import { me } from '../parts/session.js';
import { make } from '../parts/template.js';
import { actForm, caution, chosen, doerOf, typedField } from './act-form.js';
import { failureWords } from './fail.js';
import { button, group, link, part } from './pieces.js';

/**
 * A failure of a bond is made good.
 *
 * @param {HTMLElement} root
 * @param {{pack: object, bond: object, entries: object[], words: object}} data
 * @param {{save(entries: object[]): Promise<boolean>, leave(): void}} wishes
 */
export function mountMend(root, { pack, bond, entries, words }, { save, leave }) {
	const { row } = bond;
	const open = openFailures(bond, entries);
	const how = madeWords(attachmentsOf(entries, bond.bond_id), bond.known.ends,
		words.attach_method);

	if (open.length === 0) {
		root.replaceChildren(part(`${row.label}: no open failure`, make('p', 'As far as this ' +
			'tablet knows, each failure of this bond is made good.'), group(link('It failed',
			`#failed=${bond.bond_id}`), button('Back to the walk', leave))));
		return undefined;
	}
	return actForm(root, {
		title: `${row.label}: made good`, word: 'SAVE: MADE GOOD',
		pieces: [caution('Before cutting, grinding or brazing', 'Only with the isolation or ' +
			'the other path for the current that your railway\'s rules ask for. Eye protection ' +
			'shaded to the process, flame-proof clothing and gloves, others kept at a distance.'),
		chosen('Which failure', 'failure', open.map((one) => [one.uuid, failureWords(one, words)]),
			open.length === 1 ? open[0].uuid : ''),
		typedField('How', 'how', { long: true, value: how }),
		make('p', 'A new attachment is recorded by itself, so that its spot on the rail is ' +
			'known. The bond is sound again once it is read.', 'quiet'),
		typedField('Made good by', 'made_good_by', { value: me()?.name ?? '', most: 120 })],
		draft: { what: 'repairs', bond_id: bond.bond_id, label: row.label, round: pack.round.uuid,
			page: `/round/${pack.round.uuid}#mend=${bond.bond_id}` }
	}, { leave, save: async (values, fields) => {
		const wrong = [!values.failure && { field: 'failure', detail: 'Say which failure it is.' },
			!values.how.trim() && { field: 'how', detail: 'Say how it was made good.' }]
			.filter(Boolean);

		return wrong.length ? wrong : save([{ what: 'repairs', uuid: values.uuid, label: row.label,
			bond_id: bond.bond_id, fields, body: repairBody({ ...values, made_good_by:
				doerOf(values, 'made_good_by') }, bond.bond_id, entries, pack.round.shift_day) }]);
	} });
}
