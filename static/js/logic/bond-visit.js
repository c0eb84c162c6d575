import { CARRIED_MOST_MS } from './asked.js';
import { asksFailed, DEFECTS, inspectionBody, isContact, isTyped, readReading } from
	'./inspection.js';
import { judgeReading } from './judge.js';
import { inMicro, keyed } from './keyed.js';
import { newUuid } from './uuid.js';

/*
 * One bond's visit in a round, as the record view has it: what was said of each end, and what was
 * keyed, quantity by quantity. Nothing is chosen beforehand, and nothing is another bond's. One
 * figure stands in the field (text, isMilli, probed, by); those that were put by are in `keyed`.
 */

/* What proves a bond is what is asked for, in this order. */
const WANTED = { contacts: ['contact_a', 'contact_b'], seen: [] };

export const QUANTITIES = ['end_to_end', 'contact_a', 'contact_b'];

const EMPTY = { text: '', isMilli: false, probed: undefined, by: undefined };

/** @param {string|null} proof  what the rulebook wants of the kind; null: not known */
export const wantedOf = (proof) => WANTED[proof] ?? ['end_to_end'];

/** @param {{bond_id: number, proof: string|null}} of */
export function blankVisit({ bond_id, proof }) {
	return { ...EMPTY, uuid: newUuid(), failure_uuid: newUuid(), bond_id, seen: {}, keyed: [],
		left: {}, quantity: wantedOf(proof)[0] ?? 'end_to_end' };
}

/** True once anything was said or keyed. */
export const isBegun = ({ text, keyed: put, seen, failed, cables_whole: whole, opened }) =>
	Boolean(text || put.length || seen.a || seen.b || failed || whole || opened);

/** The temperature that stands for a reading here; one of more than an hour ago is not known. */
export function temperature({ temp_c, temp_at_ms: at }, visit, now) {
	if (visit.temp_c)
		return { temp_c: visit.temp_c };
	return temp_c != null && temp_c !== '' && at && now >= at && now - at <= CARRIED_MOST_MS
		? { temp_c: String(temp_c), temp_carried: 'yes', carried_at: at } : {};
}

/**
 * A reading in the words of the desk's form. What was put by keeps the meter that it was read with.
 *
 * @param {object} one  a figure
 * @param {{instrument_id?: number, method?: string, temp: object}} night
 */
export function typedReading({ quantity, text, isMilli, probed, by },
	{ instrument_id, method, temp }) {
	return { quantity, method: method ?? 'four_wire', instrument_id, ...by, way: 'shown',
		shown_uohm: inMicro(text, isMilli), ...isContact(quantity) ? { probed }
			: by && 'temp_c' in by ? {} : temp };
}

/** What was keyed, the figure that is being keyed last. */
export const allKeyed = (visit) => visit.text ? [...visit.keyed, visit] : visit.keyed;

const ofQuantity = (visit, quantity) => allKeyed(visit).filter((one) => one.quantity === quantity);

/** A key of the pad that changes the figure. Another figure, or unit, is another question. */
export function keyTo(visit, key) {
	if (key === 'micro' || key === 'milli')
		visit.isMilli = key === 'milli';
	else if (key === 'back' && !visit.text)
		takeUp(visit);
	else
		visit.text = keyed(visit.text, key);
	if (!visit.text)
		Object.assign(visit, { probed: undefined, by: isAgain(visit) ? visit.by : undefined });
}

/** True for one that corrects or replaces another: it was read then, and not now. */
export const isAgain = ({ corrects, moved_from: from }) => Boolean(corrects || from);

/** The newest figure of this quantity that was put by stands in the field again. */
export function takeUp(visit) {
	const at = visit.keyed.map(({ quantity }) => quantity).lastIndexOf(visit.quantity);

	if (at < 0)
		return;
	Object.assign(visit, EMPTY, visit.keyed[at]);
	visit.keyed = visit.keyed.filter((_, i) => i !== at);
}

/** The figure that stands is put by, with what it was read with; the field is empty. */
export function putBy(visit, { instrument_id, method }) {
	const { text, isMilli, probed, quantity,
		by = { instrument_id, method: method ?? 'four_wire' } } = visit;

	if (/\d/.test(text))
		visit.keyed = [...visit.keyed, { text, isMilli, probed, quantity, by }];
	Object.assign(visit, EMPTY);
}

/** Another quantity is keyed: its own figure stands in the field again, if it has one. */
export function turnTo(visit, quantity, night) {
	if (quantity === visit.quantity)
		return;
	putBy(visit, night);
	visit.quantity = quantity;
	takeUp(visit);
}

/** What lies beside the bond was opened: what was read before is no reading of the bond alone. */
export function openedBeside(visit, opened) {
	visit.opened = opened;
	visit.keyed = visit.keyed.filter(({ quantity }) => isContact(quantity));
	if (!isContact(visit.quantity))
		Object.assign(visit, EMPTY);
}

/** The first figure of a contact of which it is not said where the probe stood; undefined. */
export const unprobed = (visit) => allKeyed(visit).find(({ quantity, probed, text }) =>
	isContact(quantity) && !probed && /\d/.test(text));

/** The quantity that is asked for next; null: each that is wanted was keyed. */
export const nextWanted = (visit, proof) => wantedOf(proof)
	.find((one) => ofQuantity(visit, one).length === 0) ?? null;

