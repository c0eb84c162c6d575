import { markWords, mergedClearances, offsetText, railExtent, tickStep } from '../logic/rail.js';
import { make } from './template.js';

const SVG = 'http://www.w3.org/2000/svg';
const PAD_PX = 12, LETTER_PX = 8.6, ROW_PX = 16;

/* Of the rail's side, from the top: head, web, foot. */
const HEAD = 14, WEB = 40, FOOT = 10;

/**
 * The rail seen from its side at one end of a bond: the reference mark, all that was ever fixed to
 * it, what must be kept clear, and a place for the next. A plain list beneath says the same.
 *
 * @param {HTMLElement} el  is filled; drawn again when its width changes
 * @param {{marks: object[], place: object, clearances: number[]|null, next_mm?: number|null,
 *	wanted_mm?: number|null, blocked?: boolean}} on place: of the end, as the API tells it;
 *	clearances: null when the rules could not be asked; wanted: what somebody is about to use
 * @param {Record<string, Map<string, string>>} words
 */
export function railDrawing(el, on, words) {
	const svg = make4('svg', { role: 'img', 'aria-label': `The rail from its side, chainage ` +
		`rising to the right. ${listWords(on, words).join('. ')}.` });
	const list = make('ol', '', 'rail-list');

	list.append(...listWords(on, words).map((text) => make('li', text)));
	el.classList.add('rail-drawing');
	el.replaceChildren(svg, list);
	el.watcher ??= new ResizeObserver(() => el.again());
	el.again = () => draw(svg, Math.max(280, Math.round(el.clientWidth)), on);
	el.watcher.observe(el);
	el.again();
}

function listWords({ marks, clearances, next_mm: next, wanted_mm: wanted, blocked }, words) {
	const said = marks.map((mark) => capital(markWords(mark, words)));
	const clear = new Map(marks.map(({ kind }, i) => [kind, clearances?.[i]]));

	if (!marks.length)
		said.push('Nothing with an offset from the reference mark is on record');
	else if (clearances)
		said.push(`Kept clear to either side: ${[...clear]
			.map(([kind, mm]) => `${mm} mm of a ${words.mark_kind.get(kind)}`).join(', ')}`);
	if (wanted !== null && wanted !== undefined)
		said.push(`Wanted: ${offsetText(wanted)}, ${blocked ? 'too near' : 'free'}`);
	if (next !== null && next !== undefined && next !== wanted)
		said.push(`Next free place: ${offsetText(next)}`);
	return said;
}

const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);

function draw(svg, width, on) {
	const { marks, clearances, next_mm: next, wanted_mm: wanted } = on;
	const extent = railExtent(marks, clearances ?? [], [next, wanted]);
	const x = (mm) => PAD_PX + (mm - extent.from_mm) / (extent.to_mm - extent.from_mm) *
		(width - 2 * PAD_PX);
	const labels = placeLabels(labelsOf(on), x, width);
	const top = 8 + ROW_PX * Math.max(1, ...labels.map(({ level }) => level + 1));
	const foot = top + HEAD + WEB + FOOT;

	svg.setAttribute('viewBox', `0 0 ${width} ${foot + 44}`);
	svg.replaceChildren(...rail(on, x, extent, top), ...bars(marks, clearances, x, top),
		...scale(x, extent, foot, width),
		...labels.map((label) => lead(label, top)), ...labels.map((label) => labelled(label, top)),
			...[...marks].sort((a, b) => (a.kind === 'live') - (b.kind === 'live'))
			.flatMap((mark) => shape(mark, x(mark.offset_mm), top)), ...wishes(on, x, top));
}

/* The rail lies to the side of a rail end where this end is. */
function rail({ marks, place }, x, extent, top) {
	const home = place.home_mm ?? 0;
	const cuts = marks.filter(({ kind }) => kind === 'rail_end').map(({ offset_mm }) => offset_mm);
	const from = Math.max(extent.from_mm,
		...cuts.filter((mm) => mm < home || (mm === home && place.side === 'higher')));
	const to = Math.min(extent.to_mm,
		...cuts.filter((mm) => mm > home || (mm === home && place.side === 'lower')));
	const band = (y, height, name) => make4('rect',
		{ class: name, x: x(from), width: Math.max(0, x(to) - x(from)), y, height });

	return [band(top, HEAD, 'steel'), band(top + HEAD, WEB, 'web'),
		band(top + HEAD + WEB, FOOT, 'steel')];
}

function bars(marks, clearances, x, top) {
	if (!clearances)
		return [];
	return mergedClearances(marks, clearances).map(({ from_mm, to_mm }) =>
		make4('rect', { class: 'clear', x: x(from_mm), width: x(to_mm) - x(from_mm),
			y: top + HEAD + 4, height: WEB - 8 }));
}

