import { readNumber } from './number.js';

/* What the acceptance of an attachment asks about, in the order of the work: the check's code in
 * the rules, the member of the API, and what it is. */
export const CHECKS = [
	['ground_bright', 'ground_bright', 'flag'], ['battery_charged', 'battery_charged', 'flag'],
	['gun_flush', 'gun_flush', 'flag'],
	['arc', 'arc_s', 'figure'], ['hold', 'hold_s', 'figure'],
	['hammer', 'hammer_passed', 'flag'], ['solder_all_round', 'solder_all_round', 'flag'],
	['stub', 'stub_mm', 'figure']
];

/* What the server takes, so that what it would refuse is not first called free or good. */
const BOUNDS = { offset_mm: [-100000, 100000, 'mm'], arc_s: [0, 60, 's'], hold_s: [0, 60, 's'],
	stub_mm: [0, 100, 'mm'] };

/**
 * A figure as typed, or why it is none.
 *
 * @param {string} member  of the API
 * @returns {{value: number|null, problem: string|null}}
 */
export function readMeasure(member, text) {
	const { value, problem } = readNumber(text ?? '');
	const [least, most, unit] = BOUNDS[member];

	if (problem || value === null)
		return { value, problem };
	if (member === 'offset_mm' && !Number.isInteger(value))
		return { value: null, problem: 'The offset is in whole millimetres.' };
	if (value < least || value > most)
		return { value: null,
			problem: `It must be from ${least} to ${most} ${unit}.`.replace('-', '\u2212') };
	return { value, problem: null };
}

const FLAG = { yes: true, no: false };

/**
 * The question "acceptance" of the rules, from what was typed so far: what is no number yet is not
 * recorded yet.
 *
 * @param {boolean} [spotTaken]  the spot is inside a clearance; undefined: not known
 */
export function acceptanceQuestion(typed, spotTaken) {
	const question = { method: typed.method };

	if (spotTaken !== undefined)
		question.spot_taken = spotTaken;
	for (const [, member, type] of CHECKS) {
		const value = type === 'flag' ? FLAG[typed[member]]
			: readMeasure(member, typed[member]).value;
		if (value !== undefined && value !== null)
			question[member] = value;
	}
	return question;
}

/**
 * The body for the API from what was typed, or every problem at once. What does not apply to the
 * method is not sent, even when it was typed before.
 *
 * @param {object} typed  the form's values as text
 * @param {string[]|null} applies  codes of the checks that the rules ask about; null: not known
 * @returns {{body: object, errors: {field: string, detail: string}[]}}
 */
export function attachmentBody(typed, applies) {
	const body = { bond_id: Number(typed.bond_id), end: typed.end, made_day: typed.made_day,
		method: typed.method };
	const errors = [];

	if (!typed.end)
		errors.push({ field: 'end', detail: 'Say which end was fixed.' });
	if (!/^\d{4}-\d\d-\d\d$/.test(typed.made_day ?? ''))
		errors.push({ field: 'made_day', detail: 'Say on which day it was made.' });
	if (!typed.method)
		errors.push({ field: 'method', detail: 'Say how it was fixed.' });
	for (const name of ['person', 'kit', 'batch', 'note', 'corrects']) {
		if ((typed[name] ?? '').trim())
			body[name] = typed[name].trim();
	}
	addFigure(body, errors, 'offset_mm', typed.offset_mm);
	for (const [, member, type] of CHECKS.filter(([code]) => !applies || applies.includes(code))) {
		if (type === 'figure')
			addFigure(body, errors, member, typed[member]);
		else if (typed[member] in FLAG)
			body[member] = FLAG[typed[member]];
	}
	return { body, errors };
}

function addFigure(body, errors, field, text) {
	const { value, problem } = readMeasure(field, text);

	if (problem)
		errors.push({ field, detail: problem });
	else if (value !== null)
		body[field] = value;
}

/**
 * What the checks come to, as the crew needs to hear it.
 *
 * @param {{accepted: string, spoils_spot: boolean, checks: {check: string, is: string}[]}} answer
 *	of the rules or the API
 * @returns {{verdict: string, title: string}} verdict: the shape that says the same
 */
export function acceptedWords({ accepted, spoils_spot, checks }) {
	const missing = checks.filter(({ is, check }) => is === 'not_recorded' &&
		check !== 'reading').length;

	if (accepted === 'not_accepted')
		return { verdict: 'over', title: spoils_spot ? 'Not accepted: this spot is spoilt'
			: 'Not accepted yet: to be mended here' };
	if (accepted === 'accepted')
		return { verdict: 'within', title: 'Accepted' };
	if (missing)
		return { verdict: 'none',
			title: `Open: ${missing} ${missing === 1 ? 'check is' : 'checks are'} not recorded` };
	return { verdict: 'unproven', title: 'Good so far: the commissioning reading decides' };
}

/**
 * The acceptance of an attachment on record, in a line: why it was not accepted, or what is open.
 *
 * @param {{accepted: string, spoils_spot: boolean, checks: {check: string, is: string, sentence:
 *	string}[]}|undefined} acceptance
 * @param {string|null} [spot]  which spot it is too near to
 */
export function acceptanceLine(acceptance, spot) {
	if (!acceptance)
		return '';
	const { accepted, checks } = acceptance;
	const of = (is) => checks.filter((check) => check.is === is);
	const missing = of('not_recorded').filter(({ check }) => check !== 'reading').length;

	if (accepted === 'not_accepted')
		return `not accepted, ` +
			`${acceptance.spoils_spot ? 'the spot is spoilt' : 'can be mended here'}: ${of('bad')
			.map(({ check, sentence }) => check === 'spot' && spot ? spot : sentence).join(' ')}`;
	if (accepted === 'accepted')
		return 'accepted';
	if (missing)
		return of('good').length
			? `open: ${missing} ${missing === 1 ? 'check is' : 'checks are'} not recorded`
			: 'no check is on record';
	return 'every check good, without a commissioning reading that proves it';
}

/**
 * What a tablet knows of a bond's readings once it recorded new attachments: nothing is compared
 * with what was read of the former ones, and both ends made anew on one day are another cable.
 *
 * @param {object} known  of the bond, as a round's package has it
 * @param {{end: string, made_day: string}[]} made  attachments since then
 */
export function knownAfter(known, made) {
	const ends = [...new Set(made.map(({ end }) => end))];
	const gone = ends.length ? ['end_to_end', 'rail_drop', ...ends.map((end) => `contact_${end}`)]
		: [];
	const isOther = made.some((a) => made.some((b) => a.end !== b.end &&
		a.made_day === b.made_day));
	const without = (of, names) => of && Object.fromEntries(Object.entries(of)
		.filter(([name]) => !names.includes(name)));

	return { ...known, last: without(known.last, gone), compared: without(known.compared, gone),
		baseline: without(known.baseline, isOther ? gone : []) };
}
