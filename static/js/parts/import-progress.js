import { get } from '../api.js';
import { newUuid } from '../logic/uuid.js';
import { countWords, grouped } from '../logic/rulebook.js';

const ASK_AGAIN_MS = 500;

/**
 * How far a file is, in rows, while it is tried or taken.
 *
 * @param {HTMLElement} said  the line that says what is going on
 * @param {HTMLProgressElement} bar
 * @returns {{begin: (words: string) => string, end: () => void}} begin gives the id to send
 */
export function importProgress(said, bar) {
	let id = null;

	async function ask(mine, words) {
		while (id === mine) {
			await new Promise((later) => setTimeout(later, ASK_AGAIN_MS));
			const { done, of } = await get(`/api/progress/${mine}`).catch(() => ({ of: 0 }));
			if (id !== mine || !of)
				continue;
			bar.value = Math.min(done / of, 1);
			said.textContent =
				`${grouped(Math.min(done, of))} of ${countWords(of, 'row')}. ${words}`;
		}
	}

	return {
		begin(words) {
			id = newUuid();
			said.textContent = words;
			bar.removeAttribute('value');
			bar.hidden = false;
			ask(id, words);
			return id;
		},
		end() {
			id = null;
			said.textContent = '';
			bar.hidden = true;
		},
	};
}
