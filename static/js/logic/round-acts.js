/*
 * What a crew records in a round beside visits and attachments: failures of one bond or of several
 * at once, what made one good, temporary bridges.
 */
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
