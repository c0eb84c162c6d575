import { dueWords } from './due-words.js';

/** Lengths are millimetres along the line from its datum; a view is {from_mm, to_mm}. */

export const STATES = ['overdue', 'due', 'soon', 'deferred', 'later'];
/* worst first */
export const GRADES = ['act', 'unknown', 'watch', 'sound'];
/* those that have a sign on the strip: of the others there are many */
export const MARKED = ['act', 'watch'];

const NARROWEST_MM = 20000;
const CELL_PX = 34;          // a stretch wide enough for a figure of four digits
const STACK_PX = 15;         // bonds nearer than this would hide each other

export const span = (view) => view.to_mm - view.from_mm;

/** The whole line with a little room at its ends. */
export function wholeView({ from_mm, to_mm }) {
	const room = Math.max(Math.round((to_mm - from_mm) * 0.02), 50000);
	return { from_mm: from_mm - room, to_mm: to_mm + room };
}

/** A view within the whole, never narrower than 20 m, its middle kept where it can be. */
export function fitView(view, whole) {
	const width = Math.min(Math.max(span(view), NARROWEST_MM), span(whole));
	const middle = (view.from_mm + view.to_mm) / 2;
	const from_mm = Math.round(Math.min(Math.max(middle - width / 2, whole.from_mm),
		whole.to_mm - width));
	return { from_mm, to_mm: from_mm + Math.round(width) };
}

/** Both parts are shares of the view: how far along, and how much of it is then seen. */
export function moveView(view, along, seen, whole) {
	const middle = (view.from_mm + view.to_mm) / 2 + along * span(view);
	const half = span(view) * seen / 2;
	return fitView({ from_mm: middle - half, to_mm: middle + half }, whole);
}

/** The view that a key asks for; null when it is not one of the strip's. extent is the line's
 * own. */
export function keyView(key, view, whole, extent) {
	const width = span(view);

	switch (key) {
	case 'ArrowLeft': return moveView(view, -0.25, 1, whole);
	case 'ArrowRight': return moveView(view, 0.25, 1, whole);
	case '+': case '=': return moveView(view, 0, 0.5, whole);
	case '-': case '\u2212': return moveView(view, 0, 2, whole);
	case 'Home': return fitView({ from_mm: extent.from_mm - width / 20,
		to_mm: extent.from_mm + width * 0.95 }, whole);
	case 'End': return fitView({ from_mm: extent.to_mm - width * 0.95,
		to_mm: extent.to_mm + width / 20 }, whole);
	case '0': return whole;
	default: return null;
	}
}

/** What is asked of the server: half a view more on either side, so that moving shows at once. */
export function question(view, width) {
	const more = Math.max(span(view) / 2, 25000);
	return {
		from_mm: view.from_mm, to_mm: view.to_mm, more_mm: Math.round(more),
		buckets: Math.min(400,
			Math.max(4, Math.round(width / CELL_PX * (1 + 2 * more / span(view)))))
	};
}

const RAILS_PX = 32, TRACK_PX = 84, AXIS_PX = 18, TOP_PX = 8;

/**
 * Where each track is drawn, from the top: its rails, and beneath them its own chainage when it
 * has a map of its own. What is on no known track gets a row of its own.
 *
 * @returns {{rows: {id: number|null, track: object|null, left: number, right: number, own:
 *	object|null}[], axis: number, height: number}}
 */
export function layout({ tracks, axes, bonds, buckets }) {
	const loose = !tracks.length || (bonds ?? buckets).some((one) => one.track_id === null);
	let y = TOP_PX;
	const rows = [...tracks, ...(loose ? [null] : [])].map((track) => {
		const own = track && axes.find((axis) => axis.track_id === track.id);
		const left = y + 26;
		y += TRACK_PX + (own ? (own.breaks.length ? 2 : 1) * AXIS_PX : 0);
		return { id: track?.id ?? null, track, left, right: left + RAILS_PX, own: own ?? null };
	});
	const jumps = axes.some((axis) => axis.breaks.length && !rows.some((row) => row.own === axis));
	return { rows, axis: y, height: y + (jumps ? 2 : 1) * AXIS_PX + 4 };
}

/** Room for the names of tracks and rails, within reason. */
export function nameRoom(tracks, width) {
	const longest = Math.max(5,
		...tracks.flatMap(({ name, left_label: left, right_label: right }) => [name, left, right])
		.map((text) => text?.length ?? 0));
	return Math.min(longest * 7.5 + 12, width < 640 ? 84 : 168);
}

/** The axis that tells the chainage of a track. */
export function axisOf(axes, trackId) {
	return axes.find((axis) => axis.track_id === trackId) ??
		axes.find((axis) => axis.track_id === null) ?? axes[0];
}

const railY = (row, rail) => rail === 'left' ? row.left : rail === 'right' ? row.right
	: (row.left + row.right) / 2;

/**
 * Where both ends of a bond are drawn. An end on a structure or on equipment stands beside its
 * track, on the side of the other end's rail.
 *
 * @returns {{a: {mm: number, y: number, on: string}, b: {mm: number, y: number, on: string}|null}}
 */
