import { get, put } from '../api.js';
import { addDays, dayOf } from '../logic/day.js';
import { fillNights, nightsWords, shiftMinutes } from '../logic/round.js';
import { newUuid } from '../logic/uuid.js';
import { choices } from './choices.js';
import { formDialog } from './form-dialog.js';
import { fill } from './template.js';

/**
 * The dialog that makes a round of bonds; of more than fit into a shift, a round for each of
 * several nights. Each night has its id from the beginning: sent again after no answer it is
 * made once.
 *
 * @param {HTMLDialogElement} dialog
 * @param {(rounds: string[]) => void} done  called with the ids when all are made
 * @param {Map<string, string>} works  the words of the work
 * @returns {(bonds: object[], work: string) => Promise<void>} opens it for rows of the due list
 */
export function roundDialog(dialog, done, works) {
	const form = dialog.querySelector('form');
	let bonds = [], minutes = new Map(), ids = [];

	choices(form.querySelector('.choices'), 'work', works);

	/* (the last night's times are proposed again) */
	function nightsNow() {
		const shift = shiftMinutes(form.begins.value, form.ends.value);
		const work = form.elements.work.value;

		return shift && work && form.shift_day.value ? { shift, nights: fillNights(bonds,
			(kind) => minutes.get(`${kind} ${work}`) ?? 0, shift) } : null;
	}

	function showNights() {
		const now = nightsNow();

		form.querySelector('.nights').textContent = now
			? nightsWords(now.nights, now.shift, form.shift_day.value)
			: 'Give the work and the times: the minutes of both are compared.';
	}

	async function send({ work, crew, persons, shift_day: day, begins, ends, note, ...more }) {
		const { nights } = nightsNow() ?? { nights: [{ bonds }] };
		const made = [];

		for (const [n, night] of nights.entries()) {
			ids[n] ??= newUuid();
			await put(`/api/rounds/${ids[n]}`, { work, crew, begins, ends,
				persons: persons.split(',').map((name) => name.trim()).filter(Boolean),
				shift_day: addDays(day, n), bonds: night.bonds.map(({ bond_id: id }) => id),
				from_far_end: more.from_far_end === 'yes', ...note.trim() && { note } });
			made.push(ids[n]);
		}
		return made;
	}

	/* (of bonds[3] the form has no field; a choice is found by its group) */
	const { open } = formDialog(dialog, send, done, (field) =>
		form.querySelector(`[data-name="${field.split('[')[0]}"]`) ??
		form.elements.namedItem(field.split('[')[0]));

	form.addEventListener('input', showNights);
	form.addEventListener('change', showNights);
	return async (rows, work) => {
		const { rows: known } = await get('/api/round-minutes?limit=100');

		minutes = new Map(known.map((one) => [`${one.kind} ${one.work}`, one.minutes]));
		[bonds, ids] = [rows, []];
		fill(dialog, { count: countWords(bonds) });
		open({ work, shift_day: dayOf(new Date()), begins: '23:00', ends: '04:00' });
		showNights();
	};
}

/* (an inspection makes no mending) */
function countWords(bonds) {
	const mendings = bonds.filter(({ what }) => what === 'mending').length;

	return `${bonds.length === 1 ? '1 bond' : `${bonds.length} bonds`}${
		mendings > 0 && mendings < bonds.length ? `, ${mendings} of them to be mended` : ''}`;
}
