import { get, put } from '../api.js';
import { clearProblem, showProblem } from './problems.js';
import { fill } from './template.js';

/**
 * Asks an administrator once in which time zone the railway is: shown only while none is on record.
 *
 * @param {HTMLFormElement} form  hidden; has a .notice, the field "zone" and a .taken paragraph
 * @param {() => void} done  called when the answer is on record: days may be other ones
 */
export async function zoneForm(form, done) {
	const { zone, machine_zone: machine } = await get('/api/register');

	if (zone)
		return;
	form.elements.zone.value = machine ?? '';
	fill(form, { machine: machine ? `, ${machine}` : '' });
	form.hidden = false;
	form.addEventListener('submit', (e) => {
		e.preventDefault();
		send(form, done);
	});
}

async function send(form, done) {
	const button = form.querySelector('button');
	const zone = form.elements.zone.value.trim();

	clearProblem(form);
	button.disabled = true;
	try {
		await put('/api/register/zone', { zone });
		form.querySelector('.asked').hidden = true;
		fill(form, { zone });
		form.querySelector('.taken').hidden = false;
		form.querySelector('h2').focus();
		done();
	} catch (problem) {
		showProblem(form, problem);
	} finally {
		button.disabled = false;
	}
}
