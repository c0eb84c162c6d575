import { bridgesOn } from '../logic/shift.js';
import { me } from '../parts/session.js';
import { make } from '../parts/template.js';
import { actForm, caution, doerOf, typedField } from './act-form.js';
import { button } from './pieces.js';

/**
 * A temporary bridge in the place of a bond: put on; and those that are on taken off.
 *
 * @param {HTMLElement} root
 * @param {{pack: object, bond: object, entries: object[]}} data
 * @param {{save(entries: object[]): Promise<boolean>, leave(): void, off(bridge: object): void}}
 *	wishes
 */
export function mountBridge(root, { pack, bond, entries }, { save, leave, off }) {
	const { row, bond_id: id } = bond;
	const known = new Set([...bond.bridges.map(({ uuid }) => uuid), ...entries.filter((one) =>
		one.what === 'bridges' && one.bond_id === id).map(({ uuid }) => uuid)]);
	const on = bridgesOn(pack, entries).filter(({ uuid }) => known.has(uuid));

	return actForm(root, {
		title: `${row.label}: temporary bridge`, word: 'SAVE: BRIDGE ON',
		pieces: [caution('First on, last off', 'It is put on before anything is cut or lifted, ' +
			'and taken off when the bond is proved. On a track-circuited rail none without the ' +
			'signalling engineer, and a test after: a wrong one can show an occupied track as ' +
			'clear.'),
		...on.map((one) => isOn(one, off)),
		typedField(on.length ? 'Another one, from where to where' : 'From where to where', 'place'),
		typedField('Note', 'note', { long: true }),
		typedField('Put on by', 'put_on_by', { value: me()?.name ?? '', most: 120 })],
		draft: { what: 'bridges', bond_id: id, label: row.label, round: pack.round.uuid,
			page: `/round/${pack.round.uuid}#bridge=${id}` }
	}, { leave, save: async (values, fields) => values.place.trim() ? save([{ what: 'bridges',
		uuid: values.uuid, label: row.label, bond_id: id, fields, body: { bond_id: id,
			on_day: pack.round.shift_day, place: values.place.trim(), round: pack.round.uuid,
			note: values.note.trim() || undefined, put_on_by: doerOf(values, 'put_on_by') } }])
		: [{ field: 'place', detail: 'Say from where to where, as somebody finds it.' }] });
}

function isOn(bridge, off) {
	const el = make('section', '', 'bridge');

	el.append(make('p', 'BRIDGE ON', 'big'), make('p', `${bridge.place}, since ${bridge.day}`),
		button('It is off, now', () => off(bridge)));
	return el;
}
