import { make } from '../parts/template.js';

const ROWS = ['7', '8', '9', 'back', '4', '5', '6', 'micro', '1', '2', '3', 'milli', '.', '0',
	'sign', 'next'];
const SHOWN = { back: '⌫', micro: 'µΩ', milli: 'mΩ', '.': '. ,', sign: '±', next: '2nd' };
const SAID = { back: 'Take back the last figure', '.': 'Decimal mark', sign: 'Turn the sign' };

/**
 * The keys of the record view. A key counts when it is tapped, once: held down it repeats nothing.
 *
 * @param {(key: string) => void} tapped
 * @returns {HTMLElement} el.show({isMilli, next}): which unit is chosen; whether another
 *	quantity comes next, or a second reading of this one
 */
export function keypad(tapped) {
	const el = make('div', '', 'keypad');
	const keys = ROWS.map((key) => Object.assign(make('button', SHOWN[key] ?? key),
		{ type: 'button', onclick: () => tapped(key) }));

	el.setAttribute('role', 'group');
	el.setAttribute('aria-label', 'Keys');
	keys.forEach((key, i) => {
		key.dataset.key = ROWS[i];
		if (SAID[ROWS[i]])
			key.setAttribute('aria-label', SAID[ROWS[i]]);
	});
	el.append(...keys);
	el.show = ({ isMilli, next }) => {
		el.querySelector('[data-key="next"]').textContent = next ? 'next' : '2nd';
		el.querySelector('[data-key="micro"]').setAttribute('aria-pressed', String(!isMilli));
		el.querySelector('[data-key="milli"]').setAttribute('aria-pressed', String(isMilli));
	};
	return el;
}
