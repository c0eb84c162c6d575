/**
 * A copy of a <template> of the page, its data-f pieces filled by text.
 *
 * @param {string} id
 * @param {Record<string, string|number|null|undefined>} [data]
 * @returns {HTMLElement} the template's first element
 */
export function stamp(id, data = {}) {
	const el = document.getElementById(id).content.cloneNode(true).firstElementChild;
	fill(el, data);
	return el;
}

/** Fills the data-f pieces within; those that data does not name are left. */
export function fill(el, data) {
	for (const piece of el.querySelectorAll('[data-f]')) {
		if (piece.dataset.f in data)
			piece.textContent = data[piece.dataset.f] ?? '';
	}
}

/** An element with text and classes, for what is too small for a template. */
export function make(tag, text = '', className = '') {
	const el = document.createElement(tag);
	el.textContent = text ?? '';
	if (className)
		el.className = className;
	return el;
}

/** Fills a select after its first option. @param {Iterable<[string, string]>} pairs  value, text */
export function fillSelect(select, pairs) {
	select.append(...Array.from(pairs, ([value, text]) => new Option(text, value)));
}

/**
 * A row of plain cells.
 *
 * @param {(string|number|null|[string|number|null, string])[]} cells  text, or text and class
 */
export function row(...cells) {
	const tr = document.createElement('tr');
	tr.append(...cells.map((cell) => Array.isArray(cell) ? make('td', cell[0], cell[1])
		: make('td', cell)));
	return tr;
}
