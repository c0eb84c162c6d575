import { del, get } from '../api.js';
import { searchBox } from './search-box.js';

/**
 * The head of a page: which page it is, dark, who is signed in, signing out. A stranger goes to
 * the sign-in page and comes back. When the server does not answer, person is null.
 *
 * @returns {Promise<{id: number, name: string, role: string, rights: string[]}|null>}
 */
export async function frame() {
	const head = document.querySelector('.frame');

	darkSwitch();
	for (const link of head?.querySelectorAll('nav a') ?? []) {
		if (link.pathname === location.pathname)
			link.setAttribute('aria-current', 'page');
	}
	head?.querySelector('.sign-out').addEventListener('click', signOut);
	if (head)
		searchBox(head.querySelector('.find'));
	const person = await whoIs();
	if (head) {
		head.querySelector('.name').textContent = person?.name ?? '';
		head.querySelector('[href="/import"]').hidden = Boolean(person) && !may(person, 'plan');
	}
	return person;
}

/** Mounts the dark switch of the page. */
export function darkSwitch() {
	const button = document.querySelector('.dark');
	const root = document.documentElement;
	const show = () => button.setAttribute('aria-pressed', String(root.dataset.scheme === 'dark'));

	new MutationObserver(show).observe(root, { attributeFilter: ['data-scheme'] });
	show();
	button.addEventListener('click', () => {
		root.dataset.scheme = root.dataset.scheme === 'dark' ? 'light' : 'dark';
		try {
			localStorage.setItem('scheme', root.dataset.scheme);
		} catch { /* holds for this page only */ }
	});
}

/** True when the person may do it; the server decides all the same. */
export function may(person, right) {
	return Boolean(person?.rights?.includes(right));
}

async function whoIs() {
	try {
		return (await get('/api/session')).person;
	} catch (problem) {
		if (problem.status === 401)
			location.replace(`/sign-in?to=${encodeURIComponent(location.pathname + location.search)}`);
		return null;
	}
}

async function signOut() {
	try {
		await del('/api/session');
	} catch { /* the session is gone, or the sign-in page will say that nobody answers */ }
	location.assign('/sign-in');
}
