import { scaleLinear } from 'd3-scale';
import { event, select } from 'd3-selection';
import { zoom, zoomIdentity } from 'd3-zoom';

import { get } from '../api.js';
import { dueWords } from '../logic/due-words.js';
import { GRADES, MARKED, STATES, fitView, gradeCounts, inView, keyView, layout, nameRoom, question,
	railWords, span, stateCounts, viewGrades, viewStates, whereWords,
	wholeView } from '../logic/strip.js';
import { gradeSign } from './grade-sign.js';
import { kindGlyph, kindPath } from './kind-glyph.js';
import { showNotice } from './problems.js';
import { drawBonds, drawCounts, drawLine, drawMarks, stretchWords } from './strip-draw.js';
import { make, row, stamp } from './template.js';

const RIGHT_PX = 12, ASK_AFTER_MS = 120;

let count = 0;

/**
 * The strip: the line with its tracks, chainage and bonds, as counts from afar and one by one from
 * near. It asks for a screenful at a time. The page has the fragment parts/strip.html.
 *
 * @param {HTMLElement} el  is filled
 * @param {object} options
 * @param {{id: number, name: string}} options.line
 * @param {Record<string, Map<string, string>>} options.words
 * @param {string} [options.filters]  query string of the due list's filters, without the line
 * @param {{from_mm: number, to_mm: number}} [options.view]  at first; else the whole line
 * @param {number} [options.chosen]  the bond that the page is about
 * @param {object[]} [options.marks]  places pointed out: see drawMarks
 * @param {(view, got) => void} [options.onView]  after each answer
 * @returns {{filter: (query: string) => void, look: (view) => void}}
 */
