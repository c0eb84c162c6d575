import { extent, max } from 'd3-array';
import { axisBottom, axisLeft } from 'd3-axis';
import { scaleLinear, scaleUtc } from 'd3-scale';
import { line } from 'd3-shape';
import { utcFormat } from 'd3-time-format';

import { dayInstant } from '../logic/day.js';
import { writeFigure } from '../logic/number.js';
import { chart, grid, tip } from './chart.js';
import { make } from './template.js';

const HEIGHT = 190, LEFT = 56, RIGHT = 16, TOP = 28, BOTTOM = 26;

/** The figure that a reading is followed by, and its unit. */
export function readingValue(reading) {
	if (reading.quantity === 'rail_drop')
		return { value: reading.equivalent_m ?? null, unit: 'm of rail' };
	return { value: reading.r20_uohm ?? reading.r_uohm ?? null, unit: 'µΩ' };
}

/**
 * Readings over time, one panel a quantity, all on the same years.
 *
 * @param {HTMLElement} el
 * @param {object[]} readings  rows of the API
 * @param {{quantity: Map<string, string>, reading_method: Map<string, string>}} words
 */
export function readingsChart(el, readings, words) {
	const shown = readings.map((row) => ({ ...row, ...readingValue(row), at: dayInstant(row.day) }))
		.filter((row) => row.value !== null)
		.sort((a, b) => a.at - b.at);
	const years = extent(shown, (row) => row.at);

	el.replaceChildren(...[...words.quantity].flatMap(([quantity, title]) => {
		const rows = shown.filter((row) => row.quantity === quantity);
		return rows.length ? [{ title, rows }] : [];
	}).map(({ title, rows }) => Object.assign(make('figure', '', 'chart'), { panel: { title, rows } })));
	for (const figure of el.children)
		panel(figure, figure.panel, years, words);
}

function panel(figure, { title, rows }, years, words) {
	const last = rows[rows.length - 1];
	const label = `${title}: ${rows.length} readings, last ${writeFigure(last.value)} ${last.unit} on ${last.day}. The table has them all.`;

	chart(figure, HEIGHT, label, (svg, width) => {
		const x = scaleUtc().domain(years).range([LEFT + 10, width - RIGHT - 10]);
		const y = scaleLinear().domain([0, max(rows, (row) => row.value) * 1.1 || 1]).nice(4).range([HEIGHT - BOTTOM, TOP]);
		if (+years[0] === +years[1])
			x.domain([+years[0] - 15e9, +years[0] + 15e9]);

		svg.append('text').attr('class', 'heading').attr('x', 0).attr('y', 12)
			.text(`${title}, ${last.unit}${rows.some((row) => row.r20_uohm && row.quantity === 'end_to_end') ? ' at 20 °C' : ''}`);
		grid(svg, y.ticks(4), y, LEFT, width - RIGHT);
		axes(svg, x, y, width);
		svg.append('path').datum(rows).attr('class', 'trace')
			.attr('d', line().x((row) => x(row.at)).y((row) => y(row.value)));
		const points = svg.append('g').selectAll('circle').data(rows).join('circle')
			.attr('class', (row) => row.remark && row.remark !== 'none' ? 'point open' : 'point').attr('r', 5)
			.attr('cx', (row) => x(row.at)).attr('cy', (row) => y(row.value));
		tip(figure, points, (row) => [`${row.day}: ${writeFigure(row.value)} ${row.unit}`,
			words.reading_method.get(row.method), row.instrument].filter(Boolean).join('\n'));
	});
}

function axes(svg, x, y, width) {
	svg.append('g').attr('class', 'axis').attr('transform', `translate(0,${HEIGHT - BOTTOM})`)
		.call(axisBottom(x).ticks(Math.min(8, Math.floor(width / 90))).tickFormat(utcFormat('%Y-%m')).tickSizeOuter(0));
	svg.append('g').attr('class', 'axis').attr('transform', `translate(${LEFT},0)`)
		.call(axisLeft(y).ticks(4).tickSizeOuter(0));
}
