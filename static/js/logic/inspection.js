import { CARRIED_MOST_MS } from './asked.js';
import { readNumber } from './number.js';

const FIGURES = ['forward_uv', 'reverse_uv', 'current_a', 'shown_uohm', 'lead_uohm', 'rail_uv',
	'rail_m', 'joint_m', 'temp_c'];

/* Which figures a way of measuring has; the others are not sent even when they were typed
 * before. */
const SHOWN = ['shown_uohm'];
const VOLTS = ['forward_uv', 'reverse_uv', 'current_a'];
const RATIO = ['forward_uv', 'reverse_uv', 'rail_uv', 'rail_m', 'joint_m', 'temp_c'];

/** The figures that a reading of this quantity, method and way asks for. */
export function figuresOf({ quantity, method, way }) {
	if (quantity === 'rail_drop')
		return RATIO;
	return [...way === 'volts' ? VOLTS : SHOWN, ...quantity === 'end_to_end' ? ['temp_c'] : [],
		...method === 'two_wire' ? ['lead_uohm'] : []];
}

export const isContact = (quantity) => quantity === 'contact_a' || quantity === 'contact_b';

/** Words that tell of a path that is open, or soon may be. */
export const DEFECTS = ['loose', 'strands_broken', 'damaged', 'missing'];

/** Whether what was seen asks at once if the bond failed. @param {number} cables  of the bond */
export function asksFailed({ seen_a: a, seen_b: b, cables_whole: whole }, cables) {
	return DEFECTS.includes(a) || DEFECTS.includes(b) ||
		((whole ?? '') !== '' && Number(whole) < cables);
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
	const reading = { quantity: typed.quantity,
		method: typed.quantity === 'rail_drop' ? 'voltage_drop' : typed.method };

	for (const field of FIGURES) {
		const { value, problem } = asked.includes(field) ? readNumber(typed[field] ?? '')
			: { value: null, problem: null };
		reading[field] = value;
		if (problem)
			errors.push({ field, detail: problem });
	}
	if (typed.instrument_id)
		reading.instrument_id = Number(typed.instrument_id);
	if (isContact(typed.quantity) && typed.probed)
		reading.probed = typed.probed;
	if (reading.temp_c !== null && typed.temp_carried === 'yes')
		reading.temp_carried = true;
	return { reading, errors };
}

/** True when the reading has a figure besides the temperature. */
export function isTyped(typed) {
	return figuresOf(typed)
		.some((field) => field !== 'temp_c' && (typed[field] ?? '').trim() !== '');
}

/**
 * The body for the API from what was typed, or every problem at once.
 *
 * @param {object} typed  the form's values as text; see the inspect page
 * @param {{cables?: number, now?: number}} [known]  of the bond; the instant, in ms
 * @returns {{body: object, errors: {field: string, detail: string}[]}}
 */
export function inspectionBody(typed, { cables = 1, now = Date.now() } = {}) {
	const errors = [];
	const body = {
		bond_id: Number(typed.bond_id), day: typed.day, purpose: typed.purpose,
		outcome: typed.outcome, readings: []
	};

	if (!/^\d{4}-\d\d-\d\d$/.test(typed.day ?? ''))
		errors.push({ field: 'day', detail: 'Say on which day the bond was inspected.' });
	if (!typed.outcome)
		errors.push({ field: 'outcome',
			detail: 'Say whether the inspection was complete, done in part, or not reached.' });
	for (const name of ['seen_a', 'seen_b', 'opened', 'surroundings', 'inspector', 'note',
		'corrects']) {
		if ((typed[name] ?? '').trim())
			body[name] = typed[name].trim();
	}
	addSeen(typed, cables, body, errors);
	(typed.readings ?? []).forEach((one, i) => {
		const read = readReading(one);
		const wrong = [...read.errors, ...isTyped(one) ? missingOf(one, now) : []];
		errors.push(
			...wrong.map(({ field, detail }) => ({ field: `readings[${i}].${field}`, detail })));
		if (isTyped(one))
			body.readings.push(dropNulls(read.reading));
	});
	if (typed.failed === 'yes')
		body.failure = failureBody(typed, errors);
	if (typed.corrects && (typed.reason ?? '').trim())
		body.reason = typed.reason.trim();
	return { body, errors };
}

/* Complete has a meaning: a word for each end, or why there is none. */
function addSeen(typed, cables, body, errors) {
	const complete = typed.outcome === 'complete';
	const hidden = [typed.seen_a, typed.seen_b].includes('not_visible');

	for (const end of ['a', 'b']) {
		if (complete && !typed[`seen_${end}`])
			errors.push({ field: `seen_${end}`,
				detail: 'Say what was seen here; "could not be seen" is an answer too.' });
		if (typed[`strength_${end}`])
			body[`strength_${end}`] = typed[`strength_${end}`] === 'passed';
	}
	if (hidden && (typed.why_not_seen ?? '').trim())
		body.why_not_seen = typed.why_not_seen.trim();
	else if (hidden && complete)
		errors.push({ field: 'why_not_seen',
			detail: 'Say why it could not be seen, or that the inspection was done in part.' });
	if ((typed.cables_whole ?? '') !== '')
		body.cables_whole = Number(typed.cables_whole);
	if (typed.failed)
		body.failed = typed.failed === 'yes';
	else if (asksFailed(typed, cables))
		errors.push({ field: 'failed',
			detail: 'After what was seen, say whether the bond failed.' });
}

function missingOf(one, now) {
	const wrong = [];

	if (isContact(one.quantity) && !one.probed)
		wrong.push({ field: 'probed', detail: 'Say where the probe stood: on the strands beyond ' +
			'the lug, or on the lug only.' });
	if (one.temp_carried === 'yes' && now - Number(one.carried_at) > CARRIED_MOST_MS)
		wrong.push({ field: 'temp_c', detail: 'This temperature was carried here more than an ' +
			'hour ago: measure it at this bond.' });
	return wrong;
}

function failureBody(typed, errors) {
	const failure = { uuid: typed.failure_uuid, mode: typed.failure_mode || 'not_stated' };

	if (!typed.failure_mode)
		errors.push({ field: 'failure.mode',
			detail: 'Say what failed; "not stated" is an answer too.' });
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