export function strip(el, { line, words, filters = '', view: wanted = null, chosen = null,
	marks = [], onView = () => {} }) {
	const root = stamp('strip');
	const $ = (selector) => root.querySelector(selector);
	const surface = $('.surface');
	const uid = `strip-${++count}`;
	const svg = select(surface).append('svg');
	const zooming = zoom().filter(zoomable).on('start', () => surface.classList.add('held'))
		.on('zoom', zoomed).on('end', () => surface.classList.remove('held'));
	let got, whole, view, base, x, plan, width = 0, left = 0, asked = 0, timer;

	prepare();
	el.replaceChildren(root);
	new ResizeObserver(resized).observe(surface);
	ask(wanted && { ...wanted });

	function prepare() {
		surface.setAttribute('aria-label', `Strip of ${line.name}`);
		surface.setAttribute('aria-describedby', `${uid}-keys`);
		$('.keys').id = `${uid}-keys`;
		$('.about').href = `/lines/${line.id}`;
		$('.about').hidden = location.pathname === `/lines/${line.id}`;
		svg.append('defs').call(patterns, uid);
		const plot = svg.append('g').attr('clip-path', `url(#${uid}-plot)`);
		for (const name of ['tracks', 'marks', 'ticks', 'breaks', 'cables', 'bonds', 'figures',
			'mark-labels'])
			plot.append('g').attr('class', name);
		svg.append('g').attr('class', 'names');
		svg.append('text').attr('class', 'quiet axis-name');
		svg.call(zooming).on('dblclick.zoom', null);
		surface.addEventListener('keydown', keyed);
		surface.addEventListener('click', clicked);
		$('.zoom').addEventListener('click', (e) => {
			const key = e.target.closest('button')?.dataset.key;
			if (key && view)
				look(keyView(key, view, whole, got.extent));
		});
		$('.in-view').addEventListener('toggle', list);
	}

	/** Asks for what the view needs; for the whole line when there is none yet. */
	async function ask(next) {
		const turn = ++asked;
		const query = new URLSearchParams(filters);
		const plot = Math.max(200, (width || surface.clientWidth || 900) - (left || 100));

		for (const [name, value] of Object.entries(next ? question(next, plot)
			: { buckets: Math.round(plot / 34) }))
			query.set(name, value);
		try {
			const answer = await get(`/api/lines/${line.id}/strip?${query}`);
			if (turn !== asked)
				return;
			got = answer;
			whole ??= wholeView(got.extent);
			showNotice($('.notice'), '');
			if (!view)
				first(next);
			else if (x)
				laid(), draw();
			say();
		} catch (problem) {
			if (turn === asked)
				showNotice($('.notice'), problem.detail ?? problem.message, problem.status);
		}
	}

	/* Now it is known how far the line reaches; what was wanted may lie beyond. */
	function first(next) {
		view = fitView(next ?? whole, whole);
		resized();
		if (next && (view.from_mm !== next.from_mm || view.to_mm !== next.to_mm))
			timer = setTimeout(() => ask(view), ASK_AFTER_MS);
	}

	function resized() {
		if (!got || !surface.clientWidth)
			return;
		width = Math.max(320, Math.round(surface.clientWidth));
		left = nameRoom(got.tracks, width);
		base = scaleLinear().domain([whole.from_mm, whole.to_mm]).range([left, width - RIGHT_PX]);
		laid();
		look(view);
	}

	/* How high it is depends on what the answer has. */
	function laid() {
		plan = layout(got);
		const corners = [[left, 0], [width - RIGHT_PX, plan.height]];

		svg.attr('viewBox', `0 0 ${width} ${plan.height}`);
		svg.select(`#${uid}-plot > rect`).attr('x', left).attr('width', width - RIGHT_PX - left)
			.attr('height', plan.height);
		zooming.extent(corners).translateExtent(corners).scaleExtent([1, span(whole) / 20000]);
	}

	/** Shows a view. */
	function look(next) {
		const k = span(whole) / span(next);
		svg.call(zooming.transform,
			zoomIdentity.translate(left - k * base(next.from_mm), 0).scale(k));
	}

	/* What is known is drawn at once; when the line rests, what is in view is asked for. */
	function zoomed() {
		const before = view;

		x = event.transform.rescaleX(base);
		const [from_mm, to_mm] = x.domain();
		view = fitView({ from_mm, to_mm }, whole);
		draw();
		if (view.from_mm !== before.from_mm || view.to_mm !== before.to_mm) {
			clearTimeout(timer);
			timer = setTimeout(() => ask(view), ASK_AFTER_MS);
		}
	}

	/* The wheel goes on to the page where there is no more of the line to see. */
	function zoomable() {
		return !event.button &&
			!(event.type === 'wheel' && event.deltaY > 0 && span(view) >= span(whole) - 2);
	}

	function draw() {
		const on = { svg, x, left, right: width - RIGHT_PX, got, words, view, uid, ...plan };

		drawLine(on);
		drawMarks(on, marks);
		if (got.bonds)
			drawBonds(on, chosen);
		else
			drawCounts(on);
	}

	function clicked(e) {
		const link = e.target.closest('a');
		const cell = link && select(link).datum();

		if (!cell || cell.bonds?.length === 1)
			return;
		e.preventDefault();
		if (cell.bonds)
			closer(Math.min(...cell.bonds.map((bond) => bond.distance_mm)),
				Math.max(...cell.bonds.map((bond) => bond.distance_mm)), 1.4);
		else
			closer(cell.from_mm, cell.from_mm + got.step_mm, 1.2);
	}

	function closer(from_mm, to_mm, room) {
		const half = Math.max((to_mm - from_mm) * room, 50000) / 2;
		const middle = (from_mm + to_mm) / 2;
		look(fitView({ from_mm: middle - half, to_mm: middle + half }, whole));
		surface.focus({ preventScroll: true });
	}

	function keyed(e) {
		if (e.ctrlKey || e.altKey || e.metaKey || !view)
			return;
		const next = keyView(e.key, view, whole, got.extent);
		if (next)
			look(next);
		else if (e.key === 'ArrowDown' || e.key === 'ArrowUp')
			step(e.key === 'ArrowDown' ? 1 : -1);
		else if (e.key === 'Escape' && e.target !== surface)
			surface.focus({ preventScroll: true });
		else
			return;
		e.preventDefault();
		e.stopPropagation();
	}

	/* From bond to bond, or from stretch to stretch, along the line. */
	function step(by) {
		const links = [...surface.querySelectorAll('a')];
		const at = links.indexOf(document.activeElement);
		const to = at < 0 ? (by > 0 ? 0 : links.length - 1)
			: Math.min(links.length - 1, Math.max(0, at + by));
		links[to]?.focus({ preventScroll: true });
	}

	/** Says and lists what is in view, for who does not see it and for who prints it. */
	function say() {
		const seen = inView(got, view);
		const states = viewStates(seen);
		const bonds = Object.values(states).reduce((sum, n) => sum + n, 0);
		const where = `${line.name}, ${whereWords(got.axes)}: ${bonds} ${bonds === 1 ? 'bond'
			: 'bonds'}${bonds ? `, ${[stateCounts(states), gradeCounts(viewGrades(seen))]
			.filter(Boolean).join('; ')}` : ''}`;

		$('.where').textContent = got.tracks.length || bonds ? where
			: `${line.name} has no tracks and no bonds yet.`;
		$('.said').textContent = $('.where').textContent;
		legend(seen);
		list();
		onView(view, got);
	}

	function legend(seen) {
		const kinds = new Set((seen.bonds ?? []).map((bond) => bond.kind));
		const items = seen.bonds ? [...words.bond_kind].filter(([kind]) => kinds.has(kind))
			.map(([kind, title]) => labelled(kindGlyph(kind), title)) : [];

		$('.legend').replaceChildren(...items, ...STATES.map((state) => labelled(stateSample(state,
			Boolean(seen.bonds), uid), words.due_state.get(state))), ...MARKED.map((grade) => {
			const li = make('li');
			gradeSign(li, grade, words.grade.get(grade));
			return li;
		}));
	}

	function list() {
		if (!$('.in-view').open || !got)
			return;
		const seen = inView(got, view);
		const headings = seen.bonds ? ['Bond', 'Kind', 'Track, rail', 'Chainage', 'Grade', 'State']
			: ['Stretch', 'Track', 'Bonds', ...STATES, ...GRADES];
		$('.in-view thead > tr')
			.replaceChildren(...headings.map((text, i) => heading(text, !seen.bonds && i > 1)));
		$('.in-view tbody').replaceChildren(...(seen.bonds ? seen.bonds.map(bondRow)
			: seen.buckets.map(countRow)));
	}

	function bondRow(bond) {
		const link = Object.assign(make('a', bond.label), { href: `/bonds/${bond.id}` });
		const tr = row('', words.bond_kind.get(bond.kind), railWords(got.tracks, bond.track_id,
			bond.rail, words), bond.chainage, words.grade.get(bond.grade) ?? '', dueWords(bond));

		tr.cells[0].append(link);
		return tr;
	}

	function countRow(bucket) {
		return row(stretchWords(bucket, got),
			got.tracks.find((track) => track.id === bucket.track_id)?.name ?? 'not stated',
			...[bucket.count, ...STATES.map((state) => bucket.states[state] ?? 0),
				...GRADES.map((grade) => bucket.grades?.[grade] ?? 0)].map((n) => [n, 'figure']));
	}

	return {
		filter(query) {
			filters = query;
			ask(view);
		},
		look: (next) => whole && look(fitView(next, whole))
	};
}

