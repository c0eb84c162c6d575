import { max } from 'd3-array';
import { scaleLinear } from 'd3-scale';
import { select } from 'd3-selection';

const HEIGHT = 14;
const PARTS = [['on_time', 'on time'], ['late', 'late'], ['not_done', 'not done']];

/**
 * One bar a month, all to one scale: on time plain, late hatched, not done solid, so that a
 * black-and-white print tells them apart. The figures stand beside it, so it says nothing itself.
 *
 * @param {HTMLElement[]} cells  one a month
 * @param {{on_time: number, late: number, not_done: number}[]} months
 * @param {HTMLElement} key  gets what the grounds mean
 */
export function monthBars(cells, months, key) {
	const all = ({ on_time: a, late: b, not_done: c }) => a + b + c;
	const x = scaleLinear().domain([0, max(months, all) || 1]).range([0, 100]);

	select(key).selectAll('*').remove();
	hatch(key);
	for (const [name, word] of PARTS) {
		const sign = select(key).append('span').attr('class', 'sign');
		bar(sign, 'swatch').append('rect').attr('class', name)
			.attr('fill', name === 'late' ? 'url(#late)' : null)
			.attr('width', '100%').attr('height', '100%');
		sign.append('span').text(word);
	}
	cells.forEach((cell, i) => {
		const svg = bar(select(cell), 'bar');
		let from = 0;

		for (const [name] of PARTS) {
			const count = months[i][name];
			svg.append('rect').attr('class', name)
				.attr('fill', name === 'late' ? 'url(#late)' : null)
				.attr('x', `${x(from)}%`).attr('width', `${x(count)}%`).attr('height', HEIGHT);
			from += count;
		}
	});
}

const bar = (to, name) => to.append('svg').attr('class', name).attr('aria-hidden', 'true');

function hatch(key) {
	const pattern = bar(select(key), 'hatch').append('defs').append('pattern').attr('id', 'late')
		.attr('width', 5).attr('height', 5)
		.attr('patternUnits', 'userSpaceOnUse').attr('patternTransform', 'rotate(45)');

	pattern.append('rect').attr('class', 'ground').attr('width', 5).attr('height', 5);
	pattern.append('line').attr('y2', 5).attr('x1', 1).attr('x2', 1);
}
