import { labelled } from '../logic/problem-words.js';
import { make } from './template.js';

/**
 * Shows a problem where it belongs: each error beside its field, all at once, the rest in the
 * form's .notice. The first wrong field gets the focus. Nothing typed is touched.
 *
 * @param {HTMLElement} form  has a .notice; its inputs are found by name unless `find` knows better
 * @param {{status?: number, detail?: string, errors: {field: string, detail: string}[]}} problem
 * @param {(field: string, detail: string) => HTMLElement|null} [find]
 */
export function showProblem(form, problem, find = (field) => byName(form, field)) {
	clearProblem(form);
	const loose = [];
	const found = [];

	for (const { field, detail } of problem.errors ?? []) {
		const input = find(field, detail);
		if (input)
			found.push(beside(input, labelled(detail, field, labelOf(input),
				input.type === 'radio' || input.matches('select'))));
		else
			loose.push(detail);
	}
	if (!found.length && !loose.length)
		loose.push(problem.detail ?? problem.message ?? String(problem));
	showNotice(form.querySelector('.notice'), loose.join(' '), problem.status);
	(topmost(found) ?? form.querySelector('.notice'))?.focus();
}

/** Takes all problems away. */
export function clearProblem(form) {
	for (const said of form.querySelectorAll('.problem'))
		said.remove();
	for (const el of form.querySelectorAll('[aria-invalid]')) {
		el.removeAttribute('aria-invalid');
		el.removeAttribute('aria-describedby');
	}
	showNotice(form.querySelector('.notice'), '');
}

/** Puts a problem into a .notice; a lost session gets a way to sign in beside this page. */
export function showNotice(notice, text, status = 0) {
	if (!notice)
		return;
	notice.textContent = text;
	notice.dataset.kind = text ? 'wrong' : '';
	notice.tabIndex = -1;
	if (status === 401) {
		const link = make('a', 'Sign in on another page');
		link.href = '/sign-in';
		link.target = '_blank';
		notice.append(' ', link, ', then come back here: what you typed stays.');
	}
}

/* What the page calls it: of radios the heading, not the words of the first. */
function labelOf(input) {
	const label = input.type === 'radio' ? input.closest('fieldset')?.querySelector('legend')
		: input.labels?.[0];
	return label?.textContent.trim() ?? '';
}

function topmost(inputs) {
	return inputs.sort((a, b) => a.compareDocumentPosition(b) & Node.DOCUMENT_POSITION_FOLLOWING
		? -1 : 1)[0];
}

function byName(form, field) {
	const found = form.elements?.namedItem(field);
	return found instanceof RadioNodeList ? found[0] : found;
}

let count = 0;

function beside(input, detail) {
	const field = input.closest('.field, fieldset') ?? input.parentElement;
	const said = make('p', detail, 'problem');

	said.id = `problem-${++count}`;
	(input.type === 'radio' ? input.closest('.choices') : input)
		.setAttribute('aria-invalid', 'true');
	input.setAttribute('aria-describedby', said.id);
	field.append(said);
	return input;
}
