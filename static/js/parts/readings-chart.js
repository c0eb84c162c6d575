import { max, min } from 'd3-array';
import { axisBottom, axisLeft } from 'd3-axis';
import { scaleLinear, scaleUtc } from 'd3-scale';
import { area, line } from 'd3-shape';
import { utcFormat } from 'd3-time-format';

import { addDays, dayInstant } from '../logic/day.js';
import { bandOn, dayNumber, forecastMarks, lastWords, limitRows, mainLine, spanOf, trendWords,
	withBounds, wordRows } from '../logic/judgement.js';
import { writeFigure } from '../logic/number.js';
import { chart, grid, tip } from './chart.js';
import { VERDICT_PATHS, verdictSign } from './grade-sign.js';
import { make } from './template.js';

const HEIGHT = 250, LEFT = 56, RIGHT = 12, TOP = 18, ROW = 13, BOTTOM = 26, LETTER_PX = 7.6;
const STEPS = 40, TITLES = { all: 'line of all readings', newest: 'line of the newest readings',
	band: '95 % band of a further reading' };

/** The figure that a reading is followed by: the judged one, or else what was measured. */
export function readingValue(reading) {
	if (reading.quantity === 'rail_drop')
		return { value: reading.value ?? null, unit: 'm of rail' };
	return { value: reading.value ?? reading.r20_uohm ?? reading.r_uohm ?? null, unit: 'µΩ' };
}

/**
 * Each quantity over time against its limit, with what the rules make of it in words.
 *
 * @param {HTMLElement} el
 * @param {{readings: object[], quantities: object[], today: string}} known
 *	readings: rows of the API; quantities: of the judgement
 * @param {Record<string, Map<string, string>>} words
 */
export function readingsChart(el, { readings, quantities, today }, words) {
	const shown = readings.map((row) => ({ ...row, ...readingValue(row) }))
		.filter((row) => row.value !== null)
		.sort((a, b) => a.day.localeCompare(b.day));
	const measured =
		quantities.filter(({ quantity }) => shown.some((row) => row.quantity === quantity));
	const span = spanOf(shown.map((row) => row.day), measured.map(({ trend }) => trend), today);

	el.replaceChildren(
		...measured.map((of) => Object.assign(make('figure', '', 'chart judged'), { of })));
	for (const figure of el.children) {
		const rows = shown.filter((row) => row.quantity === figure.of.quantity);
		panel(figure, { of: figure.of, rows, span, today, words });
		caption(figure, figure.of, words);
	}
}

function caption(figure, of, words) {
	const says = make('figcaption');
	const limits = make('dl', '', 'facts limits');

	limits.append(...limitRows(of, words)
		.flatMap(({ title, text }) => [make('dt', title), make('dd', text)]));
	says.append(make('p', lastWords(of, words), 'last'),
		make('p', trendWords(of, words), 'trend'), limits);
	figure.append(says);
}

function panel(figure, known) {
	const { of, rows, words } = known;
	const title = words.quantity.get(of.quantity);
	const label = `${title}: ${rows.length} readings. ${lastWords(of, words)} ${trendWords(of,
		words)} The table has the readings.`;

	chart(figure, HEIGHT, label, (svg, width) => {
		const x = scaleUtc().domain(known.span.map(dayInstant))
			.range([LEFT + 10, width - RIGHT - 10]);
		if (known.span[0] === known.span[1])
			x.domain([+x.domain()[0] - 15e9, +x.domain()[0] + 15e9]);
		const marks = dayMarks({ ...known, x, right: width - RIGHT });
		const top = TOP + ROW * Math.max(2, ...marks.map(({ row }) => row + 1));
		const y = scaleLinear().domain(reach(of, rows)).nice(5).range([HEIGHT - BOTTOM, top]);
		const on = { ...known, svg, x, y, top, right: width - RIGHT, width };

		svg.append('text').attr('class', 'heading').attr('x', 0).attr('y', 12)
			.text(`${title}, ${unitOf(of)}`);
		grid(svg, y.ticks(5), y, LEFT, on.right);
		axes(on);
		trend(on);
		limitLines(on);
		days(svg, marks);
		points(figure, on);
	});
}

