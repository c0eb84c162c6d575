import { Problem, put } from '../api.js';
import { formDialog } from './form-dialog.js';

let dialog;

/**
 * Asks for somebody's own password and another.
 *
 * @param {string} login  of who is signed in, for the device's own memory of passwords
 * @param {() => void} done
 */
export function askPassword(login, done) {
	dialog ??= formDialog(document.querySelector('#own-password'), change, done);
	dialog.open({ username: login, password: '', new_password: '', again: '' });
}

function change({ password, new_password, again }) {
	if (new_password !== again)
		throw new Problem(0, { detail: 'Look at what is marked.',
			errors: [{ field: 'again', detail: 'This is not the same as the new one.' }] });
	return put('/api/session/password', { password, new_password });
}
