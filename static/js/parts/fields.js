import { choices } from './choices.js';
import { make } from './template.js';

/*
 * The fields of a form as data, so that an entry that was refused can be mended where it is
 * listed: {name, label, type: date|text|long|choice, value, options: [value, text][]}.
 */

/** @param {HTMLFormElement} form */
export function fieldsOf(form) {
	const names = new Set(Array.from(form.elements, ({ name }) => name).filter(Boolean));

	return [...names].map((name) => fieldOf(form, name)).filter(Boolean);
}

function fieldOf(form, name) {
	const found = form.elements.namedItem(name);
	const first = found instanceof RadioNodeList ? found[0] : found;
	const labelOf = (input) => input.labels?.[0]?.textContent.trim() ?? name;

	if (['checkbox', 'hidden'].includes(first.type))
		return null;
	if (first.type === 'radio')
		return { name, type: 'choice', value: form.querySelector(`[name="${name}"]:checked`)?.value,
			label: first.closest('fieldset')?.querySelector('legend')?.textContent ?? name,
			options: Array.from(form.querySelectorAll(`[name="${name}"]`),
				(input) => [input.value, labelOf(input)]) };
	if (first.matches('select'))
		return { name, type: 'choice', value: first.value, label: labelOf(first),
			options: Array.from(first.options, ({ value, text }) => [value, text]) };
	return { name, value: first.value, label: labelOf(first),
		type: first.matches('textarea') ? 'long' : first.type === 'date' ? 'date' : 'text' };
}

let count = 0;

/** Such a field, to be filled in. */
export function showField({ name, label, type, value, options }) {
	if (type === 'choice') {
		const group = make('fieldset');
		const list = make('div', '', 'choices');

		group.append(make('legend', label), list);
		choices(list, name, options, value);
		return group;
	}
	const field = make('div', '', 'field');
	const input = make(type === 'long' ? 'textarea' : 'input');
	const id = `field-${++count}`;

	Object.assign(input, { name, id, value, autocomplete: 'off' });
	if (type === 'date')
		input.type = 'date';
	field.append(Object.assign(make('label', label), { htmlFor: id }), input);
	return field;
}
