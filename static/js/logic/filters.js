import { addDays } from './day.js';

/** The filters of the due list, as they stand in the page's address. */
const NAMES = ['line', 'what', 'state', 'grade', 'asked', 'verdict', 'crosses_before', 'kind',
	'criticality', 'days', 'q', 'sort', 'after'];

/** @param {string} search  location.search @returns {Record<string, string>} */
export function readFilters(search) {
	const query = new URLSearchParams(search);
	return Object.fromEntries(NAMES.filter((name) => query.get(name))
		.map((name) => [name, query.get(name)]));
}

/** The address that shows these filters; empty ones are left out. */
export function filtersAddress(filters) {
	const query = new URLSearchParams(NAMES.filter((name) => filters[name])
		.map((name) => [name, filters[name]]));
	const text = query.toString();
	return text ? `?${text}` : '';
}

/**
 * What the list of the API takes: days ahead become the last day.
 *
 * @param {Record<string, string>} filters
 * @param {string} today  YYYY-MM-DD
 * @param {Record<string, string>} [more]  limit, format ...
 */
export function filtersQuery(filters, today, more = {}) {
	const { days, ...rest } = filters;
	const query = new URLSearchParams(Object.entries(rest).filter(([, value]) => value));

	if (/^\d{1,5}$/.test(days ?? ''))
		query.set('until', addDays(today, Number(days)));
	for (const [name, value] of Object.entries(more))
		query.set(name, value);
	return query.toString();
}

/** The order of the list, where none is asked for: what a filter is about, or else the worst
 * first. */
export function orderOf({ sort, crosses_before: crosses, q }) {
	return sort || (crosses ? 'early' : q ? 'label' : 'worst');
}

/** A comma list with the word put in, or taken out when it was there. */
export function toggleWord(list, word) {
	const words = (list ?? '').split(',').filter(Boolean);
	return (words.includes(word) ? words.filter((w) => w !== word) : [...words, word]).join(',');
}