/* A contact alone is not corrected for temperature. */
const unitOf = ({ quantity }) =>
	({ rail_drop: 'm added', end_to_end: 'µΩ at 20 °C' })[quantity] ?? 'µΩ';

/* All readings with their bounds and the limit; from 0 unless that would press all of it
 * together. */
function reach({ limit, baseline }, rows) {
	const high = max([...rows.map((row) => row.value + (row.u95 ?? 0)), limit ?? 0]);
	const low = min([...rows.map((row) => row.value - (row.u95 ?? 0)), limit ?? Infinity,
		baseline ?? Infinity]);
	const pad = (high - low) * 0.12 || 1;

	return [low - pad < high * 0.4 ? Math.min(0, low) : low - pad, high + pad];
}

function axes({ svg, x, y, width }) {
	svg.append('g').attr('class', 'axis').attr('transform', `translate(0,${HEIGHT - BOTTOM})`)
		.call(axisBottom(x).ticks(Math.min(8, Math.floor(width / 90)))
			.tickFormat(utcFormat('%Y-%m')).tickSizeOuter(0));
	svg.append('g').attr('class', 'axis').attr('transform', `translate(${LEFT},0)`)
		.call(axisLeft(y).ticks(5).tickSizeOuter(0));
}

/* Each line solid where its readings are, broken where it runs on, grey where that is too far; the
 * band of one only. */
function trend({ svg, x, y, of, span, top, right }) {
	const main = mainLine(of.trend);
	if (!main)
		return;
	const clip = `plot-${of.quantity}`;
	const at = (row) => x(dayInstant(row.day));
	const on = (line, day) => ({ day, ...bandOn(line, of.trend.sigma_next, dayNumber(day)) });
	const plot = svg.append('g').attr('clip-path', `url(#${clip})`);

	svg.append('clipPath').attr('id', clip).append('rect').attr('x', LEFT).attr('y', top)
		.attr('width', right - LEFT).attr('height', HEIGHT - BOTTOM - top);
	plot.append('path').datum(stepsOf(main.first_day, span[1]).map((day) => on(main, day)))
		.attr('class', 'band')
		.attr('d', area().x(at).y0((row) => y(row.at - row.half)).y1((row) => y(row.at + row.half)))
		.append('title').text(TITLES.band);
	for (const one of of.trend.lines) {
		for (const [name, from, to] of stretches(one, of.trend.last_day, span[1]))
			plot.append('path').datum([on(one, from), on(one, to)]).attr('class', one === main
				? name : `${name} beside`).attr('d', line().x(at).y((row) => y(row.at)))
				.append('title').text(TITLES[one.of]);
	}
}

const stepsOf = (from, to) => Array.from({ length: STEPS + 1 },
	(_, i) => addDays(from, Math.round((dayNumber(to) - dayNumber(from)) * i / STEPS)));

/* Days are text and compare as such. */
function stretches({ first_day, far_after_day: far }, last, end) {
	return [['fit', first_day, last], ['fit ahead', last, end < far ? end : far],
		['fit ahead far', far, end]].filter(([, from, to]) => from < to);
}

/* The limit that counts, the others that are in sight, and the value at commissioning. */
function limitLines({ svg, y, of, right, words }) {
	const [low, high] = y.domain();
	const lines = [
		...of.limits.filter(({ value }) => value !== null).map(({ kind, value, lowest }) =>
			({ value, name: lowest ? 'limit counts' : 'limit', text: `${lowest ? 'limit'
				: 'also'} ${writeFigure(value)}: ${words.limit_kind.get(kind)}` })),
		...of.baseline === null ? [] : [{ value: of.baseline, name: 'baseline',
			text: `at commissioning ${writeFigure(of.baseline)}` }]
	].filter(({ value }) => value >= low && value <= high);
	const g = svg.append('g').selectAll('g').data(lines).join('g').attr('class', (one) => one.name);

	g.append('line').attr('x1', LEFT).attr('x2', right).attr('y1', (one) => y(one.value))
		.attr('y2', (one) => y(one.value));
	apart(lines.map((one) => ({ ...one, at: y(one.value) - 4 })), 13).forEach((one) =>
		svg.append('text').attr('class', 'said').attr('x', LEFT + 4).attr('y', one.at)
			.text(one.text));
}

