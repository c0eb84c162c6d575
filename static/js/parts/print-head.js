/**
 * Repeats a line of text at the top of every printed page.
 *
 * @returns {(text: string) => void} sets it
 */
export function printHead() {
	const sheet = new CSSStyleSheet();

	document.adoptedStyleSheets = [...document.adoptedStyleSheets, sheet];
	return (text) => {
		const quoted = text.replace(/["\\]/g, '\\$&').replace(/[\n\r\f]/g, ' ');
		sheet.replaceSync(`@page { @top-left { content: "${quoted}"; font: 8pt sans-serif; } }`);
	};
}
