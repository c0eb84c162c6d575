import { attachmentsByEnd } from './history.js';

/*
 * What stands on the rail near an end, along it from the end's reference mark, rising with the
 * chainage. Clearances and the next free place are the rules' (the question "spot").
 */

/**
 * @param {string} end  a or b
 * @param {object[]} attachments  rows of the API
 * @param {object[]} noted  rows of the list rail-marks
 * @returns {{kind: string, offset_mm: number, attachment?: object}[]} from left to right
 */
export function railMarks(end, attachments, noted) {
	const { live, former } = attachmentsByEnd(attachments.filter((row) => row.end === end));
	const fixed = [...former.map((attachment) => ({ kind: 'spoilt', attachment })), ...Object.values(live).map((attachment) => ({ kind: 'live', attachment }))]
		.filter(({ attachment }) => attachment.offset_mm !== null)
		.map((one) => ({ ...one, offset_mm: one.attachment.offset_mm }));
	const newest = new Map();

	for (const row of noted.filter((one) => one.end === end).sort((a, b) => a.id - b.id))
		newest.set(`${row.kind} ${row.offset_mm}`, row);
	return [...fixed, ...[...newest.values()].filter(({ there }) => there).map(({ kind, offset_mm }) => ({ kind, offset_mm }))]
		.sort((a, b) => a.offset_mm - b.offset_mm);
}

/** The marks with their clearances, and the answer to a wanted offset. @param {import('./rules.js').Rules} rules */
export function askSpot(rules, marks, wanted_mm) {
	const asked = marks.map(({ kind, offset_mm }) => ({ kind, offset_mm }));
	return {
		...rules.ask('spot', { marks: asked, wanted_mm }),
		clearances: asked.map((mark) => rules.ask('spot', { marks: [mark], wanted_mm: mark.offset_mm }).clearance_mm)
	};
}

/** Where a new attachment is looked for first: beside the live one, or at the reference mark. */
export function usualOffset(marks) {
	return marks.find(({ kind }) => kind === 'live')?.offset_mm ?? 0;
}

/** A length along the rail with its sign. */
export function offsetText(mm) {
	return `${mm > 0 ? '+' : mm < 0 ? '\u2212' : ''}${Math.abs(mm)} mm`;
}

/** A mark in words. @param {Record<string, Map<string, string>>} words */
export function markWords({ kind, offset_mm, attachment }, words) {
	const made = attachment && [words.attach_method.get(attachment.method), attachment.made_day + (attachment.until_day ? ` to ${attachment.until_day}` : '')].join(', ');
	return `${words.mark_kind.get(kind)} at ${offsetText(offset_mm)}${made ? ` (${made})` : ''}`;
}

const NARROWEST_MM = 600, ROOM_MM = 60;

/** From where to where the rail is drawn: all that is there with its clearances, the mark, and what is wanted. */
export function railExtent(marks, clearances, more) {
	const ends = [0, ...marks.flatMap(({ offset_mm }, i) => [offset_mm - (clearances[i] ?? 0), offset_mm + (clearances[i] ?? 0)]),
		...more.filter((mm) => mm !== null && mm !== undefined)];
	const from = Math.min(...ends) - ROOM_MM;
	const to = Math.max(...ends) + ROOM_MM;
	const grow = Math.max(0, NARROWEST_MM - (to - from)) / 2;
	return { from_mm: from - grow, to_mm: to + grow };
}

/** A round step that gives at most so many ticks. */
export function tickStep(length_mm, most) {
	return [10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10000, 20000, 50000].find((step) => length_mm / step <= most) ?? 100000;
}

/** Clearances that run into each other are one bar. @returns {{from_mm: number, to_mm: number}[]} */
export function mergedClearances(marks, clearances) {
	const bars = [];
	marks.forEach(({ offset_mm }, i) => {
		const [from_mm, to_mm] = [offset_mm - clearances[i], offset_mm + clearances[i]];
		const last = bars.find((bar) => from_mm <= bar.to_mm && to_mm >= bar.from_mm);
		if (last) {
			last.from_mm = Math.min(last.from_mm, from_mm);
			last.to_mm = Math.max(last.to_mm, to_mm);
		} else
			bars.push({ from_mm, to_mm });
	});
	return bars;
}
