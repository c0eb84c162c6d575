/**
 * Ticks on the rows of a list, kept from page to page, and the bar that says how many there are.
 *
 * @param {HTMLTableSectionElement} body  its rows have a .tick with a checkbox
 * @param {HTMLElement} bar  with a status, .to-round, .tick-all, .untick
 * @param {(rows: object[]) => void} use  called with what is ticked
 * @param {() => Promise<void>} tickAll  called to tick all that the filter shows
 */
export function ticks(body, bar, use, tickAll) {
	const ticked = new Map();
	let total = 0;

	function show() {
		const status = bar.querySelector('[role="status"]');
		const all = bar.querySelector('.tick-all');

		bar.hidden = total === 0;
		status.textContent = ticked.size ? `${ticked.size} ticked` : 'None ticked';
		all.textContent = `Tick all ${total} that the filter shows`;
		bar.querySelector('.to-round').disabled = bar.querySelector('.untick').disabled =
			ticked.size === 0;
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
		/** The rows are there; 0: nobody may tick them. */
		show(count) {
			total = count;
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
