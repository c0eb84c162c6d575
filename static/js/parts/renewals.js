import { get, getAll } from '../api.js';
import { renewalOpenWords, renewalWords } from '../logic/renewal.js';
import { recordDialog } from './form-dialog.js';
import { showNotice } from './problems.js';
import { may } from './session.js';
import { fillSelect, make, row, stamp } from './template.js';

/**
 * The renewals of a line's rails, each with the bonds that it asks about, and the dialog that
 * records one; that which was recorded stands open.
 *
 * @param {HTMLElement} el  the section
 * @param {{line: object, tracks: object[], person: object|null, today: string}} on
 * @param {Record<string, Map<string, string>>} words
 */
export function renewals(el, { line, tracks, person, today }, words) {
	const dialog = document.querySelector('#renewal');
	const { open } = recordDialog(dialog, ({ person: by, ...values }) => ({ what: 'renewals',
		label: line.name, body: { ...values, line: line.code,
			...(by.trim() ? { person: by } : {}) } }), show);

	fillSelect(dialog.querySelector('[name="track"]'), tracks.map(({ name }) => [name, name]));
	fillSelect(dialog.querySelector('[name="rails"]'), words.renewed_rails);
	el.querySelector('.renew').hidden = !may(person, 'plan') || tracks.length === 0;
	el.querySelector('.renew').addEventListener('click', () => open({ day: today }));

	async function show(opened) {
		const { rows } = await getAll('renewals', `line=${line.id}`);
		const kept = rows.filter(({ replaced, withdrawn }) => !replaced && !withdrawn);

		el.querySelector('.none').hidden = kept.length > 0;
		el.querySelector('.all').replaceChildren(...kept.map((one) => renewal(one, words)));
		if (opened) {
			const at = el.querySelector(`details[data-uuid="${opened}"]`);
			at.open = true;
			at.querySelector('summary').focus();
		}
	}
	return show(null);
}

function renewal(one, words) {
	const el = stamp('renewal-row', { what: renewalWords(one, words), open: renewalOpenWords(one),
		more: [one.reason, one.person && `Done by ${one.person}`,
		one.recorded_by && `recorded by ${one.recorded_by}`].filter(Boolean).join(' \u00b7 ') });

	el.dataset.uuid = one.uuid;
	el.addEventListener('toggle', () => {
		if (el.open)
			showEnds(el, one.uuid, words).catch((problem) => showNotice(el.querySelector('.notice'),
				problem.detail ?? problem.message, problem.status));
	});
	return el;
}

async function showEnds(el, uuid, words) {
	const { ends } = await get(`/api/renewals/${uuid}`);

	el.querySelector('.scroll').hidden = ends.length === 0;
	el.querySelector('tbody').replaceChildren(...ends.map((end) => {
		const tr = row('', words.bond_end.get(end.end), end.chainage, [
			`${words.renewal_answer.get(end.answer)}${end.answer_day ? `, ${end.answer_day}` : ''}`,
			end.is_open ? 'bad' : ''], '');
		tr.cells[0].append(Object.assign(make('a', end.label), { href: `/bonds/${end.bond_id}` }));
		if (end.is_open) {
			const link = Object.assign(make('a', 'Attach'),
				{ href: `/bonds/${end.bond_id}/attach?end=${end.end}` });
			link.setAttribute('aria-label', `Attach end ${end.end.toUpperCase()} of ${end.label}`);
			tr.cells[4].append(link);
		}
		return tr;
	}));
}
