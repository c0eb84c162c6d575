/**
 * Reads a number as people type it: comma or point, spaces between groups, a real minus sign.
 * A sign that could be either (1,234.5) is refused rather than guessed.
 *
 * @param {string} text
 * @returns {{value: number|null, problem: string|null}} value null without a problem: nothing typed
 */
export function readNumber(text) {
	const typed = text.replace(/[\s\u00a0\u202f\u2009]/g, '').replace(/^\u2212/, '-');

	if (typed === '')
		return { value: null, problem: null };
	if (/[.,].*[.,]/.test(typed))
		return refuse(text, 'has more than one comma or point: write 1234.5 or 1234,5');
	if (!/^[-+]?(\d+[.,]?\d*|[.,]\d+)$/.test(typed))
		return refuse(text, 'is not a number: write digits, with one comma or point, like 152.4');
	return { value: Number(typed.replace(',', '.')), problem: null };
}

/** A sign or a comma, after which a number may follow. @param {string} text */
export const isBegun = (text) => /^\s*[-+\u2212]?[.,]?\s*$/.test(text);

function refuse(text, why) {
	return { value: null, problem: `"${text.trim()}" ${why}.` };
}

/**
 * Writes a figure with so many significant digits and no exponent.
 *
 * @param {number|null|undefined} value
 * @param {number} [digits]
 */
export function writeFigure(value, digits = 4) {
	if (value === null || value === undefined || !Number.isFinite(value))
		return '';
	if (value === 0)
		return '0';
	const decimals = Math.max(0, digits - 1 - Math.floor(Math.log10(Math.abs(value))));
	return value.toFixed(Math.min(decimals, 6)).replace('-', '\u2212');
}
