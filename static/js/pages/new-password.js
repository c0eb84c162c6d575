import { post, SOON } from '../api.js';
import { keepSession } from '../parts/last-used.js';
import { clearProblem, showProblem } from '../parts/problems.js';
import { darkSwitch } from '../parts/session.js';

const form = document.querySelector('form');
const button = form.querySelector('.main');

/* What is wrong before anything is sent. */
function wrong() {
	const empty = Array.from(form.elements).filter((input) => input.required && !input.value);

	if (empty.length)
		return empty.map(({ name, labels: [label] }) =>
			({ field: name, detail: `Fill in "${label.textContent}".` }));
	return form.new_password.value === form.again.value ? []
		: [{ field: 'again', detail: 'This is not the same as the new one.' }];
}

darkSwitch();
form.addEventListener('submit', async (e) => {
	e.preventDefault();
	clearProblem(form);
	const errors = wrong();
	if (errors.length) {
		showProblem(form, { errors });
		return;
	}
	button.disabled = true;
	try {
		const { person } = await post('/api/session/reset', { login: form.login.value,
			code: form.code.value, new_password: form.new_password.value,
			...(form.figures.value && { figures: form.figures.value }) }, SOON);
		keepSession(person);
		location.replace('/');
	} catch (problem) {
		if (problem.errors?.some(({ field }) => field === 'figures'))
			form.querySelector('.second').hidden = false;
		// (they are not signed in: nothing to sign in for beside this page)
		showProblem(form, { errors: problem.errors, detail: problem.detail });
	} finally {
		button.disabled = false;
	}
});
