/**
 * Repeats a line of text at the top of every printed page, where the browser can.
 *
 * @returns {(text: string) => void} sets it
 */
export function printHead() {
	if (!document.adoptedStyleSheets)
		return () => {};   // Safari before 16.4
	const sheet = new CSSStyleSheet();

	document.adoptedStyleSheets = [...document.adoptedStyleSheets, sheet];
	return (text) => {
		const quoted = text.replace(/["\\]/g, '\\$&').replace(/[\n\r\f]/g, ' ');
		sheet.replaceSync(`@page { @top-left { content: "${quoted}"; font: 8pt sans-serif; } }`);
	};
}
