import { del } from '../api.js';
import { searchBox } from './search-box.js';
import { darkSwitch, may, whoIs } from './session.js';

/**
 * The head of a desk page: which page it is, dark, who is signed in, signing out.
 *
 * @returns {Promise<{id: number, name: string, role: string, rights: string[]}|null>}
 */
export async function frame() {
	const head = document.querySelector('.frame');

	darkSwitch();
	for (const link of head.querySelectorAll('nav a')) {
		if (link.pathname === location.pathname)
			link.setAttribute('aria-current', 'page');
	}
	head.querySelector('.sign-out').addEventListener('click', signOut);
	searchBox(head.querySelector('.find'));
	const person = await whoIs();
	head.querySelector('.name').textContent = person?.name ?? '';
	head.querySelector('[href="/import"]').hidden = Boolean(person) && !may(person, 'plan');
	return person;
}

async function signOut() {
	try {
		await del('/api/session');
	} catch { /* the session is gone, or the sign-in page will say that nobody answers */ }
	location.assign('/sign-in');
}
