/*
 * Draws an answer of the strip into its SVG: tracks, chainage, jumps, and either bonds or counts.
 * x is a scale from distance to pixels; the rows are those of layout().
 */
import { STATES, bondWords, edgeText, ends, gradeCounts, inView, stacks, stateCounts, worst,
	worstMarked } from '../logic/strip.js';
import { gradePath } from './grade-sign.js';
import { kindPath } from './kind-glyph.js';

const LETTER_PX = 7;   // of a figure in the strip's type

/**
 * The ground: rails, names, ticks, jumps.
 *
 * @param {{svg, x, rows, axis: number, left: number, right: number, got, words}} on
 */
export function drawLine(on) {
	drawTracks(on);
	drawTicks(on);
	drawBreaks(on);
}

function drawTracks({ svg, rows, left, right, words }) {
	const track = svg.select('.tracks').selectAll('g').data(rows, (row) => row.id).join((enter) => {
		const g = enter.append('g');
		g.append('rect').attr('class', 'bed');
		g.append('line').attr('class', 'rail l');
		g.append('line').attr('class', 'rail r');
		return g;
	});

	track.select('.bed').attr('x', left).attr('width', right - left).attr('y', (row) => row.left)
		.attr('height', (row) => row.right - row.left);
	for (const [which, y] of [['.l', 'left'], ['.r', 'right']])
		track.select(`.rail${which}`).attr('x1', left).attr('x2', right).attr('y1', (row) => row[y])
			.attr('y2', (row) => row[y])
			.attr('stroke-dasharray', (row) => row.track ? null : '6 4');
	const names = svg.select('.names').selectAll('g').data(rows, (row) => row.id).join((enter) => {
		const g = enter.append('g');
		g.append('text').attr('class', 'name').attr('dy', '.32em');
		g.append('text').attr('class', 'quiet l').attr('dy', '.32em');
		g.append('text').attr('class', 'quiet r').attr('dy', '.32em');
		return g;
	});
	names.select('.name').attr('y', (row) => (row.left + row.right) / 2)
		.text((row) => row.track ? fitText(row.track.name, left) : 'no track');
	names.select('.l').attr('y', (row) => row.left).text((row) => row.track
		? fitText(row.track.left_label ?? words.rail.get('left'), left) : '');
	names.select('.r').attr('y', (row) => row.right).text((row) => row.track
		? fitText(row.track.right_label ?? words.rail.get('right'), left) : '');
}

function fitText(text, width) {
	const most = Math.max(3, Math.floor((width - 8) / LETTER_PX));
	return text.length > most ? `${text.slice(0, most - 1)}…` : text;
}

/* Each axis has the tracks that it tells of, and the height at which it is written. */
function axesOf({ got, rows, axis }) {
	return got.axes.map((one) => {
		const own = rows.find((row) => row.own === one);
		const its = own ? [own] : rows.filter((row) => !row.own);
		return { ...one, y: own ? own.right + 30 : axis, its, own: Boolean(own) };
	});
}

function drawTicks(on) {
	const { svg, x, left, right, axis, rows } = on;
	const ticks = axesOf(on).flatMap((one) => spread(one.ticks.filter((tick) =>
		x(tick.mm) >= left && x(tick.mm) <= right), (tick) => x(tick.mm), (tick) => tick.text)
		.map((tick) => ({ ...tick, y: one.y, key: `${one.track_id} ${tick.mm}` })));
	const top = rows[0].left;

	const g = svg.select('.ticks').selectAll('g').data(ticks, (tick) => tick.key).join((enter) => {
		const made = enter.append('g');
		made.append('line').attr('class', 'down');
		made.append('line').attr('class', 'tick');
		made.append('text').attr('text-anchor', 'middle');
		return made;
	});
	g.select('.down').attr('x1', (tick) => x(tick.mm)).attr('x2', (tick) => x(tick.mm))
		.attr('y1', (tick) => tick.y === axis ? top : tick.y).attr('y2', (tick) => tick.y);
	g.select('.tick').attr('x1', (tick) => x(tick.mm)).attr('x2', (tick) => x(tick.mm))
		.attr('y1', (tick) => tick.y - 6).attr('y2', (tick) => tick.y);
	g.select('text').attr('x', (tick) => clamp(x(tick.mm), left, right, tick.text))
		.attr('y', (tick) => tick.y + 13).text((tick) => tick.text);
	svg.select('.axis-name').text('chainage').attr('y', axis + 13);
}

