import { get, getAll, post, put } from '../api.js';
import { newUuid } from '../logic/uuid.js';
import { choices } from './choices.js';
import { formDialog } from './form-dialog.js';
import { fill, make, row } from './template.js';

const NEAR_MM = 500_000;

/**
 * Bonds that crews found and that are not in the book, those that wait for an answer: which bond
 * each is. The sheet is hidden when there is none.
 *
 * @param {HTMLElement} sheet  with a table .found
 * @param {{words: Record<string, Map<string, string>>, answer?: (found: object) => void}} how
 *	answer: asks which bond it is; left out: it is only told
 */
export async function foundBonds(sheet, { words, answer }) {
	const { rows } = await getAll('found-bonds', 'open=yes&sort=oldest');

	sheet.querySelector('.found > tbody').replaceChildren(...rows.map((found) => {
		const tr = row(found.found_day, found.crew ?? '', found.done_by, found.line,
			whereWords(found, words), words.bond_kind.get(found.kind), found.joins, found.seen,
			measuredWords(found), '');
		const button = Object.assign(make('button', 'Which bond is it?'), { type: 'button' });

		button.setAttribute('aria-label', `Which bond is it, ${found.place}?`);
		button.addEventListener('click', () => answer(found));
		if (answer)
			tr.lastElementChild.append(button);
		return tr;
	}));
	sheet.hidden = rows.length === 0;
	return rows.length;
}

const whereWords = ({ place, near, near_chainage: at, track, rail }, words) => [place,
	near && `near ${near}${at ? ` (${at})` : ''}`, track, words.rail.get(rail)]
	.filter(Boolean).join(', ');

const measuredWords = ({ measured_uohm: value, measured_how: how, note }) =>
	[value !== null && `${value} µΩ`, how, note].filter(Boolean).join(', ');

/**
 * The dialog that says which bond a found one is: one of the book, a new one, or none.
 *
 * @param {HTMLDialogElement} dialog  the part found-answer
 * @param {(found: object) => void} done
 * @param {Record<string, Map<string, string>>} words
 * @returns {(found: object) => Promise<void>} opens it
 */
export function foundDialog(dialog, done, words) {
	const form = dialog.querySelector('form');
	let found = null, uuid = null;

	choices(form.querySelector('[data-name="how"]'), 'how', [['is', 'it is a bond of the book'],
		['new', 'it is a new one: register it'], ['none', 'it is none']]);
	choices(form.querySelector('[data-name="b_on"]'), 'b_on', words.end_on, 'rail');

	function show() {
		for (const part of form.querySelectorAll('[data-how]'))
			part.hidden = part.dataset.how !== form.elements.how.value;
		form.querySelector('.structure').hidden = form.elements.b_on.value === 'rail';
	}

	/* Registered twice with the same content is registered once. */
	async function send(values) {
		const bond = values.how === 'is' ? Number(values.bond_id) || undefined
			: values.how === 'new' ? (await post('/api/bonds', newBond(values))).id : undefined;

		if (values.how === 'is' && !bond)
			throw { errors: [{ field: 'bond_id', detail: 'Say which bond it is.' }] };
		await put(`/api/found-answers/${uuid}`, { found: found.uuid, bond_id: bond,
			said: values.said?.trim() || undefined });
		return found;
	}

	const newBond = ({ label, a_chainage: chainage, b_on: on, b_structure: structure,
		b_track: track }) => ({ line: found.line, label: label.trim(), kind: found.kind,
		a_chainage: chainage.trim(), a_track: found.track ?? undefined,
		a_rail: found.rail ?? undefined, ...on !== 'rail' && { b_on: on,
			b_structure: structure.trim() || undefined },
		...track.trim() && { b_track: track.trim() }, installed_day: undefined,
		note: `Found by a crew on ${found.found_day}: ${found.place}; ${found.joins}.` });

	const { open } = formDialog(dialog, send, done);

	form.addEventListener('change', show);
	return async (one) => {
		[found, uuid] = [one, newUuid()];
		fill(dialog, { place: one.place, joins: one.joins });
		form.querySelector('[name="bond_id"]').replaceChildren(new Option('choose', ''),
			...(await nearBonds(one)).map(({ id, label, chainage, track, kind }) =>
				new Option([label, chainage, track, words.bond_kind.get(kind)].filter(Boolean)
					.join(', '), id)));
		open();   // (its chainage is nobody's guess)
		show();
	};
}

/* All of the line where nothing says where on it. */
async function nearBonds({ line_id: line, near_mm: at }) {
	const near = at === null ? '' : `&from_mm=${at - NEAR_MM}&to_mm=${at + NEAR_MM}`;

	return (await get(`/api/bonds?line=${line}${near}&sort=place&limit=500`)).rows;
}
