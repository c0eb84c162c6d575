import { watchKept } from '../logic/kept.js';
import { newUuid } from '../logic/uuid.js';
import { fieldsOf } from './fields.js';
import { clearProblem, showNotice, showProblem } from './problems.js';
import { answerTo, record } from './queue.js';

/**
 * A dialog with a form that is sent by `send`. Stays open with what was typed until the server
 * has taken it. Out: closes, and the opener has the focus again.
 *
 * @param {HTMLDialogElement} dialog  holds a form with a .notice and a .cancel button
 * @param {(values: Record<string, string>) => Promise<any>} send  throws a Problem
 * @param {(sent: any) => void} done  called with what `send` gave, when the dialog is closed
 * @param {(field: string, detail: string) => HTMLElement|null} [find]  the input of a field; by its
 *	name
 * @returns {{open: (values?: Record<string, string>) => void, show: (problem: object) => void}}
 */
export function formDialog(dialog, send, done, find) {
	const form = dialog.querySelector('form');
	const button = form.querySelector('button.main');
	const word = button.textContent;
	let opening = 0;   // what was opened before, and is on its way still, touches nothing

	function setKept(isKept) {
		form.dataset.state = isKept ? 'kept' : '';
		button.textContent = isKept ? 'Send now' : word;
	}

	function show(problem) {
		setKept(Boolean(problem.isKept && problem.passing));
		if (form.dataset.state)
			showKept(form, problem);
		else
			showProblem(form, problem, find);
	}

	async function submit() {
		const mine = opening;

		button.disabled = true;
		try {
			const sent = await send(Object.fromEntries(new FormData(form)));
			if (mine === opening)
				dialog.close();
			done(sent);
		} catch (problem) {
			if (mine === opening)
				show(problem);
		} finally {
			button.disabled &&= mine !== opening;
		}
	}

	dialog.querySelector('.cancel').addEventListener('click', () => dialog.close());
	form.addEventListener('submit', (e) => {
		e.preventDefault();
		clearProblem(form);
		const errors = missing(form);
		if (errors.length)
			showProblem(form, { errors }, find);
		else
			submit();
	});
	return {
		show,
		open(values = {}) {
			opening++;
			form.reset();
			clearProblem(form);
			setKept(false);
			button.disabled = false;
			for (const [name, value] of Object.entries(values)) {
				if (form.elements[name])
					form.elements[name].value = value;
			}
			dialog.showModal();
		}
	};
}

/* What is kept may be on its way: it is not changed any more, only sent again. */
function showKept(form, { detail, status }) {
	const notice = form.querySelector('.notice');

	showNotice(notice, `Saved on this device, not sent yet. ${detail} It is sent by itself when ` +
		`the server answers; this can be closed.`, status);
	notice.dataset.kind = '';
	notice.focus();
}

/**
 * A dialog whose form is an entry of the queue, under an id of its own for each time that it is
 * opened: sent again after no answer, it is stored once; without a server it is kept here.
 *
 * @param {HTMLDialogElement} dialog  as formDialog takes it
 * @param {(values: Record<string, string>, saved_ms: number) => {what: string, body: object,
 *	label?: string, bond_id?: number}} entry  what is recorded, first saved then
 * @param {(uuid: string) => void} done  called when the server has it, and the dialog is closed
 * @param {(field: string, detail: string) => HTMLElement|null} [find]
 * @param {(problem: object) => Promise<void>} [refused]  called before a problem is shown
 * @returns {{open: (values?: Record<string, string>) => void}}
 */
export function recordDialog(dialog, entry, done, find, refused = async () => {}) {
	const form = dialog.querySelector('form');
	const received = new Set();
	let uuid = null, saved_ms = null;

	function take(which) {
		if (!received.has(which)) {
			received.add(which);
			done(which);
		}
	}

	async function send(values) {
		const mine = uuid;

		saved_ms ??= Date.now();
		try {
			await (form.dataset.state === 'kept' ? answerTo(mine)
				: record({ uuid, ...entry(values, saved_ms), typed: values,
					fields: fieldsOf(form) }));
		} catch (problem) {
			await refused(problem);
			throw problem;
		}
		return mine;
	}

	const { open, show } = formDialog(dialog, send, take, find);

	/* one that waited here, and has its answer now */
	watchKept((said) => {
		if (!said || said.uuid !== uuid || form.dataset.state !== 'kept')
			return;
		if (said.problem) {
			if (!said.problem.passing)
				show(said.problem);
			return;
		}
		dialog.close();
		take(uuid);
	});
	return {
		open(values) {
			[uuid, saved_ms] = [newUuid(), null];
			open(values);
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
