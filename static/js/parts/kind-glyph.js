/*
 * A shape for each kind of bond, in a box of 12 by 12 around its middle: strokes only, so that
 * they tell kinds apart on any ground.
 */
const GLYPHS = {
	rail_joint: 'M-5 4V1C-5 -7 5 -7 5 1V4',
	track_cross: 'M-5 -5H5M-5 5H5M-4 -5L4 5',
	rail_cross: 'M-5 -5H5M-5 5H5M0 -5V5',
	structure: 'M-5 5.5H4M-2 5.5V-5.5H5M2 -5.5V-2',
	impedance_lead: 'M-6 4C-6 -5 -2 -5 -2 4C-2 -5 2 -5 2 4C2 -5 6 -5 6 4',
	feeder_lead: 'M0 -6V5M-4.5 0.5L0 5L4.5 0.5',
	track_circuit_lead: 'M-6 4H-3V-4H1V4H4V-4H6',
	protective_earth: 'M0 -6V-1M-5.5 -1H5.5M-3.5 2H3.5M-1.5 5H1.5',
	not_known: 'M-3.5 -2.5C-3.5 -7 4 -7 3.5 -2.5C3 0 0 0 0 2.5M0 5V6'
};

/** The path of a kind's shape. @param {string} kind */
export function kindPath(kind) {
	return GLYPHS[kind] ?? GLYPHS.not_known;
}

/** A kind's shape as a small drawing of its own, for legends and tables. */
export function kindGlyph(kind) {
	const SVG = 'http://www.w3.org/2000/svg';
	const svg = document.createElementNS(SVG, 'svg');
	const path = document.createElementNS(SVG, 'path');

	svg.setAttribute('viewBox', '-8 -8 16 16');
	svg.setAttribute('class', 'kind-glyph');
	svg.setAttribute('aria-hidden', 'true');
	path.setAttribute('d', kindPath(kind));
	svg.append(path);
	return svg;
}