function heading(text, figure) {
	return Object.assign(make('th', text, figure ? 'figure' : ''), { scope: 'col' });
}

function labelled(drawing, text) {
	const li = make('li');
	li.append(drawing, text);
	return li;
}

/* A sample of a due state: the box of a bond, or the fill of a count. */
function stateSample(state, single, uid) {
	const svg = select(document.createElementNS('http://www.w3.org/2000/svg', 'svg'))
		.attr('viewBox', '-12 -12 24 24').attr('aria-hidden', 'true');
	const fills = { due: 'close', soon: 'wide', deferred: 'dots' };

	if (single) {
		const g = svg.append('g').attr('data-state', state);
		g.append('rect').attr('class', 'box').attr('x', -8.5).attr('y', -8.5).attr('width', 17)
			.attr('height', 17).attr('rx', 2);
		g.append('path').attr('class', 'glyph').attr('d', kindPath('rail_joint'));
	} else
		svg.append('rect').attr('class', 'share').attr('data-state', state).attr('x', -8)
			.attr('y', -8).attr('width', 16).attr('height', 16)
			.attr('fill', fills[state] ? `url(#${uid}-${fills[state]})` : null);
	return svg.node();
}

/* Hatches that tell the states of a count apart in black and white. */
function patterns(defs, uid) {
	const pattern = (name, size) => {
		const one = defs.append('pattern').attr('id', `${uid}-${name}`)
			.attr('patternUnits', 'userSpaceOnUse').attr('width', size).attr('height', size);
		one.append('rect').attr('width', size).attr('height', size).attr('class', 'share')
			.attr('data-state', 'later').attr('stroke', 'none').style('stroke', 'none');
		return one;
	};

	pattern('close', 4).append('path').attr('class', 'hatch')
		.attr('d', 'M-1 1L1 -1M0 4L4 0M3 5L5 3').attr('stroke-width', 1.5);
	pattern('wide', 8).append('path').attr('class', 'hatch')
		.attr('d', 'M-1 1L1 -1M0 8L8 0M7 9L9 7');
	pattern('dots', 5).append('circle').attr('class', 'hatch').attr('cx', 2.5).attr('cy', 2.5)
		.attr('r', 1);
	defs.append('clipPath').attr('id', `${uid}-plot`).append('rect').attr('y', 0);
}
