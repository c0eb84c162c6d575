import { post, SOON } from '../api.js';
import { backTo } from '../logic/address.js';
import { entries } from '../logic/kept.js';
import { heldWords } from '../logic/queue.js';
import { keepSession } from '../parts/last-used.js';
import { clearProblem, showProblem } from '../parts/problems.js';
import { darkSwitch } from '../parts/session.js';

const form = document.querySelector('form');
const button = form.querySelector('.main');

darkSwitch();
entries().then((kept) => {
	document.querySelector('.left').textContent = heldWords(kept);
}, () => {});
form.addEventListener('submit', async (e) => {
	e.preventDefault();
	clearProblem(form);
	const empty = ['login', 'password'].filter((name) => !form.elements[name].value);
	if (empty.length) {
		showProblem(form, { errors: empty.map((field) => ({ field, detail: field === 'login'
			? 'Type the name you sign in with.' : 'Type your password.' })) });
		return;
	}
	button.disabled = true;
	try {
		const { person } = await post('/api/session',
			{ login: form.login.value, password: form.password.value,
				...(form.code.value && { code: form.code.value }) }, SOON);
		keepSession(person);
		location.replace(person.lacks_second_factor ? '/account' : backTo(location.search));
	} catch (problem) {
		const isCode = problem.errors?.some(({ field }) => field === 'code');

		if (isCode)
			form.querySelector('.second').hidden = false;
		// another refusal is about the two together, whatever the server calls it
		showProblem(form, problem.status === 401
			? { errors: [{ field: isCode ? 'code' : 'password', detail: problem.detail }] }
			: problem);
	} finally {
		button.disabled = false;
	}
});