/** What was seen is what a person said, of each end. */
export const bothSaid = ({ seen }) => Boolean(seen.a && seen.b);

/**
 * What is wanting before the visit is complete, as the view names it: "ends", "cables", or a
 * quantity.
 *
 * @returns {string[]}
 */
export const wanting = (visit, proof) => [...bothSaid(visit) ? [] : ['ends'],
	...wantedOf(proof).filter((one) => ofQuantity(visit, one).length === 0),
	...['contacts', 'seen'].includes(proof) && visit.cables_whole === undefined ? ['cables'] : []];

/** Whether it has to be said now if the bond failed. */
export const failureAsked = (visit, cables) => asksFailed({ seen_a: visit.seen.a,
	seen_b: visit.seen.b, cables_whole: visit.cables_whole }, cables);

const OF_AN_END = ['detached', 'lug_cracked', 'corroded', 'burnt'];

/** The end at which the bond failed, where what was seen tells; undefined. */
export function failedEnd({ seen, failure_mode: mode }) {
	const ends = ['a', 'b'].filter((end) => DEFECTS.includes(seen[end]));

	return ends.length === 1 && OF_AN_END.includes(mode) ? ends[0] : undefined;
}

/* What is left asked is these figures: others are asked anew. */
const figuresKey = (visit, quantity) => JSON.stringify(ofQuantity(visit, quantity)
	.map(({ text, isMilli }) => [text, isMilli]));

/** Nobody answers what is asked of a quantity: it is recorded as asked. */
export function leaveAsked(visit, quantity) {
	visit.left = { ...visit.left, [quantity]: figuresKey(visit, quantity) };
}

/**
 * What the rules make of all that was keyed. The readings of one quantity are one measurement, so
 * each is asked of with the others of the visit beside it.
 *
 * @param {import('./rules.js').Rules} rules
 * @param {object} known  of the bond, with the instruments
 * @param {{day: string, purpose?: string, instrument_id?: number, method?: string,
 *	temp: object}} night
 * @returns {{quantity: string, answer: object, asked: object[], isOpen: boolean, isLeft: boolean,
 *	isTwice: boolean}[]}  answer: to the figure that was keyed last
 */
export function judgeVisit(rules, known, visit, night) {
	const about = { day: night.day, purpose: visit.purpose ?? night.purpose ?? 'routine',
		alone: Boolean(visit.opened) };
	const judged = (quantity) => {
		const figures = ofQuantity(visit, quantity).filter(({ text }) => /\d/.test(text));
		const readings = figures.map((one) => readReading(typedReading(one, night)).reading);
		const answers = readings.map((one, i) => judgeReading(rules, known, one, about,
			readings.filter((_, n) => n !== i)));
		const open = answers.filter(({ status }) => status === 'open');
		const answer = answers.at(-1);

		return answer && { quantity, answer, isOpen: open.length > 0,
			isLeft: visit.left[quantity] === figuresKey(visit, quantity),
			isTwice: answers.length > 1 && !['open', 'none'].includes(answer.status),
			asked: open.flatMap(({ asked }) => asked ?? []).filter((one, i, all) =>
				all.findIndex(({ question }) => question === one.question) === i) };
	};

	return QUANTITIES.map(judged).filter(Boolean);
}

/**
 * What is sent of the visit, or what is missing. It is complete when both ends were said, each
 * wanted quantity was read, and, where they prove it, the cables were looked at; else done in part.
 *
 * @param {object} visit
 * @param {{day: string, method?: string, instrument_id?: number, temp_c?: number,
 *	temp_at_ms?: number, purpose?: string}} settings  of the night
 * @param {{round: string, cables: number, proof: string|null, now: number}} known
 * @returns {{body: object, errors: {field: string, detail: string}[]}}
 */
export function visitBody(visit, settings, { round, cables, proof, now }) {
	const temp = temperature(settings, visit, now);
	const readings = allKeyed(visit).map((one) => typedReading(one, { ...settings, temp }));
	const { body, errors } = inspectionBody({
		bond_id: visit.bond_id, day: settings.day,
		purpose: visit.purpose ?? settings.purpose ?? 'routine',
		outcome: wanting(visit, proof).length === 0 ? 'complete' : 'partly',
		seen_a: visit.seen.a, seen_b: visit.seen.b, cables_whole: visit.cables_whole,
		why_not_seen: visit.why_not_seen, failed: visit.failed, opened: visit.opened,
		note: visit.note, corrects: visit.corrects, reason: visit.reason,
		failure_uuid: visit.failure_uuid, failure_mode: visit.failure_mode,
		failure_end: failedEnd(visit), readings }, { cables, now });

	if (!visit.seen.a && !visit.seen.b && !readings.length && !visit.failed &&
		visit.cables_whole === undefined)
		errors.push({ field: 'seen', detail: 'Say what was seen, or key a reading.' });
	if (visit.corrects && !visit.reason)
		errors.push({ field: 'reason', detail: 'Say why it is corrected.' });
	if (visit.text && !isTyped(readings.at(-1)))
		errors.push({ field: 'text', detail: 'A sign alone is no figure.' });
	return { body: { ...body, round, ...visit.at && { at: visit.at } }, errors };
}