/* Texts on lines that are close together go upwards out of each other's way. */
function apart(texts, height) {
	let free = Infinity;
	return [...texts].sort((a, b) => b.at - a.at).map((one) => {
		free = Math.min(one.at, free - height);
		return { ...one, at: free };
	});
}

/* Days that matter, with words at the top, in as many rows as keep them apart. */
function dayMarks({ x, of, today, right }) {
	const marks = [
		{ day: of.live_since_day, text: 'newest attachment', name: 'since' },
		{ day: today, text: 'today', name: 'today' }, ...forecastMarks(of.trend)
	].map(({ day, text, name, far }) => ({
		at: day && x(dayInstant(day)), name: far ? `${name} far` : name,
		text: name === 'today' ? text : `${text} ${day}`
	})).filter(({ at }) => at && at >= LEFT && at <= right);

	return wordRows(marks, { left: LEFT, right, letter: LETTER_PX });
}

/* Words lie over the lines of other days. */
function days(svg, marks) {
	const group = (name) => svg.append('g').attr('class', `day ${name}`);

	for (const { at, row, name } of marks)
		group(name).append('line').attr('x1', at).attr('x2', at).attr('y1', TOP + row * ROW)
			.attr('y2', HEIGHT - BOTTOM);
	for (const { from, row, name, text } of marks)
		group(name).append('text').attr('x', from).attr('y', TOP + 9 + row * ROW).text(text);
}

/* A verdict is a shape; the bar is the uncertainty, k = 2. */
function points(figure, { svg, x, y, rows, of, words }) {
	const at = (row) => x(dayInstant(row.day));
	const bars = svg.append('g').attr('class', 'bars').selectAll('path')
		.data(rows.filter((row) => row.u95)).join('path')
		.attr('d',
			(row) => [1, -1].map((sign) => `M${at(row) - 4} ${y(row.value + sign * row.u95)}h8`)
			.join('') + `M${at(row)} ${y(row.value - row.u95)}V${y(row.value + row.u95)}`);
	const marks = svg.append('g').selectAll('g').data(rows).join('g')
		.attr('class', 'point').attr('data-verdict', (row) => row.verdict ?? 'none')
			.attr('transform',
			(row) => `translate(${at(row)},${y(row.value)}) scale(.9) translate(-8,-8)`);

	marks.append('path').attr('class', 'ring')
		.attr('d', (row) => VERDICT_PATHS[row.verdict ?? 'none'].ring);
	marks.append('path').attr('class', 'fill')
		.attr('d', (row) => VERDICT_PATHS[row.verdict ?? 'none'].fill);
	tip(figure, marks, (row) =>
		[`${row.day}: ${withBounds(row.value, row.u95)} ${of.unit === 'm' ? 'm of rail' : 'µΩ'}`,
		words.verdict.get(row.verdict ?? 'none'),
		[words.reading_method.get(row.method), row.instrument].filter(Boolean).join(', '),
		row.remark && row.remark !== 'none' && words.reading_remark.get(row.remark)].filter(Boolean)
			.join('\n'));
	bars.attr('aria-hidden', 'true');
}

/** What the shapes of the points mean. @param {HTMLElement} el  a list */
export function verdictKey(el, words) {
	el.replaceChildren(...['within', 'unproven', 'over', 'none'].map((verdict) => {
		const li = make('li');
		verdictSign(li, verdict, words.verdict.get(verdict));
		return li;
	}), make('li', 'Bars: ± U, k = 2. Shaded: where a further reading is expected, 95 %. Thin: ' +
		'the other of the two lines.'));
}
