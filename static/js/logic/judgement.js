import { addDays } from './day.js';
import { writeFigure } from './number.js';

/* What GET /api/bonds/{id}/judgement says, in words and as places in a drawing. No rule is here:
 * line and band are drawn from the coefficients that come with them. */

const DAY_MS = 86400000;

/** Days since 1970-01-01, as the coefficients of a trend count them. @param {string} day */
export const dayNumber = (day) => Date.parse(`${day}T00:00:00Z`) / DAY_MS;

export const isFitted = (trend) => trend.at_mean !== null;

/** The fitted line and half the width of its 95 % prediction band on a day number. */
export function bandOn({ at_mean, mean_day, slope_per_day, s, sxx, t95, readings }, day) {
	const off = day - mean_day;
	const at = at_mean + slope_per_day * off;
	return { at, half: t95 * s * Math.sqrt(1 + 1 / readings + off * off / sxx) };
}

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
	return `${withBounds(last.value, last.u95)} ${unit} on ${last.day}: ${words.verdict.get(last.verdict)}. ${against}`;
}

/** How it changes, and what is forecast or why nothing is. */
export function trendWords({ trend, unit }) {
	const rate = (value) => `${writeFigure(value, 3)} ${unit}`;
	const said = [];

	if (isFitted(trend)) {
		const rises = trend.slope_per_year >= 0;
		said.push(`${rises ? 'Rising' : 'Falling'} ${rate(Math.abs(trend.slope_per_year))} a year, standard error ${rate(trend.slope_se_per_year)} (Theil–Sen ${rate(trend.theil_sen_per_year)}), by ${trend.readings} readings from ${trend.first_day} to ${trend.last_day}.`);
	}
	return [...said, forecastWords(trend)].join(' ');
}

export function forecastWords({ early_day, crosses_day, no_forecast_because: why, held }) {
	if (why)
		return `No forecast: ${why}.`;
	const crosses = crosses_day ? `the fitted line crosses it on ${crosses_day}` : 'the fitted line does not cross it within a hundred years';
	return `The limit may be crossed from ${early_day} on; ${crosses}.${held ? ' The last reading stands off the line of those before it: that never makes a bond less urgent, so the early day does not follow from the drawn band alone.' : ''}`;
}

/* Of these limits there is nothing that somebody could add. */
const NOT_MEANT = ['not_for_quantity', 'not_used'];

/** The limits of a quantity, the lowest first, then why the others that are meant are not formed. */
export function limitRows({ limits, unit }, words) {
	return [...limits].filter((one) => !NOT_MEANT.includes(one.absence))
		.sort((a, b) => (a.value ?? Infinity) - (b.value ?? Infinity))
		.map(({ kind, value, lowest, absent_because: why }) => ({
			kind, title: words.limit_kind.get(kind), lowest,
			text: value === null ? `none: ${why}` : `${writeFigure(value)} ${unit}${lowest ? ', the one that counts' : ''}`
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
	const most = addDays(last, Math.min(AHEAD_DAYS, Math.max(730, dayNumber(last) - dayNumber(first))));
	const ahead = trends.flatMap(({ early_day, crosses_day }) => [early_day, crosses_day]).filter((day) => day && day > last && day <= most);
	const end = ahead.reduce((a, b) => a > b ? a : b, last);
	return [first, end > last ? addDays(end, Math.ceil((dayNumber(end) - dayNumber(first)) / 20)) : last];
}
