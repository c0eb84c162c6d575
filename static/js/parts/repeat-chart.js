import { axisBottom, axisLeft } from 'd3-axis';
import { scaleLinear, scaleUtc } from 'd3-scale';
import { utcFormat } from 'd3-time-format';

import { dayInstant } from '../logic/day.js';
import { chart, grid, tip } from './chart.js';

const HEIGHT = 260, LEFT = 64, RIGHT = 24, TOP = 24, BOTTOM = 44;

/**
 * The failures of one place: along the line and in time, numbered as in the table below. A ring
 * is one that is not made good.
 *
 * @param {HTMLElement} figure
 * @param {{from_mm: number, span_mm: number, chainage_from: string, chainage_to: string}} place
 * @param {object[]} failures  with number, distance_mm, found_day, mode_title
 */
export function repeatChart(figure, place, failures) {
	const days = failures.map((f) => dayInstant(f.found_day));
	const label = `${failures.length} failures from ${place.chainage_from} to ` +
		`${place.chainage_to}, the newest on top. The table below has them all.`;

	chart(figure, HEIGHT, label, (svg, width) => {
		const span_m = place.span_mm / 1000;
		const margin_ms = Math.max(90 * 864e5, (Math.max(...days) - Math.min(...days)) * 0.08);
		const x = scaleLinear().domain([0, Math.max(1, span_m)])
			.range([LEFT + 24, width - RIGHT - 24]);
		const y = scaleUtc().domain([Math.min(...days) - margin_ms, Math.max(...days) + margin_ms])
			.range([HEIGHT - BOTTOM, TOP]);
		const dots = numbered(svg, failures, (f) => x((f.distance_mm - place.from_mm) / 1000),
			(f) => y(dayInstant(f.found_day)));

		svg.insert('g', ':first-child').call((g) => grid(g, y.ticks(5), y, LEFT, width - RIGHT));
		svg.append('g').attr('class', 'axis').attr('transform', `translate(0,${HEIGHT - BOTTOM})`)
			.call(axisBottom(x).ticks(Math.min(8, Math.floor(width / 80))).tickSizeOuter(0));
		svg.append('g').attr('class', 'axis').attr('transform', `translate(${LEFT},0)`)
			.call(axisLeft(y).ticks(5).tickFormat(utcFormat('%Y-%m')).tickSizeOuter(0));
		svg.append('text').attr('x', LEFT).attr('y', HEIGHT - 6)
			.text(`metres from ${place.chainage_from} along the line`);
		svg.append('text').attr('class', 'heading').attr('x', 0).attr('y', 12).text('Found on');
		tip(figure, dots, (f) => [`${f.number}: ${f.found_day}`, f.chainage, f.mode_title,
			f.made_good_day ? `made good ${f.made_good_day}` : 'not made good'].join('\n'));
	});
}

/* Dots that keep clear of their number: it stands to the right of each. */
function numbered(svg, failures, x, y) {
	const marks = svg.append('g').selectAll('g').data(failures).join('g')
		.attr('transform', (f) => `translate(${x(f)},${y(f)})`);

	marks.append('circle').attr('r', 6)
		.attr('class', (f) => f.made_good_day ? 'point' : 'point open');
	marks.append('text').attr('class', 'number').attr('x', 10).attr('dy', '.32em')
		.text((f) => f.number);
	return marks;
}