/* A text at the edge of the strip stays within it. */
function clamp(at, left, right, text) {
	const half = text.length * LETTER_PX / 2 + 4;
	return Math.min(Math.max(at, left + half), right - half);
}

/* Texts that would run into each other are left out. */
function spread(marks, at, text) {
	let end = -Infinity;
	return marks.filter((mark) => {
		const half = text(mark).length * LETTER_PX / 2 + 6;
		if (at(mark) - half < end)
			return false;
		end = at(mark) + half;
		return true;
	});
}

/* Two strokes through the rails, as a drawing is broken off, and both chainages beneath. */
function drawBreaks(on) {
	const { svg, x, left, right } = on;
	const shown = axesOf(on).flatMap((one) => {
		const here = one.breaks.filter((jump) => x(jump.mm) >= left && x(jump.mm) <= right);
		const said = new Set(spread(here, (jump) => x(jump.mm), breakText));
		return here.map((jump) =>
			({ ...jump, one, said: said.has(jump), key: `${one.track_id} ${jump.mm}` }));
	});

	const g = svg.select('.breaks').selectAll('g').data(shown, (jump) => jump.key).join((enter) => {
		const made = enter.append('g').attr('class', 'break');
		made.append('rect');
		made.append('path');
		made.append('text').attr('text-anchor', 'middle');
		made.append('title');
		return made;
	}).attr('transform', (jump) => `translate(${x(jump.mm)},0)`);
	g.select('rect').attr('x', -3).attr('width', 6).attr('y', (jump) => top(jump) - 6)
		.attr('height', (jump) => bottom(jump) - top(jump) + 12);
	g.select('path').attr('d', (jump) => jump.one.its.map((row) =>
		[row.left, row.right].map((y) => `M-6 ${y + 6}L0 ${y - 6}M0 ${y + 6}L6 ${y - 6}`)
			.join('')).join(''));
	g.select('text')
		.attr('x', (jump) => clamp(x(jump.mm), left, right, breakText(jump)) - x(jump.mm))
		.attr('y', (jump) => jump.one.y + 29).text((jump) => jump.said ? breakText(jump) : '');
	g.select('title').text((jump) => `${breakText(jump)}, ${jump.jump_mm > 0
		? 'these chainages do not exist' : 'the chainage falls back'}`);
}

const breakText = (jump) => `${jump.before} ▸ ${jump.after}`;
const top = (jump) => Math.min(...jump.one.its.map((row) => row.left));
const bottom = (jump) => Math.max(...jump.one.its.map((row) => row.right));

/** Places that the page points out: {from_mm, to_mm, label} and, when it is of one, track and
 * rail. */
export function drawMarks({ svg, x, rows, left, right }, marks) {
	const rowsOf = (mark) => rows.filter((row) => mark.track === undefined ||
		(row.track?.name ?? null) === mark.track);
	const parts = marks.filter((mark) => x(mark.to_mm) >= left && x(mark.from_mm) <= right)
		.flatMap((mark) => rowsOf(mark).map((row, i) => ({ mark, row, said: i === 0 })));

	const g = svg.select('.marks').selectAll('g').data(parts).join((enter) => {
		const made = enter.append('g').attr('class', 'mark');
		made.append('rect');
		made.append('title');
		return made;
	});
	g.select('rect').attr('x', ({ mark }) => x(mark.from_mm) - 5)
		.attr('width', ({ mark }) => x(mark.to_mm) - x(mark.from_mm) + 10)
		.attr('y', ({ mark, row }) => (mark.rail ? row[mark.rail] : row.left) - 14)
			.attr('height', ({ mark, row }) => (mark.rail ? 0 : row.right - row.left) + 28);
	svg.select('.mark-labels').selectAll('text').data(parts.filter(({ said }) => said)).join('text')
		.attr('x', ({ mark }) => clamp((x(mark.from_mm) + x(mark.to_mm)) / 2, left, right,
			mark.label)).attr('y', ({ mark, row }) => mark.rail === 'right' ? row.right + 25
			: row.left - 17).text(({ mark }) => mark.label);
	g.select('title').text(({ mark }) => mark.label);
}

/**
 * Single bonds, each a link to its record, and stacks of those that would hide each other.
 *
 * @param {number|null} chosen  the bond that the page is about
 */
