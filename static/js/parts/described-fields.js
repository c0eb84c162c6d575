import { choices } from './choices.js';
import { make } from './template.js';

/**
 * The fields of a described form. Of a word nothing is chosen beforehand.
 *
 * @param {HTMLElement} el  gets them
 * @param {ReturnType<import('../logic/described-form.js').describedForm>} fields
 * @param {Map<string, Map<string, string>>} words  the API's, by name
 */
export function describedFields(el, fields, words) {
	el.replaceChildren(...fields.map((field) =>
		field.type === 'word' ? wordField(field, words[field.words]) : plainField(field)));
}

function wordField({ name, title, help, required }, titles) {
	const fieldset = document.createElement('fieldset');
	const group = make('div', '', 'choices');

	group.dataset.name = name;
	if (required)
		group.dataset.required = '';
	choices(group, name, titles);
	fieldset.append(make('legend', title), ...help ? [make('p', help, 'quiet')] : [], group);
	return fieldset;
}

const INPUT = { day: ['input', 'date'], text: ['input', 'text'], note: ['textarea'] };

function plainField({ name, title, type, required }) {
	const field = make('div', '', 'field');
	const label = make('label', title);
	const [tag, kind] = INPUT[type];
	const input = Object.assign(make(tag), { id: `described-${name}`, name, required });

	if (kind)
		input.type = kind;
	label.htmlFor = input.id;
	field.append(label, input);
	return field;
}
