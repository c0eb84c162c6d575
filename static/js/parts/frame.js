import { sendingHead } from './queue-head.js';
import { searchBox } from './search-box.js';
import { darkSwitch, may, whoIs } from './session.js';
import { signOut } from './sign-out.js';

/**
 * The head of a desk page: which page it is, dark, who is signed in, what is kept here, signing
 * out.
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
	signOut(head.querySelector('.sign-out'), document.querySelector('#leaving'));
	searchBox(head.querySelector('.find'));
	const person = await whoIs();
	if (person?.lacks_second_factor && location.pathname !== '/account')
		location.replace('/account');
	sendingHead(document.querySelector('.queue'));
	if (person)
		showName(head.querySelector('.who > .name'), person);
	head.querySelector('[href="/import"]').hidden = Boolean(person) && !may(person, 'plan');
	return person;
}

/* (few ever change theirs: what it takes is fetched when it is asked for) */
function showName(button, { name, login }) {
	button.textContent = name;
	button.hidden = false;
	button.addEventListener('click', async () => {
		const { askPassword } = await import('./password.js');

		askPassword(login, () => {
			button.textContent = `${name}: password changed`;
		});
	});
}
