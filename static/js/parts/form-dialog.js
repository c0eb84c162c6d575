import { clearProblem, showProblem } from './problems.js';

/**
 * A dialog with a form that is sent by `send`. Stays open with what was typed until the server
 * has taken it. Out: closes, and the opener has the focus again.
 *
 * @param {HTMLDialogElement} dialog  holds a form with a .notice and a .cancel button
 * @param {(values: Record<string, string>) => Promise<void>} send  throws a Problem
 * @param {() => void} done  called when it was taken and the dialog is closed
 * @param {(field: string, detail: string) => HTMLElement|null} [find]  the input of a field; by its
 *	name
 * @returns {{open: (values?: Record<string, string>) => void}}
 */
export function formDialog(dialog, send, done, find) {
	const form = dialog.querySelector('form');
	const button = form.querySelector('button.main');

	dialog.querySelector('.cancel').addEventListener('click', () => dialog.close());
	form.addEventListener('submit', async (e) => {
		e.preventDefault();
		clearProblem(form);
		const errors = missing(form);
		if (errors.length) {
			showProblem(form, { errors }, find);
			return;
		}
		button.disabled = true;
		try {
			await send(Object.fromEntries(new FormData(form)));
			dialog.close();
			done();
		} catch (problem) {
			showProblem(form, problem, find);
		} finally {
			button.disabled = false;
		}
	});
	return {
		open(values = {}) {
			form.reset();
			clearProblem(form);
			for (const [name, value] of Object.entries(values)) {
				if (form.elements[name])
					form.elements[name].value = value;
			}
			dialog.showModal();
		}
	};
}

/* (a group of choices that must be made has data-required; nothing in it is chosen beforehand) */
function missing(form) {
	const open = Array.from(form.querySelectorAll('.choices[data-required]'))
		.filter((group) => !group.querySelector(':checked'))
		.map((group) => ({ field: group.dataset.name, detail: `Choose under ` +
			`"${group.closest('fieldset').querySelector('legend').textContent}".` }));
	return [...open,
		...Array.from(form.elements).filter((input) => input.required && !input.value.trim())
		.map((input) =>
			({ field: input.name, detail: `Fill in "${input.labels[0].textContent}".` }))];
}
