import { strip } from './strip.js';

/**
 * The strip above a list: there while the list is of one line, drawn anew for another line, and
 * following the list's filters. A person may fold it away; that is remembered.
 *
 * @param {HTMLDetailsElement} el  with a .line-strip inside
 * @returns {(line: {id: string, name: string}|null, words, filters: string, more?: object) => void}
 */
export function lineStrip(el) {
	let shown = null, drawn, last = '';

	el.open = localStorage.getItem('strip') !== 'folded';
	el.addEventListener('toggle', () => localStorage.setItem('strip', el.open ? 'open' : 'folded'));

	return (line, words, filters, more = {}) => {
		el.hidden = !line;
		if (!line)
			shown = null;
		else if (shown !== line.id)
			drawn = strip(el.querySelector('.line-strip'), { line, words, filters, ...more });
		else if (last !== filters)
			drawn.filter(filters);
		shown = line?.id ?? null;
		last = filters;
	};
}
