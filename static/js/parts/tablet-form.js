import { unsent } from './kept.js';
import { isMine } from './sender.js';

/**
 * What the tablet keeps, in words, and the buttons that send it.
 *
 * @param {{isKept: boolean, hasDraft: boolean, isShown: boolean}} form  isKept: the last change
 *	could be kept; isShown: what was saved is shown
 * @param {number|undefined} personId  who is signed in, if that is known
 */
export function showQueue({ isKept, hasDraft, isShown }, personId) {
	const all = unsent();
	const mine = all.filter((item) => isMine(item, personId));
	const waiting = mine.filter((item) => !item.refused).length;
	const refused = mine.find((item) => item.refused);
	const others = all.length - mine.length;

	document.querySelector('.state > .words').textContent = [
		!isKept ? 'This tablet cannot keep what you type (its storage is full or switched off): ' +
			'save before you leave this page.'
			: hasDraft && 'Not sent yet: kept on this tablet.',
		waiting > 0 && `${waiting} saved on this tablet, not sent.`,
		refused && `The server refused what was recorded of ${refused.label}: open that bond's ` +
			`form to mend it.`,
		others > 0 && `${others} kept here for somebody else, who has to sign in to send.`
	].filter(Boolean).join(' ') ||
		(isShown ? 'Saved on the server.' : 'Nothing is waiting to be sent.');
	for (const button of document.querySelectorAll('.send-now'))
		button.hidden = waiting === 0;
}

/** Says what was done, beside a button that takes it back. */
export function undoable(text, undo) {
	const bar = document.querySelector('.undo');

	bar.querySelector('span').textContent = text;
	bar.hidden = false;
	bar.querySelector('button').onclick = () => {
		bar.hidden = true;
		undo();
	};
}
