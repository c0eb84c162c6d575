/**
 * The page of a list: what the API has at "/api/odd-data?lines=VAL" is shown at
 * "/list?of=odd-data&lines=VAL".
 *
 * @param {string} address  of the list in the API, as a report names it
 * @param {Record<string, string>} [more]  filters that are added or put in place of its own
 */
export function listPage(address, more = {}) {
	return `/list?${listQuery(address, { of: address.match(/^\/api\/([a-z-]+)/)[1], ...more })}`;
}

/** The same list as a file. @param {'csv'|'xlsx'} ending */
export function listFile(address, ending, more = {}) {
	const query = listQuery(address, more);
	return `${address.split('?')[0]}.${ending}${query ? `?${query}` : ''}`;
}

function listQuery(address, more) {
	const query = new URLSearchParams({ of: '', ...Object.fromEntries(new URLSearchParams(address.split('?')[1])), ...more });

	for (const [name, value] of [...query]) {
		if (value === '')
			query.delete(name);
	}
	return query.toString();
}

/**
 * The share on time, in percent with one decimal, cut and not rounded: 100.0 means every one.
 *
 * @param {{on_time: number, late: number, not_done: number}} counted
 * @returns {string} '' when there is nothing to have a share of
 */
export function shareOnTime({ on_time: good, late, not_done: left }) {
	const all = good + late + left;
	return all ? (Math.floor(good * 1000 / all) / 10).toFixed(1) : '';
}

/** Adds up the named members. @param {object[]} rows @param {...string} names */
export function sums(rows, ...names) {
	return Object.fromEntries(names.map((name) => [name, rows.reduce((sum, row) => sum + row[name], 0)]));
}

/** "1–30", "over 365". @param {{from_days: number, to_days: number|null}} band */
export function bandWords({ from_days: from, to_days: to }) {
	return to === null ? `over ${from - 1}` : `${from}–${to}`;
}

/**
 * The groups line by line: those with something overdue or deferred, and how many bonds the line
 * has in all.
 *
 * @param {object[]} groups  as the report has them, by line
 * @returns {{line: string, line_id: number, bonds: number, overdue: number, deferred: number,
 *	by_band: number[], oldest_due_day: string|null, rows: object[]}[]}
 */
export function byLine(groups) {
	const lines = new Map();

	for (const group of groups) {
		const line = lines.get(group.line) ?? { line: group.line, line_id: group.line_id, bonds: 0, overdue: 0, deferred: 0, by_band: group.by_band.map(() => 0), oldest_due_day: null, rows: [] };

		lines.set(group.line, line);
		for (const name of ['bonds', 'overdue', 'deferred'])
			line[name] += group[name];
		line.by_band = line.by_band.map((sum, i) => sum + group.by_band[i]);
		if (group.oldest_due_day && (!line.oldest_due_day || group.oldest_due_day < line.oldest_due_day))
			line.oldest_due_day = group.oldest_due_day;
		if (group.overdue || group.deferred)
			line.rows.push(group);
	}
	return [...lines.values()];
}

/** "2026-11" as a month of a report is named; the last one says how far it goes. */
export function monthWords({ from, to }, isLast) {
	return isLast ? `${from.slice(0, 7)}, to ${Number(to.slice(8))}` : from.slice(0, 7);
}
