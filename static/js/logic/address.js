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
