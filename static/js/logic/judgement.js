import { addDays } from './day.js';
import { writeFigure } from './number.js';

/* What GET /api/bonds/{id}/judgement says, in words and as places in a drawing. No rule is here:
 * line and band are drawn from the coefficients that come with them. */

const DAY_MS = 86400000;

/** Days since 1970-01-01, as the coefficients of a trend count them. @param {string} day */
export const dayNumber = (day) => Date.parse(`${day}T00:00:00Z`) / DAY_MS;

/* 95 % two-sided, of the normal distribution */
const Z95 = 1.959964;

/** A trend's line and half the width of the band of a further reading, 95 %, on a day number. */
export function bandOn({ level, mean_day, slope_per_day, var_level, cov, var_slope },
	sigma_next, day) {
	const x = day - mean_day;
	return { at: level + slope_per_day * x,
		half: Z95 * Math.sqrt(var_level + 2 * cov * x + var_slope * x * x + sigma_next ** 2) };
}

/**
 * The line whose band is drawn: that of the day foretold, else that of all readings.
 *
 * @returns {object|undefined}
 */
export const mainLine = ({ lines, early_line }) =>
	lines.find(({ of }) => of === early_line) ?? lines[0];

/** Figures of one series have as many decimals as the coarsest part of an uncertainty needs. */
export function withBounds(value, u95) {
	if (value === null || value === undefined)
		return '';
	if (!(u95 > 0))
		return writeFigure(value);
	const decimals = Math.min(6, Math.max(0, 1 - Math.floor(Math.log10(u95))));
	return `${value.toFixed(decimals).replace('-', '\u2212')} ± ${u95.toFixed(decimals)}`;
}

/** The last value, its verdict and the limit. @param {Record<string, Map<string, string>>} words */
export function lastWords({ last, unit, limit, limit_kind }, words) {
	const against = limit === null ? 'There is no limit to judge it by.'
		: `Limit ${writeFigure(limit)} ${unit}: ${words.limit_kind.get(limit_kind)}.`;

	if (!last)
		return `Not measured since the newest attachment. ${against}`;
	if (last.open_circuit)
		return `Open circuit on ${last.day}. ${against}`;
	return `${withBounds(last.value,
		last.u95)} ${unit} on ${last.day}: ${words.verdict.get(last.verdict)}. ${against}`;
}

/**
 * How it changes, and what is foretold or why nothing is.
 *
 * @param {Record<string, Map<string, string>>} words
 */
export function trendWords({ trend, unit }, words) {
	const { lines, rise, theil_sen_per_year: median } = trend;
	const rate = (value) => `${writeFigure(value, 3)} ${unit}`;
	const said = lines.map((line) => `${rate(line.slope_per_year)} a year by ${readingsOf(line,
		lines)} from ${line.first_day} to ${trend.last_day} (standard error ${rate(
		line.slope_se_per_year)}${line.of === 'all' ? `; Theil–Sen ${rate(median)}` : ''})`);
	const title = words.trend_rise.get(rise) ?? '';

	return [lines.length &&
		`${title.charAt(0).toUpperCase()}${title.slice(1)}: ${said.join('; ')}.`,
		forecastWords(trend)].filter(Boolean).join(' ');
}

/** "all 8 readings", "the newest 4 readings"; of one line, "5 readings". */
function readingsOf({ of, readings }, lines) {
	return lines.length === 1 ? `${readings} readings` : of === 'all' ? `all ${readings} readings`
		: `the newest ${readings} readings`;
}

/** The days foretold, each with the line that it is of, or why none is. */
export function forecastWords(trend) {
	const { lines, early_day: early, crosses_day: crosses, crosses_low_day: low,
		crosses_high_day: high, no_forecast_because: why } = trend;

	if (why)
		return `No forecast: ${why}.`;
	const by = (how, of) => lines.length > 1
		? `${how} ${readingsOf(lines.find((line) => line.of === of), lines)}` : '';
	const far = (is) => is ? ', far beyond what was read' : '';
	const same = trend.early_line === trend.crosses_line;
	const bounds = low && low !== high
		? ` (95 %: ${high ? `between ${low} and ${high}` : `after ${low}`})` : '';
	const second = crosses ? `the line crosses it on ${crosses}${bounds}${same ? ''
		: by(', by', trend.crosses_line)}${far(trend.crosses_is_far)}`
		: 'the line does not cross it within a hundred years';

	return `If it goes on as it ` +
		`has${same ? by(' in', trend.early_line) : ''}, the limit may be crossed from ${early} ` +
		`on${same ? '' : by(', by', trend.early_line)}${far(trend.early_is_far)}; ${second}.`;
}

/**
 * The days of a forecast that a drawing marks.
 *
 * @returns {{day: string, text: string, name: string, far: boolean}[]}
 */
export function forecastMarks({ early_day, crosses_day, early_is_far, crosses_is_far,
	no_forecast_because: why }) {
	return why ? [] : [{ day: early_day, text: 'may cross', name: 'early', far: early_is_far },
		{ day: crosses_day, text: 'line crosses', name: 'crosses', far: crosses_is_far }]
		.filter(({ day }) => day);
}

/* Of these limits there is nothing that somebody could add. */
const NOT_MEANT = ['not_for_quantity', 'not_used'];

/** The limits of a quantity, the lowest first, then why the others that are meant are not
 * formed. */
export function limitRows({ limits, unit }, words) {
	return [...limits].filter((one) => !NOT_MEANT.includes(one.absence))
		.sort((a, b) => (a.value ?? Infinity) - (b.value ?? Infinity))
		.map(({ kind, value, lowest, absent_because: why }) => ({
			kind, title: words.limit_kind.get(kind), lowest,
			text: value === null ? `none: ${why}`
				: `${writeFigure(value)} ${unit}${lowest ? ', the one that counts' : ''}`
		}));
}

/* Shown at most this much beyond the last reading or today: a crossing later than that is said. */
const AHEAD_DAYS = 3653;

/**
 * From which day to which a series is drawn: its readings, today, and the forecast where it is not
 * too far off.
 *
 * @returns {[string, string]}
 */
export function spanOf(days, trends, today) {
	const first = days.reduce((a, b) => a < b ? a : b, today);
	const last = days.reduce((a, b) => a > b ? a : b, today);
	const most = addDays(last,
		Math.min(AHEAD_DAYS, Math.max(730, dayNumber(last) - dayNumber(first))));
	const ahead = trends.flatMap(forecastMarks).map(({ day }) => day)
		.filter((day) => day > last && day <= most);
	const end = ahead.reduce((a, b) => a > b ? a : b, last);
	return [first,
		end > last ? addDays(end, Math.ceil((dayNumber(end) - dayNumber(first)) / 20)) : last];
}

/**
 * Words beside their marks on a scale, each in the first row in which they run into no others.
 *
 * @param {{at: number, text: string}[]} marks
 * @param {{left: number, right: number, letter: number}} room  px, and of one letter at most
 * @returns {object[]} the marks from left to right, with `from` and `row`
 */
export function wordRows(marks, { left, right, letter }) {
	const ends = [];

	return [...marks].sort((a, b) => a.at - b.at).map((mark) => {
		const width = mark.text.length * letter;
		const from = Math.max(left, Math.min(mark.at + 4, right - width));
		const free = ends.findIndex((end) => from > end);
		const row = free < 0 ? ends.length : free;

		ends[row] = from + width + 8;
		return { ...mark, from, row };
	});
}
