import { get } from '../api.js';
import { recordDialog } from './form-dialog.js';
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
	let bond;

	async function offer() {
		const had = ticked();
		const { to_mend: reasons } = await get(`/api/bonds/${bond.id}/judgement`);

		ticks.replaceChildren(...reasons.map((reason) => tick(reason, had)));
		names.hidden = reasons.length === 0;
	}

	const entry = ({ until_day, reason }) => ({ what: 'deferrals', bond_id: bond.id,
		label: bond.label, body: { bond_id: bond.id, until_day, reason,
			names: ticked().map((key) => ({ key: Number(key) })) } });

	const find = (field, detail) => field === 'names'
		? Array.from(ticks.querySelectorAll('input'))
			.find((input) => detail.includes(input.dataset.words)) ?? null
		: dialog.querySelector('form').elements.namedItem(field);
	/* a reason that came in meanwhile is offered too */
	const { open } = recordDialog(dialog, entry, done, find, async ({ errors }) => {
		if (errors?.some(({ field }) => field === 'names'))
			await offer().catch(() => {});
	});

	return async (which) => {
		bond = which;
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
