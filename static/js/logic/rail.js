/*
 * What stands on the rail near an end, along it from the end's reference mark, rising with the
 * chainage, of whatever bond it is: as GET /api/bonds/{id}/rail tells it. Clearances, what is free
 * and what is not known are the rules' (the question "spot").
 */

/**
 * The marks of an end from left to right; `foreign` names the end of another bond, or the other
 * end.
 *
 * @param {{end: string, marks: object[]}} rail  one of the ends that the API tells
 * @param {number} bond_id
 * @param {string} [but]  an attachment that is left out: the one that is corrected
 */
export function railMarks(rail, bond_id, but = '') {
	return rail.marks.filter(({ attachment }) => !but || attachment !== but)
		.map((mark) => ({ ...mark, foreign: mark.bond_id === bond_id && mark.end === rail.end ? ''
			: `${mark.label} ${mark.end.toUpperCase()}` }))
		.sort((a, b) => a.offset_mm - b.offset_mm);
}

const NEAR_MM = 10000;   // along the line: what cannot be placed may be within reach

/* How far the reference mark of one end lies from another's, by what is on both rails; null: not
 * known. */
function shiftBetween(here, there) {
	for (const mark of here.marks) {
		const same = there.marks.find((one) => one.bond_id === mark.bond_id &&
			one.end === mark.end && one.attachment === mark.attachment);
		if (same && (mark.attachment || mark.is_placed === false))
			return mark.offset_mm - same.offset_mm;
	}
	return null;
}

/**
 * The rails of a bond's ends with what this tablet recorded since: what was made is live there, and
 * what it replaces is spoilt. What cannot be placed is said.
 *
 * @param {{bond_rows: object[], bonds: object[]}} pack  of a round
 * @param {number} bondId  of a bond of it
 * @param {{uuid: string, label: string, body: object}[]} made  attachments that count, as they were
 *	saved; of any bond of the round
 * @returns {Record<string, object>} by end, as the API tells it, with `more`: sentences as
 *	`unknowns` has them
 */
export function railsWith({ bond_rows: rows, bonds }, bondId, made) {
	const of = (id) => bonds.find((one) => one.bond_id === id)?.rail.ends ?? [];
	const at = (id) => rows.find((one) => one.bond_id === id);
	const near = (id) => id === bondId || (at(id)?.line_id === at(bondId).line_id &&
		!(Math.abs(at(id).distance_mm - at(bondId).distance_mm) > NEAR_MM));

	return Object.fromEntries(of(bondId).map((end) => {
		const rail = { ...end, place: { ...end.place }, marks: end.marks, more: [] };

		for (const one of made.filter(({ body }) => near(body.bond_id)))
			addMade(rail, end, of(one.body.bond_id).find(({ end: e }) => e === one.body.end), one,
				bondId);
		return [end.end, rail];
	}));
}

function addMade(rail, end, there, { uuid, label, body }, bondId) {
	const { bond_id: id, end: its, offset_mm: offset, method, made_day: day, corrects } = body;
	const isOwn = id === bondId && its === end.end;
	const shift = isOwn ? 0 : there?.place.rail_known && end.place.rail_known
		? shiftBetween(end, there) : null;

	if (!end.place.rail_known || there?.place.rail_known === false ||
		rail.marks.some(({ attachment }) => attachment === uuid))
		return;
	rail.marks = rail.marks.filter(({ attachment }) => !corrects || attachment !== corrects);
	if (shift === null) {
		if (id !== bondId || !end.place.across)
			rail.more.push({ what: 'recorded', sentence: `${label}, end ${its.toUpperCase()}, ` +
				'was fixed in this round, and where that is on this rail is not known here: ' +
				'look.' });
		return;
	}
	rail.marks = [...rail.marks.map((mark) => mark.bond_id === id && mark.end === its &&
		mark.kind === 'live' ? { ...mark, kind: 'spoilt', until_day: day } : mark),
	{ kind: 'live', offset_mm: shift + (offset ?? 0), is_placed: offset !== undefined, bond_id: id,
		label, end: its, attachment: uuid, method, made_day: day, until_day: null }];
	if (offset === undefined)
		rail.place.unplaced = (rail.place.unplaced ?? 0) + 1;
	else if (isOwn)
		rail.place.home_mm = offset;
	else if (id === bondId)
		Object.assign(rail.place, { other_mm: shift + offset, other_known: true });
}

/**
 * The clearances of the marks, and the answer to a wanted offset.
 *
 * @param {import('./rules.js').Rules} rules
 * @param {object[]} marks  of railMarks
 * @param {object} place  of the same end, as the API tells it
 */
export function askSpot(rules, marks, place, wanted_mm) {
	const asked = marks.map(({ kind, offset_mm }) => ({ kind, offset_mm }));
	return {
		...rules.ask('spot', { marks: asked, wanted_mm, place }),
		clearances: asked.map((mark) => rules.ask('spot',
			{ marks: [mark], wanted_mm: mark.offset_mm }).clearance_mm)
	};
}

/** Where a new attachment is looked for first: beside the live one, or at the reference mark. */
export function usualOffset(place) {
	return place.home_mm ?? 0;
}

/** A length along the rail with its sign. */
export function offsetText(mm) {
	return `${mm > 0 ? '+' : mm < 0 ? '\u2212' : ''}${Math.abs(mm)} mm`;
}

/** A mark in words. @param {Record<string, Map<string, string>>} words */
export function markWords({ kind, offset_mm, is_placed, foreign, method, made_day,
	until_day }, words) {
	const made = made_day && made_day + (until_day ? ` to ${until_day}` : '');
	const more = [foreign, words.attach_method.get(method), made].filter(Boolean).join(', ');
	const where = is_placed === false
		? `at a place that is not recorded, taken for the reference mark, ${offsetText(offset_mm)}`
		: `at ${offsetText(offset_mm)}`;
	return `${words.mark_kind.get(kind)} ${where}${more ? ` (${more})` : ''}`;
}

const NARROWEST_MM = 600, ROOM_MM = 60;

/** From where to where the rail is drawn: all that is there with its clearances, the mark, and what
 * is wanted. */
export function railExtent(marks, clearances, more) {
	const ends = [0, ...marks.flatMap(({ offset_mm }, i) => [offset_mm - (clearances[i] ?? 0),
		offset_mm + (clearances[i] ?? 0)]),
		...more.filter((mm) => mm !== null && mm !== undefined)];
	const from = Math.min(...ends) - ROOM_MM;
	const to = Math.max(...ends) + ROOM_MM;
	const grow = Math.max(0, NARROWEST_MM - (to - from)) / 2;
	return { from_mm: from - grow, to_mm: to + grow };
}

/** A round step that gives at most so many ticks. */
export function tickStep(length_mm, most) {
	return [10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10000, 20000, 50000]
		.find((step) => length_mm / step <= most) ?? 100000;
}

/**
 * Clearances that run into each other are one bar.
 *
 * @returns {{from_mm: number, to_mm: number}[]}
 */
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