export function ends(bond, rows) {
	const rowOf = (id) => rows.find((row) => row.id === id);
	const rowA = rowOf(bond.track_id) ?? rowOf(bond.b_track_id) ?? rows[rows.length - 1];
	const rowB = rowOf(bond.b_track_id) ?? rowA;
	const beside = (row, rail) => rail === 'left' ? row.left - 17 : row.right + 17;
	const a = { mm: bond.distance_mm, on: bond.on ?? 'rail', y: railY(rowA, bond.rail) };
	let b = null;

	if (a.on !== 'rail')
		a.y = beside(rowA, bond.b_rail ?? bond.rail);
	if (bond.b_on) {
		b = { mm: bond.b_distance_mm ?? bond.distance_mm, on: bond.b_on,
			y: railY(rowB, bond.b_rail) };
		if (b.on !== 'rail')
			b.y = beside(rowB, bond.rail);
	}
	return { a, b };
}

/**
 * Bonds that would hide each other become a stack; within 60 m they are set apart instead, since
 * nothing nearer can be shown.
 *
 * @param {{bond: object, x: number, y: number}[]} marks
 * @returns {{bonds: object[], x: number, y: number}[]}
 */
export function stacks(marks, view) {
	const byY = new Map();
	for (const mark of [...marks].sort((a, b) => a.x - b.x)) {
		const row = byY.get(mark.y) ?? [];
		const last = row[row.length - 1];
		if (last && mark.x - last.end < STACK_PX && span(view) > 60000)
			last.bonds.push(mark.bond), last.end = mark.x;
		else
			row.push({ bonds: [mark.bond], x: last && mark.x - last.x < STACK_PX ? last.x + STACK_PX
				: mark.x, start: mark.x, end: mark.x, y: mark.y });
		byY.set(mark.y, row);
	}
	return [...byY.values()].flat().map((s) =>
		({ bonds: s.bonds, y: s.y, x: s.bonds.length > 1 ? (s.start + s.end) / 2 : s.x }));
}

/** The most pressing state among several bonds. */
export function worst(bonds) {
	return STATES.find((state) => bonds.some((bond) => bond.state === state)) ?? 'later';
}

/** "Up, left rail", in the railway's own words where it has them. */
export function railWords(tracks, trackId, rail, words) {
	const track = tracks.find((one) => one.id === trackId);
	const own = rail && track?.[`${rail}_label`];
	return [track?.name ?? 'track not stated',
		rail && `${own ? `${own} (${words.rail.get(rail)})` : words.rail.get(rail)} rail`]
		.filter(Boolean).join(', ');
}

/** A bond in one sentence, for who does not see it. */
export function bondWords(bond, tracks, words) {
	const other = bond.b_on === 'rail' && bond.b_track_id !== bond.track_id
		? `to ${railWords(tracks, bond.b_track_id, bond.b_rail, words)}`
		: bond.b_structure ? `to ${bond.b_structure}` : '';
	return [bond.label, words.bond_kind.get(bond.kind),
		railWords(tracks, bond.track_id, bond.rail, words), other, bond.chainage,
		bond.grade && `graded ${bond.grade}`, dueWords(bond)].filter(Boolean).join(', ');
}

/** From where to where the answer was asked for. */
export function whereWords(axes) {
	const [from, to] = axisOf(axes, null)?.ends ?? [];
	return [from?.text, to?.text].filter(Boolean).join(' to ');
}

/** The worst grade among several bonds, of those that are marked. */
export function worstMarked(bonds) {
	return MARKED.find((grade) => bonds.some((bond) => bond.grade === grade)) ?? null;
}

/** "2 act, 1 unknown, 5 watch": of what is not sound. @param {Record<string, number>} grades */
export function gradeCounts(grades) {
	return GRADES.filter((grade) => grade !== 'sound').filter((grade) => grades?.[grade])
		.map((grade) => `${grades[grade]} ${grade}`).join(', ');
}

/** "3 overdue, 12 later" @param {Record<string, number>} states */
export function stateCounts(states) {
	return STATES.filter((state) => states[state]).map((state) => `${states[state]} ${state}`)
		.join(', ');
}

/** The chainage at an edge of the stretches, as the axis of the track has it. */
export function edgeText(axes, trackId, mm) {
	const edges = axisOf(axes, trackId)?.edges ?? [];
	const near = edges.reduce((best, edge) => !best ||
		Math.abs(edge.mm - mm) < Math.abs(best.mm - mm) ? edge : best, null);
	return near?.text ?? '';
}

/** A jump in words. */
export function jumpWords({ before, after, jump_mm: jump }) {
	const metres = `${Math.abs(jump) / 1000} m`;
	return jump > 0
		? `From ${before} the chainage jumps on to ${after}: ${metres} of chainage do not exist.`
		: `At ${before} the chainage falls back to ${after}, by ${metres}.`;
}

/** What of the answer is in view. */
export function inView(got, view) {
	const bonds = got.bonds?.filter((bond) => Math.max(bond.distance_mm,
		bond.b_distance_mm ?? bond.distance_mm) >= view.from_mm
		&& Math.min(bond.distance_mm,
			bond.b_distance_mm ?? bond.distance_mm) <= view.to_mm) ?? null;
	const buckets = got.buckets?.filter((one) => one.from_mm < view.to_mm &&
		one.from_mm + got.step_mm > view.from_mm) ?? null;
	return { bonds, buckets };
}

/** Counts by state of what is in view. */
export const viewStates = (seen) => viewCounts(seen, STATES, 'state');

/** Counts by grade of what is in view. */
export const viewGrades = (seen) => viewCounts(seen, GRADES, 'grade');

function viewCounts({ bonds, buckets }, words, member) {
	const counts = Object.fromEntries(words.map((word) => [word, 0]));
	for (const bond of bonds ?? [])
		counts[bond[member]]++;
	for (const bucket of buckets ?? []) {
		for (const word of words)
			counts[word] += bucket[`${member}s`]?.[word] ?? 0;
	}
	return counts;
}
