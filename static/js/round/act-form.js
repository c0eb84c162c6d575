import { doerToSend } from '../logic/doer.js';
import { newUuid } from '../logic/uuid.js';
import { choices } from '../parts/choices.js';
import { fieldsOf } from '../parts/fields.js';
import { clearProblem, showNotice, showProblem } from '../parts/problems.js';
import { me } from '../parts/session.js';
import { make } from '../parts/template.js';
import { roundDraft } from './draft.js';
import { button, group } from './pieces.js';

/** One choice of several under its heading; pairs: [value, text][]. */
export function chosen(legend, name, pairs, value = '') {
	const el = make('fieldset');
	const list = make('div', '', 'choices');

	list.dataset.name = name;
	choices(list, name, pairs, value);
	el.append(make('legend', legend), list);
	return el;
}

/** A line or a note to be typed. */
export function typedField(title, name, { long = false, value = '', inputmode, most = 200 } = {}) {
	const el = make('div', '', 'field');
	const input = Object.assign(make(long ? 'textarea' : 'input'), { name, id: `act-${name}`,
		value, autocomplete: 'off', maxLength: long ? 2000 : most });

	if (inputmode)
		input.inputMode = inputmode;
	el.append(Object.assign(make('label', title), { htmlFor: input.id }), input);
	return el;
}

export function caution(title, words) {
	const el = make('p', '', 'caution');

	el.append(make('strong', title), ` ${words}`);
	return el;
}

export const doerOf = (values, name) => doerToSend(values[name] ?? '', me()) || undefined;

/**
 * One act of a round as a form: what is typed is kept as a draft, and saved by one button.
 *
 * @param {HTMLElement} root
 * @param {{title: string, pieces: HTMLElement[], word: string, draft: object}} is  word: of the
 *	button that saves; draft: as roundDraft takes it
 * @param {{save(values: object, fields: object[]): Promise<object[]|boolean>, leave(): void,
 *	typing?(values: object): void}} wishes  save: gets what was typed, with the `uuid` of the act;
 *	gives what is wrong, else true once it is on the disk
 */
export async function actForm(root, { title, pieces, word, draft: of }, { save, leave, typing }) {
	const form = Object.assign(make('form', '', 'act'), { noValidate: true });
	const notice = make('p', '', 'notice');
	const send = make('div', '', 'send');
	const draft = roundDraft(of, () => showNotice(notice, 'This tablet cannot keep what you type ' +
		'(its storage is full or switched off): save before you leave this page.'));
	let uuid = newUuid(), isSaving = false;

	notice.setAttribute('role', 'alert');
	send.append(button(word, saveIt, 'save main'), group(button('Back to the walk', leave)));
	form.append(make('h2', title), notice, ...pieces, send);
	form.inert = true;
	form.addEventListener('submit', (e) => e.preventDefault());
	form.addEventListener('input', () => {
		typing?.(values());
		draft.keep(values());
	});
	root.replaceChildren(form);
	const left = await draft.left();
	if (left) {
		uuid = left.typed.uuid;
		write(left.typed);
	}
	typing?.(values());
	form.inert = false;

	function values() {
		return { ...Object.fromEntries(new FormData(form)), uuid };
	}

	function write(typed) {
		for (const input of form.querySelectorAll('[name]')) {
			if (['radio', 'checkbox'].includes(input.type))
				input.checked = typed[input.name] === input.value;
			else
				input.value = typed[input.name] ?? '';
		}
	}

	async function saveIt() {
		if (isSaving)
			return;
		clearProblem(form);
		isSaving = true;
		const said = await save(values(), fieldsOf(form));
		isSaving = false;
		if (said === true) {
			draft.end();
			draft.drop(uuid);
			leave();
		} else if (said === false)
			showNotice(notice, 'Not saved: this tablet can keep nothing now. What you typed is ' +
				'still here.');
		else
			showProblem(form, { errors: said });
	}
}
