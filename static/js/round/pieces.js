import { gradeSign } from '../parts/grade-sign.js';
import { make } from '../parts/template.js';

/*
 * What the views of a round are made of. A view is mounted anew when what it shows has changed;
 * data goes down, wishes come up.
 */

/* A glove taps twice, and by the second time another bond may stand under it. */
const TWICE_MS = 600;
let tapped = -TWICE_MS;

/** Does something once: what follows within 0.6 s, on it or on another, is the same tap. */
export function button(text, act, className = '') {
	return plain(text, ({ timeStamp }) => {
		if (timeStamp - tapped < TWICE_MS)
			return;
		tapped = timeStamp;
		act();
	}, className);
}

function plain(text, act, className = '') {
	const el = Object.assign(make('button', text, className), { type: 'button' });

	el.addEventListener('click', act);
	return el;
}

export function link(text, href, className = 'button') {
	return Object.assign(make('a', text, className), { href });
}

/** A part of the view under its heading. */
export function part(title, ...pieces) {
	const el = make('section', '', 'part');

	el.append(make('h2', title), ...pieces.filter(Boolean));
	return el;
}

export function sign(grade, words) {
	const el = make('p');

	gradeSign(el, grade, words);
	return el;
}

export function group(...pieces) {
	const el = make('div', '', 'taps');

	el.append(...pieces);
	return el;
}

/** One of several: tapped is chosen. */
export const choice = (text, chosen, act) => {
	const el = plain(text, act);

	el.setAttribute('aria-pressed', String(chosen));
	return el;
};

export function field(title, value, changed) {
	const el = make('div', '', 'field');
	const id = `f-${title.toLowerCase().replace(/[^a-z]+/g, '-')}`;
	const label = Object.assign(make('label', title), { htmlFor: id });
	const input = Object.assign(make('input'), { id, value: value ?? '', autocomplete: 'off',
		maxLength: 200 });

	input.addEventListener('input', () => changed(input.value));
	el.append(label, input);
	return el;
}

export function list(items) {
	const el = make('ul', '', 'lacks-list');

	el.append(...items.map((words) => make('li', words)));
	return el;
}
