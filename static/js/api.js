/**
 * What the server said no to, or that it did not answer (status 0). detail is a sentence for the
 * person; errors name the fields at fault.
 */
export class Problem extends Error {
	constructor(status, { title = '', detail = '', errors = [] } = {}) {
		super(detail || title);
		this.status = status;
		this.detail = detail || title;
		this.errors = errors;
	}

	/** True when sending the same again may succeed: nothing was refused. */
	get passing() {
		return this.status === 0 || this.status === 401 || this.status === 429 ||
			this.status >= 500;
	}
}

const NO_ANSWER = { detail: 'The server did not answer. Check the connection, then try again.' };
const BAD_GATEWAY = 502;
const OTHER_ANSWER = { detail: 'Something else than the register answered, perhaps a network ' +
	'that wants its own sign-in. Check the connection, then try again.' };

async function ask(method, path, body, headers, signal) {
	try {
		return await fetch(path,
			{ method, body, signal, headers: { accept: 'application/json', ...headers } });
	} catch {
		throw new Problem(0, NO_ANSWER);
	}
}

const refused = (response, said) => new Problem(response.status,
	said ?? { detail: `The server answered ${response.status}.` });

const call = (method, path, body, { headers = {}, within_ms: most = 0 } = {}) =>
	ending(most, async (signal) => {
		const response = await ask(method, path, body, headers, signal);
		const text = await response.text().catch(() => '');

		if (signal.aborted)
			throw new Problem(0, NO_ANSWER);
		return said(response, text);
	});

/* Ends what a server begins and does not go on with; 0: never. */
async function ending(most_ms, work) {
	const end = new AbortController();
	const timer = most_ms ? setTimeout(() => end.abort(), most_ms) : 0;

	try {
		return await work(end.signal);
	} finally {
		clearTimeout(timer);
	}
}

/* What a stranger, or half an answer, calls done or refused is neither. */
function said(response, text) {
	const value = parse(text);
	const isOurs = value !== null && typeof value === 'object';

	if (response.ok && (isOurs || response.status === 204))
		return value;
	if (response.ok || (response.status < 500 && !isOurs))
		throw new Problem(BAD_GATEWAY, OTHER_ANSWER);
	throw refused(response, value);
}

function parse(text) {
	try {
		return text ? JSON.parse(text) : null;
	} catch {
		return null;
	}
}

const JSON_SENT = { headers: { 'content-type': 'application/json' } };
const CSV_SENT = { headers: { 'content-type': 'text/csv' } };

/** How long a request may take that somebody at the track waits for. */
export const SOON = { within_ms: 10000 };

/* No page waits for ever. */
const AT_LAST = { within_ms: 60000 };

/* Each takes { within_ms, headers } last: in that time it ends as one that nobody answered. */
export const get = (path, within = AT_LAST) => call('GET', path, undefined, within);
export const del = (path, how) => call('DELETE', path, how?.body, how);
export const post = (path, value, within) =>
	call('POST', path, JSON.stringify(value), { ...JSON_SENT, ...within });
export const put = (path, value, within) =>
	call('PUT', path, JSON.stringify(value), { ...JSON_SENT, ...within });
/** Sends the bytes of a picture, or the rest of them. */
export const putPicture = (path, bytes, type) =>
	call('PUT', path, bytes, { headers: { 'content-type': type }, ...AT_LAST });
export const postFile = (path, file) => call('POST', path, file, CSV_SENT);

/** Sends a file; what comes back is one too. @returns {Promise<Blob>} */
export async function postFileForFile(path, file) {
	const response = await ask('POST', path, file, CSV_SENT.headers);

	if (!response.ok)
		throw refused(response, parse(await response.text().catch(() => '')));
	return response.blob().catch(() => {
		throw new Problem(0, NO_ANSWER);
	});
}

/** A file that belongs to the page, as bytes. */
export const getBytes = (path) => ending(3 * SOON.within_ms, async (signal) => {
	const response = await ask('GET', path, undefined, {}, signal);

	if (!response.ok)
		throw new Problem(response.status, NO_ANSWER);
	return response.arrayBuffer();
});

/** All rows of a list, page after page; `whole` is false when there are more than `most`. */
export async function getAll(list, query, most = Infinity, within = undefined) {
	const rows = [];
	let page;

	do {
		const paged = new URLSearchParams(query);
		paged.set('limit', '500');
		if (page)
			paged.set('after', page.next);
		page = await get(`/api/${list}?${paged}`, within);
		rows.push(...page.rows);
	} while (page.next && rows.length < most);
	return { rows, totals: page.totals, whole: !page.next };
}

let words;

/** The enumerations of the API: {bond_kind: Map(code -> title), ...}. Asked for once. */
export function getWords(within) {
	words ??= get('/api/words', within).then((lists) => Object.fromEntries(
		Object.entries(lists)
			.map(([name, list]) => [name, new Map(list.map(({ code, title }) => [code, title]))])));
	return words;
}
