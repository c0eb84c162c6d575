import { get, put } from '../api.js';
import { newUuid } from '../logic/uuid.js';
import { formDialog } from './form-dialog.js';
import { make } from './template.js';

/**
 * The dialog that puts off what is due of a bond, with a person's reason and a new date. What is to
 * be mended is put off too only where the person ticks it, one by one.
 *
 * @param {HTMLDialogElement} dialog
 * @param {() => void} done  called when the server has taken it
 * @returns {(bond: {id: number, label: string}) => Promise<void>} opens it for a bond; throws a
 *	Problem
 */
export function deferDialog(dialog, done) {
	const names = dialog.querySelector('.names');
	const ticks = names.querySelector('.ticks');
	const ticked = () => Array.from(ticks.querySelectorAll('input:checked'), ({ value }) => value);
	let bond, uuid;

	async function offer() {
		const had = ticked();
		const { to_mend: reasons } = await get(`/api/bonds/${bond.id}/judgement`);

		ticks.replaceChildren(...reasons.map((reason) => tick(reason, had)));
		names.hidden = reasons.length === 0;
	}

	/* a reason that came in meanwhile is offered too */
	async function send({ until_day, reason }) {
		try {
			await put(`/api/deferrals/${uuid}`, { bond_id: bond.id, until_day, reason,
				names: ticked().map((key) => ({ key: Number(key) })) });
		} catch (problem) {
			if (problem.errors?.some(({ field }) => field === 'names'))
				await offer().catch(() => {});
			throw problem;
		}
	}

	const find = (field, detail) => field === 'names'
		? Array.from(ticks.querySelectorAll('input'))
			.find((input) => detail.includes(input.dataset.words)) ?? null
		: dialog.querySelector('form').elements.namedItem(field);
	const { open } = formDialog(dialog, send, done, find);

	return async (which) => {
		bond = which;
		uuid = newUuid();
		ticks.replaceChildren();
		dialog.querySelector('[data-f="label"]').textContent = bond.label;
		await offer();
		open();
	};
}

function tick({ key, words, since_day: since }, had) {
	const field = make('div', '', 'field');
	const label = make('label', '', 'choice');
	const input = Object.assign(document.createElement('input'),
		{ type: 'checkbox', value: key, checked: had.includes(String(key)) });

	input.dataset.words = words;
	label.append(input, make('span', `${words}${since ? `, since ${since}` : ''}`));
	field.append(label);
	return field;
}
