import { post } from '../api.js';
import { backTo } from '../logic/address.js';
import { darkSwitch } from '../parts/session.js';
import { clearProblem, showProblem } from '../parts/problems.js';

const form = document.querySelector('form');
const button = form.querySelector('.main');

darkSwitch();
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
		await post('/api/session', { login: form.login.value, password: form.password.value });
		location.replace(backTo(location.search));
	} catch (problem) {
		// a refusal is about the two together, whatever the server calls it
		showProblem(form, problem.status === 401
			? { errors: [{ field: 'password', detail: problem.detail }] } : problem);
	} finally {
		button.disabled = false;
	}
});
