/*
 * What the tablet makes of a reading while it is typed: the rules' own answer to what stands in the
 * form and what is known of the bond (GET /api/bonds/{id}/tablet). The server judges again.
 */

/** The standing of an instrument on a day, undefined when none is chosen. */
function meterOf(rules, known, instrumentId, day) {
	if (!instrumentId)
		return undefined;
	const { calibrations = [], methods } = known.instruments?.find(({ id }) => id === instrumentId) ?? {};
	return rules.ask('meter', { day, calibrations, methods });
}

/**
 * @param {import('./rules.js').Rules} rules  with a rulebook
 * @param {{material?: string, limit?: object, baseline?: object, last?: object,
 *	instruments?: {id: number, methods?: number, calibrations?: object[]}[]}} known
 * @param {object} reading  as readReading gives it
 * @param {{day: string, purpose: string}} visit  what is measured at commissioning is not judged by
 *	what was measured at commissioning
 * @returns {object} the answer to "reading"
 */
export function judgeReading(rules, known, reading, { day, purpose }) {
	const { instrument_id, ...question } = reading;
	const { material, limit, baseline } = known;

	return rules.ask('reading', {
		...question, material, meter: meterOf(rules, known, instrument_id, day),
		limit: { ...limit, baseline: purpose === 'commissioning' ? undefined : baseline?.[reading.quantity] }
	});
}
