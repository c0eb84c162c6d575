const DAY_MS = 86400000;

/** The device's own civil day as YYYY-MM-DD. @param {Date} now */
export function dayOf(now) {
	const two = (n) => String(n).padStart(2, '0');
	return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
}

/** @param {string} day  YYYY-MM-DD @param {number} days */
export function addDays(day, days) {
	return new Date(Date.parse(`${day}T00:00:00Z`) + days * DAY_MS).toISOString().slice(0, 10);
}

/** A day as an instant, for the scale of a chart. @param {string} day */
export function dayInstant(day) {
	return new Date(`${day}T00:00:00Z`);
}
