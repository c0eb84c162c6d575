import { addDays } from './day.js';

/**
 * A due state in words, with its days and what is due: "mending overdue 14 days".
 *
 * @param {{what?: string, state: string, days_over: number|null, deferred_to_day: string|null}} due
 *	days_over: days past the due day; negative before it
 */
export function dueWords({ what, state, days_over: over, deferred_to_day: until }) {
	if (state === 'not_due')
		return 'not due';
	return `${what ? `${what} ` : ''}${stateWords(state, over, until)}`;
}

function stateWords(state, over, until) {
	if (state === 'deferred')
		return until ? `deferred to ${until}` : 'deferred';
	if (over === null || over === undefined)
		return state;
	if (over === 0)
		return `${state}, today`;
	const days = `${Math.abs(over)} day${Math.abs(over) === 1 ? '' : 's'}`;
	if (over < 0)
		return `${state}, in ${days}`;
	return state === 'overdue' ? `overdue ${days}` : `${state}, ${days} past`;
}

/** The other of the two, when both are due some day: "next inspection 2026-09-01", or since when it
 * is due; '' when there is none. */
export function otherWords({ what, due_day: due, days_over: over, inspect_day: inspect,
	mend_day: mend }) {
	if (!mend)
		return '';
	const [name, day, next] = what === 'mending' ? ['inspection', inspect, 'next inspection']
		: ['mending', mend, 'mending due'];
	return day <= addDays(due, over) ? `${name} due since ${day}` : `${next} ${day}`;
}

/** For the head of a bond's page: "Mending overdue 14 days · next inspection 2026-09-01". */
export function dueHeadline(due) {
	const words = dueWords(due);
	return [`${words.charAt(0).toUpperCase()}${words.slice(1)}`, otherWords(due)].filter(Boolean)
		.join(' \u00b7 ');
}

/* Where what makes the grade and what the day rests on say the same, one of them is left out. */
const SAID_BY_BASIS = ['never_inspected'];
const SAID_BY_REASON = { evidence_old: 'proof_old', no_evidence: 'proof_lacks',
	forecast: 'forecast' };

/**
 * Why a row stands on the due list, in one sentence.
 *
 * @param {object} due  a row of the list
 * @param {Record<string, Map<string, string>>} words  of the API
 */
export function dueBecause(due, words) {
	const { failures_open: open, grade_reason: reason, basis, asked } = due;
	const byBasis = due.what !== 'mending' && due.state !== 'deferred' && basis &&
		SAID_BY_REASON[reason] !== basis;
	return [
		open > 0 && `${open} failure${open === 1 ? '' : 's'} not made good`,
		reason && reason !== 'failure_open' && !(byBasis && SAID_BY_BASIS.includes(reason)) &&
			words.grade_reason.get(reason),
		due.early_day && due.grade !== 'act' && `may cross its limit from ${due.early_day}`,
		due.state === 'deferred' ? `deferred to ${due.deferred_to_day}: ${due.deferral_reason}`
			: byBasis && words.due_basis.get(basis),
		otherWords(due),
		asked > 0 && reason !== 'asked' &&
			`${asked} ${asked === 1 ? 'reading waits' : 'readings wait'} for an answer`,
		due.not_reached && `not reached: ${due.not_reached}`,
		due.round_day && `on the round of ${due.round_day}, ${due.round_crew}`
	].filter(Boolean).join('; ');
}

/** Days past the due day as a figure with a real minus sign. */
export function daysFigure(over) {
	return over === null || over === undefined ? '' : String(over).replace('-', '\u2212');
}
