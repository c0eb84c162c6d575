import { rulingsOf } from '../logic/rulings.js';
import { recordDialog } from './form-dialog.js';
import { may } from './session.js';
import { fill, stamp } from './template.js';

/**
 * What an engineer can put on record of a bond: each with its words, and for who may, a button that
 * asks for the reason.
 *
 * @param {HTMLElement} el  is filled
 * @param {HTMLDialogElement} dialog
 * @param {(said: string) => void} done
 * @returns {(known: object, person: object|null, words: object) => void} known: as rulingsOf takes
 *	it
 */
export function rulings(el, dialog, done) {
	let chosen, offered = [];
	const { open } = recordDialog(dialog, ({ reason }) =>
		({ what: 'rulings', body: { ...chosen.body, reason }, label: chosen.title }),
		() => done('The engineer\'s word is on record.'));

	el.addEventListener('click', (e) => {
		chosen = offered[e.target.dataset.ruling];
		if (!chosen)
			return;
		fill(dialog, { title: chosen.title, says: chosen.says });
		open();
	});
	return (known, person, words) => {
		const mayRule = may(person, 'manage');

		offered = rulingsOf(known, words).filter(({ isForAll }) => isForAll || mayRule);
		el.replaceChildren(...offered.map((one, i) => {
			const row = stamp('ruling-row', { words: one.words });
			const button = row.querySelector('button');
			button.textContent = one.button;
			button.hidden = !mayRule;
			button.dataset.ruling = i;
			return row;
		}));
	};
}
