/*
 * What the tablet makes of a reading while it is typed: the rules' own answer to what stands in the
 * form and what is known of the bond (GET /api/bonds/{id}/tablet). The server judges again.
 */

/** The standing of an instrument on a day, undefined when none is chosen. */
function meterOf(rules, known, instrumentId, day) {
	if (!instrumentId)
		return undefined;
	const { calibrations = [], methods } =
		known.instruments?.find(({ id }) => id === instrumentId) ?? {};
	return rules.ask('meter', { day, calibrations, methods });
}

/**
 * @param {import('./rules.js').Rules} rules  with a rulebook
 * @param {{material?: string, limit?: object, baseline?: object, compared?: object, last?: object,
 *	instruments?: {id: number, methods?: number, calibrations?: object[]}[]}} known
 * @param {object} reading  as readReading gives it
 * @param {{day: string, purpose: string, alone?: boolean}} visit
 * @param {object[]} [others]  readings of the same quantity in the same visit
 * @returns {object} the answer to "reading"
 */
export function judgeReading(rules, known, reading, { day, purpose, alone }, others = []) {
	const { material, limit, baseline, compared } = known;
	const withMeter = (one) => ({ ...one, meter: meterOf(rules, known, one.instrument_id, day) });

	return rules.ask('reading', {
		...withMeter(reading), material, day, purpose, alone,
		compared: compared?.[reading.quantity],
		others: others.map(withMeter), limit: { ...limit, baseline: baseline?.[reading.quantity] }
	});
}

/**
 * True for the answer to a reading that proves nothing good since what lies beside the bond was
 * read with it; a railway may take that for proof, and says so in its rulebook.
 *
 * @param {string|null} proof  what the rulebook wants of this kind of bond
 */
export const provesNothing = (answer, proof) => answer.in_circuit && proof !== 'in_circuit';
