import { countWords, differences, figureWords, fullTitle, standings,
	withdrawnWords } from '../logic/rulebook.js';
import { make, row, stamp } from './template.js';

/**
 * The versions, newest first: what each changed against the one before, why, by whom, from when;
 * which were withdrawn as wrong, and why.
 *
 * @param {HTMLElement} el  the list
 * @param {{version, reason, person, recorded_at, from_day, reasons: Map, flat: Map}[]} versions
 *	newest first, down to 1
 * @param {{values: object[], words: object, inForce: number, shown: number, withdraw?: function}}
 *	given withdraw: asked for a version; not there for who may not
 */
export function rulebookVersions(el, versions, { values, words, inForce, shown, withdraw }) {
	el.replaceChildren(...standings(versions, inForce).map((one, i) => {
		const before = versions[i + 1];
		const changed = before ? differences(values, before.flat, one.flat) : [];
		const li = stamp('version', {
			standing: one.standing, reason: one.reason, who: whoWords(one),
			withdrawn: one.withdrawn ? withdrawnWords(one.withdrawn).replace('w', 'W') : ''
		});
		const link = li.querySelector('a');
		const button = li.querySelector('button');

		button.hidden = !withdraw || Boolean(one.withdrawn);
		button.addEventListener('click', () => withdraw(one));

		link.textContent = `Version ${one.version}`;
		link.href = `?version=${one.version}`;
		if (one.version === shown)
			link.setAttribute('aria-current', 'true');
		if (changed.length)
			showChanged(li.querySelector('details'), changed, one, words);
		else
			li.querySelector('details').replaceWith(before
				? make('p', 'No value differs from the version before.', 'quiet') : '');
		return li;
	}));
}

function whoWords({ version, from_day: from, recorded_at: at, person }) {
	return `from ${from}; ${version === 1 ? 'recorded' : 'adopted'} ${at.slice(0, 10)}${person
		? ` by ${person}` : ''}`;
}

function showChanged(details, changed, { reasons }, words) {
	details.querySelector('summary').textContent = `${countWords(changed.length, 'value')} changed`;
	details.querySelector('tbody').append(...changed.map((value) => row(
		[fullTitle(value), 'wraps'], [figureWords(value, value.before, words), 'figure'],
			[figureWords(value, value.after, words), 'figure'],
			[reasons.get(value.path), 'wraps'])));
}
