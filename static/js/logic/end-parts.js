/**
 * The words of a bond's two ends in parts, each marked where both ends have it: on a narrow screen
 * only what tells them apart need be seen, and all of that is.
 *
 * @param {string|null} a
 * @param {string|null} b
 * @returns {{a: {text: string, isCommon: boolean}[], b: {text: string, isCommon: boolean}[]}}
 */
export function partsOfEnds(a, b) {
	const of = (words, name) => (words || `end ${name.toUpperCase()}`)
		.replace(/, /g, ',\n').replace(/ \(/g, '\n(').split('\n');
	const ends = { a: of(a, 'a'), b: of(b, 'b') };
	const bare = (text) => text?.replace(/,$/, '');
	const isCommon = (i) => ends.a.length === ends.b.length && bare(ends.a[i]) === bare(ends.b[i]);
	const differ = ends.a.length !== ends.b.length || ends.a.some((_, i) => !isCommon(i));
	const marked = (parts) => parts.map((text, i) => ({ text, isCommon: differ && isCommon(i) }));

	return { a: marked(ends.a), b: marked(ends.b) };
}
