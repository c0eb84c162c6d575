/*
 * What was used last on this device: instrument, kit, who is signed in. A convenience, filled in
 * beforehand: what is lost of it costs a tap. Never who did it: that is who is signed in.
 */
const LAST = 'last:';

export function lastUsed(what) {
	try {
		return JSON.parse(localStorage.getItem(LAST + what)) ?? '';
	} catch {
		return '';
	}
}

export function keepLastUsed(what, value) {
	try {
		if (value)
			localStorage.setItem(LAST + what, JSON.stringify(value));
	} catch { /* the tap that it would save is made */ }
}

/** Who is signed in here, for when the server does not answer. */
export const keepSession = ({ id, name }) => keepLastUsed('session', { id, name });
export const lastSession = () => lastUsed('session') || null;

/** Nobody is, from now on. */
export function dropSession() {
	try {
		localStorage.removeItem(`${LAST}session`);
	} catch { /* it was not kept */ }
}
