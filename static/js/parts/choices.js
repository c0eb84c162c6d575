import { make } from './template.js';

let count = 0;

/**
 * One choice of several, as radio buttons big enough for the place where they stand.
 *
 * @param {HTMLElement} el  a .choices within a fieldset or a labelled group
 * @param {string} name
 * @param {Iterable<[string, string]>} pairs  value, text
 * @param {string} [chosen]
 */
export function choices(el, name, pairs, chosen = '') {
	el.replaceChildren(...Array.from(pairs, ([value, text]) => {
		const label = make('label', '', 'choice');
		const input = document.createElement('input');

		Object.assign(input, { type: 'radio', name, value, id: `choice-${++count}` });
		input.defaultChecked = value === chosen;
		label.append(input, make('span', text));
		return label;
	}));
}
