/*
 * What a crew records in a round beside visits and attachments: failures of one bond or of several
 * at once, what made one good, temporary bridges.
 */
import { readNumber } from './number.js';
import { standing } from './shift.js';

const said = (text) => text?.trim() || undefined;

/**
 * The body of a failure for each of the bonds: the same of all; where it was on a bond is said of
 * one alone.
 *
 * @param {number[]} ids
 * @param {{mode: string, end?: string, cause?: string, note?: string, found_by?: string}} typed
 * @param {string} day  of the shift
 */
export const failureBodies = (ids, { mode, end, cause, note, found_by: by }, day) =>
	ids.map((id) => ({ bond_id: id, found_day: day, mode, cause: said(cause), note: said(note),
		found_by: by, end: ids.length === 1 ? said(end) : undefined }));

/**
 * The failures of a bond that are not made good: of the package, and of what this tablet recorded.
 *
 * @param {object} bond  of the package
 * @param {object[]} entries  of the round
 * @returns {object[]} rows, with `uuid`, `mode`, `end_words` and `found_day`; those of this tablet
 *	come first
 */
export function openFailures(bond, entries) {
	const mine = standing(entries).filter(({ bond_id: id }) => id === bond.bond_id);
	const good = new Set(mine.flatMap(({ what, body }) =>
		what === 'repairs' ? [body.failure] : []));
	const short = (end) => bond.known.ends.find((one) => one.end === end)?.short;
	const here = mine.flatMap((entry) => entry.what === 'failures' ? [{ uuid: entry.uuid,
		...entry.body, end_words: short(entry.body.end) }] : entry.body.failure?.uuid
		? [{ ...entry.body.failure, found_day: entry.body.day,
			end_words: short(entry.body.failure.end) }] : []);
	const withdrawn = new Set(entries.flatMap(({ what, body }) => what === 'withdrawals'
		? [body.entry_id] : []));

	return [...here.reverse(), ...bond.failures_open.filter(({ uuid }) =>
		!here.some((one) => one.uuid === uuid) && !withdrawn.has(uuid))]
		.filter(({ uuid }) => !good.has(uuid));
}

/**
 * What made a failure good. Made good by what this tablet recorded before it (a new attachment, a
 * commissioning), it has no instant: its kind orders it, and what was read stays proof.
 *
 * @param {{failure: string, how: string, made_good_by?: string}} typed
 * @param {object[]} entries  of the round
 */
export function repairBody({ failure, how, made_good_by: by }, bondId, entries, day) {
	const mine = standing(entries).filter(({ bond_id: id }) => id === bondId);
	const isBefore = mine.some(({ what, body }) => what === 'attachments' ||
		(what === 'inspections' && body.purpose === 'commissioning'));

	return { failure, day, how: how.trim(), made_good_by: by, ...isBefore && { at: undefined } };
}

/** The attachments of this tablet in words, as what made a failure good. */
export const madeWords = (made, ends, methods) => made.map(({ body }) => [
	`New attachment at ${ends.find(({ end }) => end === body.end)?.short ?? `end ${body.end}`}`,
	methods.get(body.method), body.offset_mm !== undefined && `${body.offset_mm} mm`]
	.filter(Boolean).join(', ')).join('; ');

const NEAR_MM = 100_000;

/** The bonds of the round near one of them, along its line. */
export function nearRows(rows, bondId) {
	const at = rows.find(({ bond_id: id }) => id === bondId);

	return at ? rows.filter((one) => one === at || (one.line_id === at.line_id &&
		Math.abs(one.distance_mm - at.distance_mm) <= NEAR_MM)) : [];
}

const FOUND_NEEDS = [['place', 'Say where it is, as somebody finds it.'],
	['kind', 'Say of what kind it is, or that it is not known.'],
	['joins', 'Say what it joins.'], ['seen', 'Say what was seen.']];

/**
 * The body of a bond that is not in the book, or what is wrong with what was typed.
 *
 * @param {object} typed  the form's values as text
 * @param {object[]} rows  of bond_rows
 * @param {{uuid: string, shift_day: string}} round
 */
export function foundBody(typed, rows, { uuid: round, shift_day: day }) {
	const near = rows.find(({ bond_id: id }) => id === Number(typed.near_bond_id));
	const { value, problem } = readNumber(typed.measured_uohm ?? '');
	const errors = FOUND_NEEDS.filter(([name]) => !said(typed[name]))
		.map(([field, detail]) => ({ field, detail }));
	const texts = ['place', 'track', 'rail', 'kind', 'joins', 'seen', 'measured_how', 'note'];

	if (problem)
		errors.push({ field: 'measured_uohm', detail: problem });
	return { errors, body: { round, line: near?.line, near_bond_id: near?.bond_id, found_day: day,
		...Object.fromEntries(texts.map((name) => [name, said(typed[name])])),
		measured_uohm: value ?? undefined, found_by: typed.found_by } };
}
