import { countWords, differences, figureWords, fullTitle, standings } from '../logic/rulebook.js';
import { make, row, stamp } from './template.js';

/**
 * The versions, newest first: what each changed against the one before, why, by whom, from when.
 *
 * @param {HTMLElement} el  the list
 * @param {{version, reason, person, recorded_at, from_day, reasons: Map, flat: Map}[]} versions  newest first, down to 1
 * @param {{values: object[], words: object, inForce: number, shown: number}} given
 */
export function rulebookVersions(el, versions, { values, words, inForce, shown }) {
	el.replaceChildren(...standings(versions, inForce).map((one, i) => {
		const before = versions[i + 1];
		const changed = before ? differences(values, before.flat, one.flat) : [];
		const li = stamp('version', {
			standing: one.standing, reason: one.reason ?? 'What the program begins with: every value says what it rests on.',
			who: before ? `from ${one.from_day}; adopted ${one.recorded_at.slice(0, 10)}${one.person ? ` by ${one.person}` : ''}` : ''
		});
		const link = li.querySelector('a');

		link.textContent = `Version ${one.version}`;
		link.href = `?version=${one.version}`;
		if (one.version === shown)
			link.setAttribute('aria-current', 'true');
		if (changed.length)
			showChanged(li.querySelector('details'), changed, one, words);
		else
			li.querySelector('details').replaceWith(before ? make('p', 'No value differs from the version before.', 'quiet') : '');
		return li;
	}));
}

function showChanged(details, changed, { reasons }, words) {
	details.querySelector('summary').textContent = `${countWords(changed.length, 'value')} changed`;
	details.querySelector('tbody').append(...changed.map((value) => row(
		[fullTitle(value), 'wraps'], [figureWords(value, value.before, words), 'figure'], [figureWords(value, value.after, words), 'figure'], [reasons.get(value.path), 'wraps'])));
}
