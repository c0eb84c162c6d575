/*
 * What may be sent, from the API's own description of it (OpenAPI): the fields of a form, so that a
 * kind of record needs no form of its own.
 */

/* Of the sending, or of a page's own making. */
const UNSEEN = ['corrects', 'sent_from'];

/**
 * @param {object} description  GET /api
 * @param {string} path  "/api/kit-checks/{uuid}"
 * @returns {{name: string, title: string, help: string, type: 'word'|'day'|'text'|'note',
 *	words: string|undefined, required: boolean}[]} in the order of the kind's table; words: the name
 *	of its enumeration
 */
export function describedForm(description, path) {
	const { schema } = description.paths[path].put.requestBody.content['application/json'];

	return Object.entries(schema.properties).filter(([name]) => !UNSEEN.includes(name))
		.map(([name, of]) => ({
			name, title: of.title, help: of.description ?? '', type: typeOf(of),
			words: of['x-words'], required: schema.required?.includes(name) ?? false
		}));
}

function typeOf({ format, maxLength, 'x-words': words }) {
	if (words)
		return 'word';
	if (format === 'date')
		return 'day';
	return maxLength > 200 ? 'note' : 'text';
}

/** What was typed as a body: what is empty is left out. */
export const bodyOf = (fields, values) => Object.fromEntries(fields
	.map(({ name }) => [name, (values[name] ?? '').trim()]).filter(([, value]) => value !== ''));
