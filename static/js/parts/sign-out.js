import { del, SOON } from '../api.js';
import { dropReceived } from '../logic/kept.js';
import { dropPacks } from '../logic/packs.js';
import { leftWords } from '../logic/queue.js';
import { dropSession } from './last-used.js';
import { keptNow, send } from './queue.js';

/**
 * Signs out. Who leaves something here that the server has not is told what first; it stays, and
 * nobody else sends it. What the server has is cleared.
 *
 * @param {HTMLButtonElement} button
 * @param {HTMLDialogElement} dialog  with .stays, a .main that stays, a .sign-out-now that goes
 */
export function signOut(button, dialog) {
	async function ask() {
		const kept = await keptNow().catch(() => null);
		const left = kept ? leftWords(kept) : '';

		if (!left) {
			leave();
			return;
		}
		dialog.querySelector('.stays').textContent = left;
		dialog.showModal();
		send();
	}
	button.addEventListener('click', ask);
	dialog.querySelector('.main').addEventListener('click', () => dialog.close());
	dialog.querySelector('.sign-out-now').addEventListener('click', leave);
}

async function leave() {
	try {
		await del('/api/session', SOON);
	} catch { /* the session is gone, or the sign-in page will say that nobody answers */ }
	await dropReceived().catch(() => {});
	await dropPacks().catch(() => {});   // rounds that were taken along
	dropSession();
	location.assign('/sign-in');
}
