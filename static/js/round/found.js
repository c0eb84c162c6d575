import { foundBody, nearRows } from '../logic/round-acts.js';
import { me } from '../parts/session.js';
import { make } from '../parts/template.js';
import { actForm, caution, chosen, doerOf, typedField } from './act-form.js';

/**
 * A bond that is not in the book: where and what it is, what was seen and measured. It is no bond
 * of the register by that; a planner says which bond it is.
 *
 * @param {HTMLElement} root
 * @param {{pack: object, last: object|undefined, words: object}} data  last: the row of bond_rows
 *	at which the crew was last
 * @param {{save(entries: object[]): Promise<boolean>, leave(): void}} wishes
 */
export function mountFound(root, { pack, last, words }, { save, leave }) {
	const { bond_rows: rows } = pack;
	const near = nearField(rows, last);
	const like = make('p', '', 'notice like');
	const tracks = [...new Set(rows.map(({ track }) => track).filter(Boolean))];

	return actForm(root, {
		title: 'A bond that is not in the book', word: 'SAVE: NOT IN THE BOOK',
		pieces: [caution('It may carry current', 'Look and measure; take nothing off and lift ' +
			'nothing. Keep clear of both sides of a gap.'),
		make('p', 'It is kept under a number of its own, and is no bond of the register yet: a ' +
			'planner says which bond it is, or registers it.'),
		near, like, typedField('Where: the post, and how far from it', 'place'),
		chosen('Track', 'track', [...tracks.map((track) => [track, track]), ['', 'not said']]),
		chosen('Rail, seen towards rising chainage', 'rail', [...words.rail, ['', 'not said']]),
		chosen('Kind', 'kind', words.bond_kind),
		typedField('What it joins: from what to what', 'joins'),
		typedField('What was seen of both ends and the cable', 'seen', { long: true }),
		typedField('Measured, µΩ (if it was)', 'measured_uohm', { inputmode: 'decimal' }),
		typedField('From where to where, and with which meter', 'measured_how'),
		typedField('Note', 'note', { long: true }),
		typedField('Found by', 'found_by', { value: me()?.name ?? '', most: 120 })],
		draft: { what: 'found-bonds', bond_id: null, label: 'not in the book',
			round: pack.round.uuid, page: `/round/${pack.round.uuid}#found` }
	}, { leave,
		typing: ({ near_bond_id: id }) => { like.textContent = likeWords(rows, id, words); },
		save: async (values, fields) => {
			const { body, errors } = foundBody({ ...values, found_by: doerOf(values, 'found_by') },
				rows, pack.round);

			return errors.length ? errors : save([{ what: 'found-bonds', uuid: values.uuid,
				label: `not in the book, ${body.place}`, bond_id: null, fields, body }]);
		} });
}

function nearField(rows, last) {
	const el = make('div', '', 'field');
	const select = Object.assign(make('select'), { name: 'near_bond_id', id: 'act-near' });

	select.append(...rows.map(({ bond_id: id, label, chainage, line }) =>
		new Option([label, chainage, line].filter(Boolean).join(', '), id, id === last?.bond_id,
			id === last?.bond_id)));
	el.append(Object.assign(make('label', 'Near which bond of the round'), { htmlFor: select.id }),
		select);
	return el;
}

/** Not a second bond for one that is in the book: those near by are named. */
function likeWords(rows, nearId, words) {
	return `In the book near there: ${nearRows(rows, Number(nearId)).map(({ label, chainage, kind,
		track, rail }) => [label, chainage, track, words.rail.get(rail),
		words.bond_kind.get(kind)].filter(Boolean).join(' ')).join('; ')}. Is it one of these? ` +
		'(Bonds that are not of this round are not known here.)';
}
