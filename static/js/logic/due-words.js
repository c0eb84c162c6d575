/**
 * A due state in words, with its days.
 *
 * @param {{state: string, days_over: number|null, deferred_to_day: string|null}} due
 *	days_over: days past the due day; negative before it
 */
export function dueWords({ state, days_over: over, deferred_to_day: until }) {
	if (state === 'deferred')
		return until ? `deferred to ${until}` : 'deferred';
	if (state === 'not_due')
		return 'not due';
	if (over === null || over === undefined)
		return state;
	if (over === 0)
		return `${state}, today`;
	const days = `${Math.abs(over)} day${Math.abs(over) === 1 ? '' : 's'}`;
	if (over < 0)
		return `${state}, in ${days}`;
	return state === 'overdue' ? `overdue by ${days}` : `${state}, ${days} past`;
}

/** Days past the due day as a figure with a real minus sign. */
export function daysFigure(over) {
	return over === null || over === undefined ? '' : String(over).replace('-', '\u2212');
}
