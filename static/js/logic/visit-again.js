import { blankVisit, takeUp } from './bond-visit.js';
import { newUuid } from './uuid.js';

const yesNo = (flag) => flag === undefined ? undefined : flag ? 'yes' : 'no';
const text = (value) => value === undefined ? undefined : String(value);

/* A figure keyed on the pad is one that the meter showed, in µΩ. */
const isKeyed = ({ shown_uohm: shown, lead_uohm: lead }) => shown !== undefined &&
	lead === undefined;

/** True for an inspection all of which the record view can show: it may be corrected there. */
export const canCorrect = ({ readings = [] }) => readings.every(isKeyed);

/**
 * The visit of an inspection that this tablet recorded, to be corrected: what was said stands
 * there, each reading with the meter and the temperature that it was read with.
 *
 * @param {{uuid: string, body: object}} entry
 * @param {string|null} proof  what the rulebook wants of the kind
 */
export function correctionOf({ uuid, body }, proof) {
	const { bond_id, readings = [], failure } = body;
	const visit = blankVisit({ bond_id, proof });

	return standing({ ...visit, corrects: uuid, at: body.at, purpose: body.purpose,
		failure_uuid: failure?.uuid ?? visit.failure_uuid, failure_mode: failure?.mode,
		seen: { ...body.seen_a && { a: body.seen_a }, ...body.seen_b && { b: body.seen_b } },
		cables_whole: text(body.cables_whole), why_not_seen: body.why_not_seen,
		failed: yesNo(body.failed), opened: body.opened,
		note: body.outcome === 'not_reached' ? undefined : body.note,
		keyed: readings.map((one) => ({ quantity: one.quantity, text: text(one.shown_uohm),
			isMilli: false, probed: one.probed, by: { instrument_id: one.instrument_id,
				method: one.method, temp_c: text(one.temp_c),
				temp_carried: one.temp_carried ? 'yes' : undefined } })) });
}

/* What was keyed last stands in the field. */
function standing(visit) {
	visit.quantity = visit.keyed.at(-1)?.quantity ?? visit.quantity;
	takeUp(visit);
	return visit;
}

/**
 * The visit of an inspection that was of another bond, as it begins there: the reading end to end
 * is the same, and both ends good; what was said of one end alone is said anew, since each bond has
 * ends of its own.
 *
 * @param {{bond_id: number, proof: string|null}} of  the bond that it was
 */
export function movedVisit(entry, { bond_id, proof }) {
	const was = correctionOf(entry, null);
	const { text: figure, isMilli, by, quantity } = was;
	const all = [...was.keyed, ...figure ? [{ text: figure, isMilli, by, quantity }] : []];
	const both = was.seen.a === 'good' && was.seen.b === 'good';

	return standing({ ...blankVisit({ bond_id, proof }), at: was.at, moved_from: entry.uuid,
		purpose: was.purpose, seen: both ? was.seen : {}, note: was.note,
		keyed: all.filter(({ quantity: of }) => of === 'end_to_end') });
}

const NOUNS = { inspections: 'inspection', failures: 'failure', repairs: 'repair',
	attachments: 'attachment', bridges: 'bridge', 'bridges-off': 'bridge_off' };

/** True for what can be taken back by a withdrawal. */
export const canWithdraw = ({ what }) => what in NOUNS;

/**
 * The entries that take one back, sent or not: it, and what it corrects, which would stand again
 * alone. They have no instant of their own.
 *
 * @param {object[]} entries  of the round
 */
export function withdrawalsOf(entry, entries, reason) {
	const { uuid, what, label, bond_id, body } = entry;
	const before = body.corrects && entries.find((one) => one.uuid === body.corrects);

	return [{ uuid: newUuid(), what: 'withdrawals', label, bond_id, body: { entry: NOUNS[what],
		entry_id: uuid, reason, at: undefined } },
	...before ? withdrawalsOf(before, entries, reason) : []];
}

/** What an entry of this tablet says, in a line. @param {Record<string, Map>} words */
export function entryWords({ what, body }, words) {
	const seen = [body.seen_a, body.seen_b].map((code) => words.seen.get(code)).filter(Boolean);
	const figures = (body.readings ?? []).map(({ shown_uohm: shown }) =>
		shown === undefined ? 'a reading' : `${shown} µΩ`);
	const failure = body.failure ?? (what === 'failures' ? body : null);

	return [words.outcome.get(body.outcome), seen.length > 0 && `ends ${seen.join(', ')}`,
		...figures, failure && `failed: ${words.failure_mode.get(failure.mode)}`, body.how,
		body.place, body.note].filter(Boolean).join(' · ');
}
