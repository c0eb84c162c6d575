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
	const query = new URLSearchParams({ of: '',
		...Object.fromEntries(new URLSearchParams(address.split('?')[1])), ...more });

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
	return Object.fromEntries(
		names.map((name) => [name, rows.reduce((sum, row) => sum + row[name], 0)]));
}

/** "1–30", "over 365". @param {{from_days: number, to_days: number|null}} band */
export function bandWords({ from_days: from, to_days: to }) {
	return to === null ? `over ${from - 1}` : `${from}–${to}`;
}

const WHATS = ['inspections', 'mendings'];

/** Whether a group has something overdue or put off. */
const isTold = (group) => WHATS.some((what) => group[what].overdue || group[what].deferred);

/**
 * Groups of bonds added up: how many bonds, and of inspections and of mendings how many are
 * overdue, by band, how many are put off, and the oldest due day.
 *
 * @param {object[]} groups  as the report has them
 */
export function addGroups(groups) {
	const all = sums(groups, 'bonds', 'overdue', 'deferred');

	for (const what of WHATS) {
		const of = groups.map((group) => group[what]);
		all[what] = { ...sums(of, 'overdue', 'deferred'), by_band: (of[0]?.by_band ?? [])
			.map((_, i) => of.reduce((sum, { by_band: counts }) => sum + counts[i], 0)),
			oldest_due_day: of.map(({ oldest_due_day: day }) => day).filter(Boolean)
				.sort()[0] ?? null };
	}
	return all;
}

/**
 * The groups line by line: those with something overdue or deferred, and the sum of all of the
 * line.
 *
 * @param {object[]} groups  as the report has them, by line
 * @returns {{line: string, line_id: number, rows: object[]}[]}  each with the members of a group
 */
export function byLine(groups) {
	return [...new Set(groups.map(({ line }) => line))].map((line) => {
		const of = groups.filter((group) => group.line === line);
		return { line, line_id: of[0].line_id, ...addGroups(of), rows: of.filter(isTold) };
	});
}

/** "2026-11" as a month of a report is named; the last one says how far it goes. */
export function monthWords({ from, to }, isLast) {
	return isLast ? `${from.slice(0, 7)}, to ${Number(to.slice(8))}` : from.slice(0, 7);
}
