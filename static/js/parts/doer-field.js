import { doerWords, isForAnother } from '../logic/doer.js';
import { make } from './template.js';

/**
 * Says beside a field for the doer's name who is signed in, and marks at once that it is another.
 *
 * @param {HTMLInputElement} input  within a .field
 * @param {() => {name: string}|null} me  who is signed in
 * @returns {() => void} to be called after the field was filled otherwise than by typing
 */
export function doerField(input, me) {
	const said = make('p', '', 'help doer');
	const show = () => {
		said.textContent = doerWords(input.value, me());
		said.classList.toggle('another', isForAnother(input.value, me()));
	};

	said.setAttribute('role', 'status');
	input.after(said);
	input.addEventListener('input', show);
	show();
	return show;
}
