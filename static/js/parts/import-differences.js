import { make } from './template.js';

/**
 * What a file says otherwise of what is known, field by field, and the choice of what is taken: by
 * field and by row. A choice holds from the next trial on.
 *
 * @param {HTMLElement} el  the fieldset
 * @param {() => void} again  called to try the file with the choice
 * @returns {{show: (outcome: object) => void, chosen: () => object, forget: () => void}} chosen:
 *	the settings of the API
 */
export function importDifferences(el, again) {
	const body = el.querySelector('tbody');
	const known = () => el.querySelector('[name="known"]:checked').value;
	const ticked = (name) => [...el.querySelectorAll(`[name="${name}"]:checked`)]
		.map((input) => input.value);
	let all = 0, unticked = new Set(), fields = new Set();

	function follow() {
		const takes = known() === 'takes';

		el.querySelector('.fields').hidden = !takes;
		for (const input of body.querySelectorAll('input'))
			input.disabled = !takes || !fields.has(input.dataset.field);
	}

	el.addEventListener('change', ({ target }) => {
		if (target.name === 'take')
			fields = new Set(ticked('take'));
		if (target.name === 'take-row') {
			unticked[target.checked ? 'delete' : 'add'](target.value);
			for (const input of body.querySelectorAll(`[value="${target.value}"]`))
				input.checked = target.checked;
		}
		follow();
	});
	el.querySelector('.again').addEventListener('click', again);

	return {
		/* (of an import that is done nothing is left to choose) */
		show({ differing, differences }) {
			el.hidden = differing.length === 0;
			all = differences.length;
			el.querySelector('.fields').replaceChildren(...differing.map((one) =>
				tick('take', one.field, `${one.title} (${one.count})`, fields.has(one.field))));
			body.replaceChildren(...differences.map((one) => rowOf(one, unticked)));
			const more = differing.reduce((sum, { count }) => sum + count, 0) - all;
			el.querySelector('.more').textContent = more > 0
				? `And ${more} more that are not shown here: they are taken by their field, ` +
					`unless a row is unticked.` : '';
			follow();
		},
		chosen() {
			const rows = [...new Set([...body.rows].map((tr) => tr.dataset.row))];

			if (el.hidden && !all || known() === '')
				return { known: undefined, take: undefined, take_rows: undefined };
			return { known: known(), take: known() === 'takes' ? [...fields] : undefined,
				take_rows: known() === 'takes' && unticked.size
					? rows.filter((n) => !unticked.has(n)).map(Number) : undefined };
		},
		forget() {
			[all, unticked, fields] = [0, new Set(), new Set()];
			el.querySelector('[name="known"]').checked = true;
			el.hidden = true;
		}
	};
}

function tick(name, value, words, checked) {
	const label = make('label', '', 'choice');
	const input = Object.assign(make('input'), { type: 'checkbox', name, value, checked });

	label.append(input, ' ', make('span', words));
	return label;
}

function rowOf({ row, what, field, title, known, said }, unticked) {
	const tr = make('tr');
	const cell = make('td');
	const input = Object.assign(make('input'), { type: 'checkbox', name: 'take-row',
		value: String(row), checked: !unticked.has(String(row)) });

	input.dataset.field = field;
	input.setAttribute('aria-label', `Take row ${row}: ${title} of ${what}`);
	tr.dataset.row = row;
	cell.append(input);
	tr.append(cell, make('td', String(row), 'figure'), make('td', what), make('td', title),
		make('td', known), make('td', said));
	return tr;
}
