/**
 * The keyboard of a list: arrows, Home and End move along the rows' links (Enter opens, as on any
 * link); the single keys of `keys` act unless something is being typed or the switch is off.
 *
 * @param {HTMLTableSectionElement} body
 * @param {Record<string, (row: HTMLTableRowElement|null) => void>} keys
 * @param {HTMLInputElement} [enabled]  a checkbox, remembered: single keys can be switched off
 */
export function rowKeys(body, keys = {}, enabled = null) {
	if (enabled) {
		enabled.checked = localStorage.getItem('single-keys') !== 'off';
		enabled.addEventListener('change',
			() => localStorage.setItem('single-keys', enabled.checked ? 'on' : 'off'));
	}

	document.addEventListener('keydown', (e) => {
		if (e.ctrlKey || e.altKey || e.metaKey || document.querySelector('dialog[open]'))
			return;
		if (e.target.closest('input:not([type="checkbox"]), select, textarea')) {
			if (e.key === 'Escape')
				move(body, 0);
			return;
		}
		const steps = { ArrowDown: 1, ArrowUp: -1, Home: -Infinity, End: Infinity };
		if (e.key in steps && (body.contains(e.target) || e.key.startsWith('Arrow')))
			e.preventDefault(), move(body, steps[e.key]);
		else if (e.key in keys && enabled?.checked)
			e.preventDefault(), keys[e.key](current(body));
	});
}

function current(body) {
	return document.activeElement.closest?.('tr') && body.contains(document.activeElement)
		? document.activeElement.closest('tr') : null;
}

function move(body, step) {
	const rows = Array.from(body.rows)
		.filter((row) => row.querySelector('a') && !row.matches('.detail'));
	const at = rows.indexOf(current(body));
	const to = at < 0 ? 0 : Math.min(rows.length - 1, Math.max(0, at + step));
	const link = rows[to]?.querySelector('a');

	link?.focus({ preventScroll: true });
	link?.scrollIntoView({ block: 'nearest' });
}
