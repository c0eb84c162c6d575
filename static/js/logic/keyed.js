/*
 * A figure as it is typed on the record view's own keys. Each function gives the text that stands
 * there afterwards, and none puts in what was not tapped: a figure is never repeated, completed or
 * carried from another bond.
 */

/* As long as no reading is; more is a key that was held down. */
const LONGEST = 9;

/**
 * @param {string} text  what stands there
 * @param {string} key  a digit, "." (the decimal mark), "sign", or "back"
 */
export function keyed(text, key) {
	if (key === 'back')
		return text.slice(0, -1);
	if (key === 'sign')
		return text.startsWith('-') ? text.slice(1) : `-${text}`;
	if (text.length >= LONGEST || (key === '.' && text.includes('.')))
		return text;
	return text + key;
}

/** The figure in µΩ as the form of the reading has it. @param {boolean} isMilli  typed in mΩ */
export function inMicro(text, isMilli) {
	const figure = Number(text);

	return !isMilli || !/\d/.test(text) || !Number.isFinite(figure) ? text
		: String(Number((figure * 1000).toPrecision(12)));
}
