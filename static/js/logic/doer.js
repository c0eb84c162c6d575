/**
 * Who is said to have done something, and who entered it.
 *
 * @param {{done_by?: string|null, entered_by?: string|null, entered_at?: string|null}} row  of the
 *	API
 */
export function whoWords({ done_by: done, entered_by: entered, entered_at: at }) {
	const when = at ? ` on ${at.slice(0, 10)}` : '';

	if (done && entered && done !== entered)
		return `entered by ${entered} for ${done}${when}`;
	if (done)
		return `by ${done}${when && `, entered${when}`}`;
	return entered ? `entered by ${entered}${when}` : when && `entered${when}`;
}

/** A list's cell of who entered a row: whose name stands there for another says so. */
export function enteredWords({ done_by: done, entered_by: entered }) {
	return done && entered && done !== entered ? `${entered} for ${done}` : entered;
}

/** True when a name is somebody else's than the name of who is signed in. */
export function isForAnother(name, me) {
	return Boolean(me?.name) && name.trim() !== '' && name.trim() !== me.name;
}

/**
 * What stands beside a field that names the doer.
 *
 * @param {{name: string}|null} me  who is signed in
 */
export function doerWords(name, me) {
	if (!me?.name)
		return 'Nobody is signed in as far as this tablet knows.';
	return isForAnother(name, me) ? `You, ${me.name}, enter this for ${name.trim()}.`
		: `You are signed in as ${me.name}.`;
}

/** The name to send: of one's own work none, since the server knows who sends. */
export function doerToSend(name, me) {
	return isForAnother(name, me) || !me?.name ? name.trim() : '';
}
