/* The shapes of look.md: a grade can be told without its colour. */
const SHAPES = {
	sound: 'M8 2a6 6 0 1 0 0 12a6 6 0 1 0 0-12z',
	watch: 'M8 2a6 6 0 1 0 0 12z',
	act: 'M2 2h12v12h-12z',
	unknown: ''
};
const RING = 'M8 2a6 6 0 1 0 0 12a6 6 0 1 0 0-12z';
const SVG = 'http://www.w3.org/2000/svg';

/* A verdict has the shape of the grade that it would give. */
const GRADE_OF = { within: 'sound', unproven: 'watch', over: 'act', none: 'unknown' };

/** The shapes of the verdicts, 16 wide: an outline and what is filled of it. */
export const VERDICT_PATHS = Object.fromEntries(Object.entries(GRADE_OF).map(([verdict, grade]) =>
	[verdict, { ring: grade === 'act' ? SHAPES.act : RING, fill: SHAPES[grade] }]));

/** A grade's shape as one path, 16 wide, for a drawing: only of what wants a person's eye. */
export const gradePath = (grade) =>
	({ act: SHAPES.act, watch: `${RING}M8 3.5a4.5 4.5 0 0 1 0 9z` })[grade] ?? '';

/** The sign of a verdict: shape, words, colour. @param {HTMLElement} el */
export function verdictSign(el, verdict, title) {
	gradeSign(el, GRADE_OF[verdict], title);
	el.dataset.verdict = verdict;
}

/**
 * The sign of a grade: shape, word, colour.
 *
 * @param {HTMLElement} el
 * @param {string} grade
 * @param {string} [word]  the grade itself unless told
 */
export function gradeSign(el, grade, word = grade) {
	const svg = document.createElementNS(SVG, 'svg');

	svg.setAttribute('viewBox', '0 0 16 16');
	svg.setAttribute('aria-hidden', 'true');
	if (grade !== 'act')
		svg.append(path(RING, 'none'));
	svg.append(path(SHAPES[grade] ?? '', 'currentColor'));
	el.classList.add('grade-sign');
	el.dataset.grade = grade;
	el.replaceChildren(svg, word);
}

function path(d, fill) {
	const el = document.createElementNS(SVG, 'path');
	el.setAttribute('d', d);
	el.setAttribute('fill', fill);
	return el;
}
