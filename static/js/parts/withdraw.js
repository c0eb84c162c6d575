import { recordDialog } from './form-dialog.js';
import { may } from './session.js';
import { fill } from './template.js';

/* Who takes back what is not for crews. */
const RIGHTS = { deferral: 'plan', ruling: 'manage', bond: 'manage' };

/**
 * A button in the row of each entry that may be taken back by who is here, which asks for the
 * reason.
 *
 * @param {HTMLElement} el  holds the rows
 * @param {HTMLDialogElement} dialog
 * @param {(said: string) => void} done
 * @returns {(row: HTMLElement, event: object, person: object|null) => void} for each row; event: of
 *	logic/history.js
 */
export function withdrawals(el, dialog, done) {
	const offered = new WeakMap();
	let chosen, says;
	const { open } = recordDialog(dialog,
		({ reason }) => ({ what: 'withdrawals', body: { ...chosen, reason }, label: says }),
		() => done('The withdrawal is on record. It counts at once, unless it makes the bond ' +
			'better and somebody else made the entry: then it waits for an engineer.'));

	el.addEventListener('click', ({ target }) => {
		const event = offered.get(target);
		if (!event)
			return;
		chosen = event.entry;
		says = `${event.what}, ${event.day}: ${event.words}`;
		fill(dialog, { says });
		open();
	});
	return (row, event, person) => {
		const button = row.querySelector('.withdraw');
		button.hidden = !event.entry ||
			!may(person, RIGHTS[event.entry.entry] ?? 'inspect');
		button.setAttribute('aria-label', `Withdraw: ${event.what}, ${event.day}`);
		offered.set(button, event);
	};
}
