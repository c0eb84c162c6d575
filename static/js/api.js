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
const OTHER_ANSWER = { detail: 'Something else than the register answered, perhaps a network ' +
	'that wants its own sign-in. Check the connection, then try again.' };

async function ask(method, path, body, headers) {
	try {
		return await fetch(path,
			{ method, body, headers: { accept: 'application/json', ...headers } });
	} catch {
		throw new Problem(0, NO_ANSWER);
	}
}

const refused = (response, said) => new Problem(response.status,
	said ?? { detail: `The server answered ${response.status}.` });

async function call(method, path, body, headers = {}) {
	const response = await ask(method, path, body, headers);
	const text = await response.text().catch(() => '');
	const said = parse(text);
	if (!response.ok)
		throw refused(response, said);
	/* what a stranger, or half an answer, calls done is not done */
	if (said === null && response.status !== 204)
		throw new Problem(0, OTHER_ANSWER);
	return said;
}

function parse(text) {
	try {
		return text ? JSON.parse(text) : null;
	} catch {
		return null;
	}
}

const json = { 'content-type': 'application/json' };

export const get = (path) => call('GET', path);
export const del = (path) => call('DELETE', path);
export const post = (path, value) => call('POST', path, JSON.stringify(value), json);
export const put = (path, value) => call('PUT', path, JSON.stringify(value), json);
export const postFile = (path, file) => call('POST', path, file, { 'content-type': 'text/csv' });

/** Sends a file; what comes back is one too. @returns {Promise<Blob>} */
export async function postFileForFile(path, file) {
	const response = await ask('POST', path, file, { 'content-type': 'text/csv' });

	if (!response.ok)
		throw refused(response, parse(await response.text().catch(() => '')));
	return response.blob().catch(() => {
		throw new Problem(0, NO_ANSWER);
	});
}

/** A file that belongs to the page, as bytes. */
export async function getBytes(path) {
	const response = await fetch(path).catch(() => null);

	if (!response?.ok)
		throw new Problem(response?.status ?? 0, NO_ANSWER);
	return response.arrayBuffer();
}

/** All rows of a list, page after page; `whole` is false when there are more than `most`. */
export async function getAll(list, query, most = Infinity) {
	const rows = [];
	let page;

	do {
		const paged = new URLSearchParams(query);
		paged.set('limit', '500');
		if (page)
			paged.set('after', page.next);
		page = await get(`/api/${list}?${paged}`);
		rows.push(...page.rows);
	} while (page.next && rows.length < most);
	return { rows, totals: page.totals, whole: !page.next };
}

let words;

/** The enumerations of the API: {bond_kind: Map(code -> title), ...}. Asked for once. */
export function getWords() {
	words ??= get('/api/words').then((lists) => Object.fromEntries(
		Object.entries(lists)
			.map(([name, list]) => [name, new Map(list.map(({ code, title }) => [code, title]))])));
	return words;
}