/* Millimetres from the reference mark, and the mark itself as the triangle that a punch leaves. */
function scale(x, { from_mm, to_mm }, foot, width) {
	const step = tickStep(to_mm - from_mm, Math.max(2, Math.floor(width / 70)));
	const drawn = [];

	for (let mm = Math.ceil(from_mm / step) * step; mm <= to_mm; mm += step) {
		drawn.push(make4('line', { class: 'tick', x1: x(mm), x2: x(mm), y1: foot, y2: foot + 6 }));
		if (mm !== 0)
			drawn.push(text(x(mm), foot + 19, offsetText(mm).replace(' mm', ''), 'middle'));
	}
	drawn.push(make4('path', { class: 'mark-zero', d: `M${x(0)} ${foot}l-7 12h14z` }));
	drawn.push(text(Math.min(Math.max(x(0), 110), width - 110), foot + 36,
		'reference mark, mm ▸ chainage', 'middle'));
	return drawn;
}

/* What it is, by shape alone: filled, crossed out, a joint, two strokes, a hole. */
function shape({ kind }, x, top) {
	const y = top + HEAD + WEB / 2;
	const high = { y1: top - 3, y2: top + HEAD + WEB + FOOT + 3 };

	switch (kind) {
	case 'live': return [make4('circle', { class: 'live', cx: x, cy: y, r: 9 })];
	case 'spoilt': return [make4('circle', { class: 'spoilt', cx: x, cy: y, r: 9 }),
		make4('path', { class: 'cross', d: `M${x - 6} ${y - 6}l12 12m0 -12l-12 12` })];
	case 'weld': return [make4('line', { class: 'weld', x1: x - 3, x2: x - 3, ...high }),
		make4('line', { class: 'weld', x1: x + 3, x2: x + 3, ...high })];
	case 'rail_end': return [make4('line', { class: 'rail-end', x1: x, x2: x, ...high })];
	default: return [make4('circle', { class: 'hole', cx: x, cy: y, r: 6 })];
	}
}

/* The proposal is a broken ring; what somebody is about to use a thick one, or a stroke when it may
 * not be. */
function wishes({ next_mm: next, wanted_mm: wanted, blocked }, x, top) {
	const y = top + HEAD + WEB / 2;
	const drawn = [];

	if (next !== null && next !== undefined)
		drawn.push(make4('circle', { class: 'next', cx: x(next), cy: y, r: 12 }));
	if (wanted !== null && wanted !== undefined) {
		drawn.push(make4('circle',
			{ class: `wanted${blocked ? ' blocked' : ''}`, cx: x(wanted), cy: y, r: 13 }));
		if (blocked)
			drawn.push(make4('path',
				{ class: 'wanted blocked', d: `M${x(wanted) - 9} ${y + 9}l18 -18` }));
	}
	return drawn;
}

const OF_BONDS = { live: true, spoilt: true };

function labelsOf({ marks, next_mm: next, wanted_mm: wanted, blocked }) {
	const NAMES = { live: 'live', spoilt: 'spoilt', weld: 'weld', rail_end: 'rail end',
		bolt_hole: 'bolt hole' };
	const at = new Map();
	for (const { kind, offset_mm, is_placed, foreign } of marks)
		at.set(offset_mm, [...new Set([...at.get(offset_mm) ?? [], `${NAMES[kind]}${is_placed ===
			false ? '?' : ''}${foreign && kind in OF_BONDS ? ` ${foreign}` : ''}`])]);
	const labels = [...at]
		.map(([mm, kinds]) => ({ mm, text: `${kinds.join(', ')} ${offsetText(mm)}` }));

	if (next !== null && next !== undefined && next !== wanted)
		labels.push({ mm: next, text: `next free ${offsetText(next)}`, strong: true });
	if (wanted !== null && wanted !== undefined)
		labels.push({ mm: wanted, text: `${blocked ? 'not here' : 'here'} ${offsetText(wanted)}`,
			strong: true });
	return labels.sort((a, b) => a.mm - b.mm);
}

/* Each on the lowest row where it runs into no other. */
function placeLabels(labels, x, width) {
	const ends = [];

	return labels.map((label) => {
		const half = label.text.length * LETTER_PX / 2 + 2;
		const at = Math.min(Math.max(x(label.mm), half), width - half);
		let level = 0;
		while ((ends[level] ?? -Infinity) > at - half)
			level++;
		ends[level] = at + half + 6;
		return { ...label, at, level, x: x(label.mm) };
	});
}

const labelY = ({ level }, top) => top - 8 - level * ROW_PX;

/* From a label down to its spot; it passes behind the labels below. */
function lead(label, top) {
	return make4('line', { class: 'lead', x1: label.x, x2: label.x, y1: labelY(label, top) + 2,
		y2: top + HEAD + WEB / 2 });
}

function labelled(label, top) {
	return text(label.at, labelY(label, top), label.text, 'middle', label.strong ? 'strong' : '');
}

function text(x, y, words, anchor, name = '') {
	const el = make4('text', { x, y, 'text-anchor': anchor, ...(name ? { class: name } : {}) });
	el.textContent = words;
	return el;
}

function make4(tag, attributes) {
	const el = document.createElementNS(SVG, tag);
	for (const [name, value] of Object.entries(attributes))
		el.setAttribute(name, value);
	return el;
}