export function drawBonds({ svg, x, rows, got, words, view }, chosen) {
	const bonds = inView(got, view).bonds ?? [];
	const marks = bonds.map((bond) => {
		const { a, b } = ends(bond, rows);
		return { bond, x: x(a.mm), y: a.y, a, b };
	});
	const placed = new Map(marks.map((mark) => [mark.bond.id, mark]));
	const items = stacks(marks, view).map((stack) => ({ ...stack,
		key: stack.bonds.map((bond) => bond.id).join(' '), state: worst(stack.bonds) }));

	svg.select('.figures').selectAll('*').remove();
	drawCables(svg, x, items, placed);
	const link = svg.select('.bonds').selectAll('a').data(items, (item) => item.key)
		.join((enter) => {
		const a = enter.append('a').attr('tabindex', -1);
		a.append('rect').attr('class', 'hit').attr('x', -12).attr('y', -12).attr('width', 24)
			.attr('height', 24);
		a.append('rect').attr('class', 'ring').attr('x', -11.5).attr('y', -11.5).attr('width', 23)
			.attr('height', 23).attr('rx', 3);
		a.append('rect').attr('class', 'box').attr('x', -8.5).attr('y', -8.5).attr('width', 17)
			.attr('height', 17).attr('rx', 2);
		a.append('path').attr('class', 'glyph').attr('transform', 'scale(.95)');
		a.append('text').attr('class', 'number').attr('dy', '.35em');
		a.append('path').attr('class', 'grade').attr('transform', 'translate(5,-14) scale(.6)');
		a.append('title');
		return a;
	});

	link.attr('transform', (item) => `translate(${item.x},${item.y})`)
		.attr('data-state', (item) => item.state)
		.attr('href', (item) => item.bonds.length === 1 ? `/bonds/${item.bonds[0].id}` : '#')
		.attr('aria-current',
			(item) => item.bonds.some((bond) => bond.id === chosen) ? 'true' : null)
		.attr('aria-label', (item) => item.bonds.length === 1
			? bondWords(item.bonds[0], got.tracks, words) : stackWords(item.bonds));
	link.select('.glyph')
		.attr('d', (item) => item.bonds.length === 1 ? kindPath(item.bonds[0].kind) : '');
	link.select('.grade').attr('data-grade', (item) => worstMarked(item.bonds))
		.attr('d', (item) => gradePath(worstMarked(item.bonds)));
	link.select('.number').text((item) => item.bonds.length > 1 ? item.bonds.length : '');
	link.select('title').text((item) => item.bonds.length === 1 ? bondWords(item.bonds[0],
		got.tracks, words).replaceAll(', ', '\n') : stackWords(item.bonds));
	inOrder(link, (item) => item.x);
}

function stackWords(bonds) {
	return `${bonds.length} bonds close together, ${bonds[0].chainage} to ${bonds[bonds.length -
		1].chainage}: ${[stateCounts(countBy(bonds, 'state')), gradeCounts(countBy(bonds, 'grade'))]
		.filter(Boolean).join('; ')}. Zooms in.`;
}

function countBy(bonds, member) {
	const counts = {};
	for (const { [member]: word } of bonds)
		counts[word] = (counts[word] ?? 0) + 1;
	return counts;
}

/* From end A to end B where they are drawn apart; beside the rail stands what the end is on. */
function drawCables(svg, x, items, placed) {
	const cables =
		items.flatMap((item) => item.bonds.map((bond) => ({ item, mark: placed.get(bond.id) })))
		.filter(({ item, mark }) => mark.b &&
			(mark.b.y !== item.y || Math.abs(x(mark.b.mm) - item.x) > 14))
		.map(({ item, mark }) => ({ id: mark.bond.id, from: item, to: { x: item.bonds.length > 1
			? item.x : x(mark.b.mm) + item.x - mark.x, y: mark.b.y }, on: mark.b.on }));
	const g = svg.select('.cables').selectAll('g').data(cables, (cable) => cable.id)
		.join((enter) => {
		const made = enter.append('g');
		made.append('path').attr('class', 'cable');
		made.append('path').attr('class', 'end');
		return made;
	});

	g.select('.cable').attr('d', ({ from, to }) => `M${from.x} ${from.y}L${to.x} ${to.y}`);
	g.select('.end').attr('transform', ({ to }) => `translate(${to.x},${to.y})`)
		.attr('d', ({ on }) => on === 'rail' ? 'M-3.5 0a3.5 3.5 0 1 0 7 0a3.5 3.5 0 1 0 -7 0'
			: on === 'structure' ? 'M-4 4H4L0 -4Z' : 'M-4 -4H4V4H-4Z');
}

