/*
 * Any list as a page, from the API's own description of it (OpenAPI): its columns, its filters, and
 * where a cell leads.
 */

/* Numbers and ids that a person does not read: the cells beside them lead there; nor a code whose
 * words stand beside it. */
const HIDDEN = /^(id|uuid|inspection|.*_id|.*_mm)$/;

/**
 * @param {object} description  GET /api
 * @param {string} name  of the list
 * @returns {{title: string, summary: string, columns: object[], filters: object[], places:
 *	boolean}|null} null: there is no such list. columns: {name, title, unit, type, words}; filters:
 *	{name, title, type, words, rare}; type: number, day, instant, flag, word, text. rare: a number
 *	that nobody types, such as a line's id: shown when the address has it. places: it has
 *	coordinates.
 */
export function describedList(description, name) {
	const operation = description.paths[`/api/${name}`]?.get;
	const schema = operation?.responses['2XX'].content?.['application/json'].schema;
	const cells = schema?.properties.rows?.items.properties;

	if (!cells)
		return null;
	return {
		title: schema.title, summary: operation.summary,
		columns: Object.entries(cells).filter(([column]) => !HIDDEN.test(column) &&
			!(`${column}_words` in cells)).map(([column, cell]) => ({
			name: column, title: cell.title, unit: cell.description ?? '', type: typeOf(cell),
			words: cell['x-words']
		})),
		filters: operation.parameters.filter(({ in: where, name: filter }) => where === 'query' &&
			!['sort', 'limit', 'after'].includes(filter))
			.map(({ name: filter, description: title, schema: of }) =>
				({ name: filter, title, type: typeOf(of), words: of['x-words'],
				rare: of.minimum === 1 || filter.endsWith('_mm') })),
		places: 'longitude' in cells && 'latitude' in cells
	};
}

/**
 * The lists that somebody may look at, by title.
 *
 * @param {object} description  GET /api
 * @returns {{name: string, title: string, summary: string}[]}
 */
export function namesOfLists(description) {
	return Object.keys(description.paths).map((path) => path.match(/^\/api\/([a-z-]+)$/)?.[1])
		.map((name) => name && { name, ...describedList(description, name) })
			.filter((list) => list?.title)
		.map(({ name, title, summary }) => ({ name, title, summary }))
			.sort((a, b) => a.title.localeCompare(b.title));
}

function typeOf({ type, format, enum: values, 'x-words': words }) {
	if (words)
		return 'word';
	if (format)
		return format === 'date' ? 'day' : 'instant';
	if (type === 'boolean' || type.includes('boolean') || (values?.[0] === 'yes'))
		return 'flag';
	return ['integer', 'number'].some((number) => type === number ||
		(Array.isArray(type) && type.includes(number))) ? 'number' : 'text';
}

/** A cell as a person reads it. @param {Record<string, Map<string, string>>} words  of the API */
export function cellText({ type, words: list }, value, words) {
	if (value === null || value === undefined)
		return '';
	if (type === 'word')
		return words[list]?.get(value) ?? value;
	if (type === 'flag')
		return value ? 'yes' : 'no';
	if (type === 'instant')
		return `${value.slice(0, 10)} ${value.slice(11, 16)} UTC`;
	if (type === 'number')
		return (Number.isInteger(value) ? String(value) : String(Number(value.toPrecision(6))))
			.replace('-', '\u2212');
	return String(value);
}

/** Where a cell leads, or null. @param {string} list  its name */
export function cellLink(list, { name }, row) {
	const bond = row.bond_id ?? (['bonds', 'due'].includes(list) ? row.id : null);

	if (name === 'label' && bond)
		return `/bonds/${bond}`;
	if (name === 'line' && row.line_id)
		return `/lines/${row.line_id}`;
	if (list === 'lines' && name === 'name')
		return `/lines/${row.id}`;
	if (list === 'repeat-places' && name === 'chainage_from')
		return `/repeat?place=${row.id}`;
	return null;
}
