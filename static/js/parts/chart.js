import { select } from 'd3-selection';

/**
 * An SVG as wide as its figure, drawn again when that changes.
 *
 * @param {HTMLElement} figure
 * @param {number} height
 * @param {string} label  what a person who does not see it is told
 * @param {(svg, width: number) => void} draw
 */
export function chart(figure, height, label, draw) {
	const svg = select(figure).append('svg').attr('role', 'img').attr('aria-label', label);
	let drawn = 0;
	const again = () => {
		const width = Math.max(320, Math.round(figure.clientWidth));
		if (width === drawn)
			return;
		drawn = width;
		svg.attr('viewBox', `0 0 ${width} ${height}`).selectAll('*').remove();
		draw(svg, width);
	};

	again();
	new ResizeObserver(again).observe(figure);
}

/** Shows lines of text beside a mark while the pointer is on it. */
export function tip(figure, marks, words) {
	const el = select(figure).selectAll('.tip').data([0]).join('div').attr('class', 'tip')
		.attr('hidden', '');

	marks.on('pointerenter', function (d) {
		const box = figure.getBoundingClientRect();
		const at = this.getBoundingClientRect();
		const right = at.left - box.left > box.width / 2;
		el.text(words(d)).attr('hidden', null)
			.style('top', `${at.bottom - box.top + 6}px`)
			.style('left', right ? null : `${at.left - box.left}px`)
			.style('right', right ? `${box.right - at.right}px` : null);
	}).on('pointerleave', () => el.attr('hidden', ''));
}

/** Grid lines behind a chart, one a tick of the scale. */
export function grid(svg, ticks, y, left, right) {
	svg.append('g').attr('class', 'grid').attr('aria-hidden', 'true')
		.selectAll('line').data(ticks).join('line')
		.attr('x1', left).attr('x2', right).attr('y1', y).attr('y2', y);
}
