/*
 * When it was done. What was attached when something was read goes by this; a shift's day alone
 * cannot tell it within a night. An instant is sent only where it is likely to be that of the work:
 * written down later, the order of a day's work is better told by its kind (the server does that).
 */
const HALF_DAY_MS = 12 * 3600 * 1000;

/**
 * The civil day of an instant as YYYY-MM-DD.
 *
 * @param {number} ms
 * @param {string|null} zone  its name in the zone database
 * @returns {string|null} null: the zone is not known here
 */
export function dayIn(zone, ms) {
	if (!zone)
		return null;
	try {
		return new Intl.DateTimeFormat('sv', { timeZone: zone }).format(ms);
	} catch {
		return null;
	}
}

/**
 * The member `at` of an entry: when it was first saved, where that was on the shift's day, or on a
 * tablet in the night after it, until noon.
 *
 * @param {number|null} savedMs  when it was first saved; null: not known
 * @param {string} day  of the shift
 * @param {{zone: string|null, isTablet: boolean}} here  the register's zone
 * @returns {string|undefined} undefined: none is sent
 */
export function atToSend(savedMs, day, { zone, isTablet }) {
	const isOf = (ms) => dayIn(zone, ms) === day;

	return savedMs && (isOf(savedMs) || (isTablet && isOf(savedMs - HALF_DAY_MS))) ?
		new Date(savedMs).toISOString() : undefined;
}

/** When an entry was first saved: a correction has that of what it corrects, if that is known. */
export const firstSaved = ({ saved_ms: had, corrects }, now) => had ?? (corrects ? null : now);
