/**
 * Ticks on the rows of a list, kept from page to page, and the bar that comes with the first of
 * them and says how many there are.
 *
 * @param {HTMLTableSectionElement} body  its rows have a .tick with a checkbox
 * @param {HTMLElement} bar  with a status, .to-round, .tick-all, .untick
 * @param {(rows: object[]) => void} use  called with what is ticked
 * @param {() => Promise<void>} tickAll  called to tick all that the filter shows
 */
export function ticks(body, bar, use, tickAll) {
	const ticked = new Map();
	let mayTick = false;

	function show() {
		const status = bar.querySelector('[role="status"]');

		bar.hidden = !mayTick || ticked.size === 0;
		status.textContent = `${ticked.size} ticked`;
		for (const tr of body.rows)
			tr.querySelector('.tick > input').checked = ticked.has(tr.due.bond_id);
	}

	body.addEventListener('change', ({ target }) => {
		const due = target.closest('.tick') && target.closest('tr').due;

		if (!due)
			return;
		if (target.checked)
			ticked.set(due.bond_id, due);
		else
			ticked.delete(due.bond_id);
		show();
	});
	bar.querySelector('.to-round').addEventListener('click', () => use([...ticked.values()]));
	bar.querySelector('.untick').addEventListener('click', () => {
		ticked.clear();
		show();
	});
	bar.querySelector('.tick-all').addEventListener('click', () => tickAll().catch(() => {}));
	return {
		/** Of a row that is made. */
		row(tr, due) {
			tr.querySelector('.tick > input').setAttribute('aria-label', `Tick ${due.label}`);
		},
		/** The rows are there; they may be ticked or not. */
		show(may) {
			mayTick = may;
			show();
		},
		all(rows) {
			for (const due of rows)
				ticked.set(due.bond_id, due);
			show();
		},
		none() {
			ticked.clear();
			show();
		}
	};
}
