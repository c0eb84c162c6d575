import { get, SOON } from '../api.js';
import { keepSession, lastSession } from './last-used.js';

let person = null;   // of this page: another may sign in on another one

/** Who is signed in on this page, or was on this device when the server last answered. */
export const me = () => person ?? lastSession();

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

/** Who is signed in; a stranger goes to the sign-in page and comes back. null: nobody answers. */
export async function whoIs() {
	try {
		({ person } = await get('/api/session', SOON));
		keepSession(person);
		return person;
	} catch (problem) {
		if (problem.status === 401)
			location.replace(
				`/sign-in?to=${encodeURIComponent(location.pathname + location.search)}`);
		return null;
	}
}