/** Counts of each stretch and track: a column between the rails, the pressing above, all below. */
export function drawCounts({ svg, x, rows, got, words, view, uid }) {
	const cells = (inView(got, view).buckets ?? []).map((bucket) => ({
		...bucket, row: rows.find((row) => row.id === bucket.track_id) ?? rows[rows.length - 1],
		x: x(bucket.from_mm), width: x(bucket.from_mm + got.step_mm) - x(bucket.from_mm)
	}));
	const most = Math.max(1, ...cells.map((cell) => cell.count));
	const link = svg.select('.bonds').selectAll('a')
		.data(cells, (cell) => `${cell.track_id} ${cell.from_mm} ${got.step_mm}`).join((enter) => {
		const a = enter.append('a').attr('tabindex', -1).attr('href', '#');
		a.append('rect').attr('class', 'hit');
		a.append('g').attr('class', 'shares');
		a.append('rect').attr('class', 'ring').attr('rx', 3);
		a.append('title');
		return a;
	});

	svg.select('.cables').selectAll('*').remove();
	for (const rect of ['.hit', '.ring'])
		link.select(rect).attr('x', (cell) => cell.x + 1).attr('width',
			(cell) => Math.max(2, cell.width - 2)).attr('y', (cell) => cell.row.left - 18)
			.attr('height', (cell) => cell.row.right - cell.row.left + 36);
	figures(svg, cells, 'pressing', (cell) => cell.row.left - 5, (cell) => cell.states.overdue);
	figures(svg, cells, 'sum', (cell) => cell.row.right + 14, (cell) => cell.count);
	figures(svg, cells, 'acting', (cell) => cell.row.right + 27,
		(cell) => cell.grades?.act && `■${cell.grades.act}`);
	link.select('.shares').selectAll('rect').data((cell) => shares(cell, most)).join('rect')
		.attr('class', 'share').attr('data-state', (part) => part.state)
			.attr('fill', (part) => FILLS[part.state] ? `url(#${uid}-${FILLS[part.state]})` : null)
		.attr('x', (part) => part.x).attr('width', (part) => part.width).attr('y', (part) => part.y)
			.attr('height', (part) => part.height);
	const label = (cell) => `${stretchWords(cell, got)}, ${got.tracks.find((track) =>
		track.id === cell.track_id)?.name ?? 'track not stated'}: ${cell.count} ${cell.count === 1
		? 'bond' : 'bonds'}, ${[stateCounts(cell.states), gradeCounts(cell.grades)].filter(Boolean)
		.join('; ')}; ${kindCounts(cell.kinds, words)}`;
	link.attr('aria-label', (cell) => `${label(cell)}. Zooms in.`).attr('data-state', null)
		.attr('aria-current', null).attr('transform', null);
	link.select('title').text((cell) => label(cell).replace(/[;:] /g, '\n'));
	inOrder(link, (cell) => cell.x);
}

export function stretchWords(cell, got) {
	return [cell.from_mm, cell.from_mm + got.step_mm]
		.map((mm) => edgeText(got.axes, cell.track_id, mm)).join(' to ');
}

export function kindCounts(kinds, words) {
	return Object.entries(kinds).map(([kind, count]) => `${count} ${words.bond_kind.get(kind)}`)
		.join(', ');
}

const FILLS = { due: 'close', soon: 'wide', deferred: 'dots' };
const middle = (cell) => cell.x + cell.width / 2;

/* Over the links, whose names say the same. */
function figures(svg, cells, name, y, count) {
	const fits = (cell) => count(cell) && String(count(cell)).length * LETTER_PX + 2 <= cell.width;
	svg.select('.figures').selectAll(`.${name}`).data(cells.filter(fits)).join('text')
		.attr('class', name).attr('x', middle).attr('y', y).text(count);
}

/* The column of one cell, in parts from the rail up. */
function shares(cell, most) {
	const room = cell.row.right - cell.row.left - 4;
	const whole = Math.max(3, room * cell.count / most);
	const width = Math.max(2, Math.min(cell.width - 6, 26));
	let y = cell.row.right - 2;

	return STATES.filter((state) => cell.states[state]).map((state) => {
		const height = Math.max(whole * cell.states[state] / cell.count, 2.5);
		y -= height;
		return { state, x: middle(cell) - width / 2, width, y, height };
	});
}

/* In the document as along the line, so that the next one is the next one. */
function inOrder(link, at) {
	link.sort((a, b) => at(a) - at(b) || (a.y ?? a.row.left) - (b.y ?? b.row.left));
}
