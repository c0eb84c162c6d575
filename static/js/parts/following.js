import { get } from '../api.js';
import { followingWords } from '../logic/rulebook.js';

const ASK_AGAIN_MS = 3000;

/**
 * One line while what is derived is made again, by another rulebook or by new rules: how far that
 * is. Nothing on the page moves when it is done; that is said.
 *
 * @param {HTMLElement} el  empty and hidden until then
 */
export async function following(el) {
	const words = followingWords(await get('/api/rulebook/following'));

	el.textContent = words || el.textContent &&
		'All bonds are made again: load this page again to see them so.';
	el.hidden = !el.textContent;
	if (words)
		setTimeout(() => following(el).catch(() => {}), ASK_AGAIN_MS);
}
