/** Where to go after signing in: a path of this site, nothing else. @param {string} search */
export function backTo(search) {
	const to = new URLSearchParams(search).get('to') ?? '/';
	return /^\/(?![/\\])[^\\\s]*$/.test(to) ? to : '/';
}

/** The number in /bonds/{id} or /bonds/{id}/inspect. @param {string} path */
export function bondOf(path) {
	return path.match(/^\/bonds\/(\d+)/)?.[1] ?? null;
}

/**
 * The inspection and the number of its reading in /readings/{uuid}/{number}.
 *
 * @param {string} path
 */
export function readingOf(path) {
	const [, inspection, number] = path.match(/^\/readings\/([0-9a-f-]{36})\/(\d+)$/) ?? [];
	return { inspection, number };
}

/**
 * The number of the bond whose code was read; null: it is another's.
 *
 * @param {string} text  what the code says
 * @param {string} origin  of this register
 */
export function bondOfCode(text, origin) {
	const [, at, id] = /^(https?:\/\/[^/]+)\/round\?bond=(\d{1,15})$/.exec(text) ?? [];

	return at === origin ? Number(id) : null;
}
