import { readNumber } from './number.js';

const FIGURES = ['forward_uv', 'reverse_uv', 'current_a', 'shown_uohm', 'lead_uohm', 'rail_uv', 'rail_m', 'joint_m', 'temp_c'];

/* Which figures a way of measuring has; the others are not sent even when they were typed before. */
const SHOWN = ['shown_uohm', 'temp_c'];
const VOLTS = ['forward_uv', 'reverse_uv', 'current_a', 'temp_c'];
const RATIO = ['forward_uv', 'reverse_uv', 'rail_uv', 'rail_m', 'joint_m', 'temp_c'];

/** The figures that a reading of this quantity, method and way asks for. */
export function figuresOf({ quantity, method, way }) {
	if (quantity === 'rail_drop')
		return RATIO;
	const figures = way === 'volts' ? VOLTS : SHOWN;
	return method === 'two_wire' ? [...figures, 'lead_uohm'] : figures;
}

/**
 * Reads the figures of one reading as typed.
 *
 * @param {Record<string, string>} typed
 * @returns {{reading: object, errors: {field: string, detail: string}[]}}
 *	a reading has every figure, null where nothing was typed
 */
export function readReading(typed) {
	const asked = figuresOf(typed);
	const errors = [];
	const reading = { quantity: typed.quantity, method: typed.quantity === 'rail_drop' ? 'voltage_drop' : typed.method };

	for (const field of FIGURES) {
		const { value, problem } = asked.includes(field) ? readNumber(typed[field] ?? '') : { value: null, problem: null };
		reading[field] = value;
		if (problem)
			errors.push({ field, detail: problem });
	}
	if (typed.instrument_id)
		reading.instrument_id = Number(typed.instrument_id);
	return { reading, errors };
}

/** True when the reading has a figure besides the temperature. */
export function isTyped(typed) {
	return figuresOf(typed).some((field) => field !== 'temp_c' && (typed[field] ?? '').trim() !== '');
}

/**
 * The body for the API from what was typed, or every problem at once.
 *
 * @param {object} typed  the form's values as text; see the inspect page
 * @returns {{body: object, errors: {field: string, detail: string}[]}}
 */
export function inspectionBody(typed) {
	const errors = [];
	const body = {
		bond_id: Number(typed.bond_id), day: typed.day, purpose: typed.purpose,
		outcome: typed.outcome, readings: []
	};

	if (!/^\d{4}-\d\d-\d\d$/.test(typed.day ?? ''))
		errors.push({ field: 'day', detail: 'Say on which day the bond was inspected.' });
	if (!typed.outcome)
		errors.push({ field: 'outcome', detail: 'Say whether the inspection was complete, done in part, or not reached.' });
	for (const name of ['seen_a', 'seen_b', 'inspector', 'note', 'corrects']) {
		if ((typed[name] ?? '').trim())
			body[name] = typed[name].trim();
	}
	(typed.readings ?? []).forEach((one, i) => {
		const read = readReading(one);
		errors.push(...read.errors.map(({ field, detail }) => ({ field: `readings[${i}].${field}`, detail })));
		if (isTyped(one))
			body.readings.push(dropNulls(read.reading));
	});
	if (typed.failed === 'yes')
		body.failure = failureBody(typed, errors);
	return { body, errors };
}

function failureBody(typed, errors) {
	const failure = { uuid: typed.failure_uuid, mode: typed.failure_mode || 'not_stated' };

	if (!typed.failure_mode)
		errors.push({ field: 'failure.mode', detail: 'Say what failed; "not stated" is an answer too.' });
	if (typed.failure_end)
		failure.end = typed.failure_end;
	if ((typed.failure_cause ?? '').trim())
		failure.cause = typed.failure_cause.trim();
	return failure;
}

function dropNulls(object) {
	return Object.fromEntries(Object.entries(object).filter(([, value]) => value !== null));
}

/**
 * The place in the form of a reading that the server names by its place in the body: readings in
 * which nothing was typed were not sent.
 */
export function sentReading(readings, index) {
	return readings.map((one, i) => [one, i]).filter(([one]) => isTyped(one))[index]?.[1] ?? index;
}
