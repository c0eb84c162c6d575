import { doerToSend } from '../logic/doer.js';
import { dropEntry } from '../logic/kept.js';
import { railsWith } from '../logic/rail.js';
import { newUuid } from '../logic/uuid.js';
import { attachmentForm, NO_CHECKS, showAcceptance } from '../parts/attachment-form.js';
import { keepLastUsed, lastUsed } from '../parts/last-used.js';
import { clearProblem, showNotice, showProblem } from '../parts/problems.js';
import { me } from '../parts/session.js';
import { make, stamp } from '../parts/template.js';
import { roundDraft } from './draft.js';
import { button, group, link, part } from './pieces.js';
import { rulesOf } from './rules.js';

/**
 * A new attachment of one bond of the round, without the server: the spot judged by all that the
 * package and this tablet know of the rail, the checks by the rules, and what comes after it.
 *
 * @param {HTMLElement} root
 * @param {{pack: object, bond: object, words: Record<string, Map<string, string>>,
 *	settings: object, made: object[]}} data  bond: of the package, with its row of bond_rows as
 *	`row`; made: the attachments that count of those that this tablet recorded in the round
 * @param {{save(entry: object): Promise<boolean>, leave(): void}} wishes
 *	save: true once it is on the disk
 * @param {object|null} [start]  values of the form; null: what was left of it, or a new one
 */
export async function mountAttach(root, { pack, bond, words, settings, made }, { save, leave },
	start = null) {
	const { row } = bond;
	const form = stamp('attach-form');
	const known = { words, bond: { id: bond.bond_id, ends: bond.rail.ends }, rules: null,
		rails: railsWith(pack, bond.bond_id, made) };
	const draft = roundDraft({ what: 'attachments', bond_id: bond.bond_id, label: row.label,
		round: pack.round.uuid, page: `/round/${pack.round.uuid}#attach=${bond.bond_id}` },
	() => showNotice(form.querySelector('.notice'), 'This tablet cannot keep what you type (its ' +
		'storage is full or switched off): save before you leave this page.'));
	let typed = null;   // null: the form takes nothing in yet
	let isSaving = false, mends = null;

	const fields = attachmentForm(form, known, changed);
	const saving = button('SAVE THE ATTACHMENT', saveIt, 'save main');

	fields.offer(pack.kits.map(({ code, name }) => [code, [code, name].filter(Boolean).join(' ')])
		.sort((a, b) => (b[0] === settings.kit) - (a[0] === settings.kit)));
	form.querySelector('.send').append(saving, group(button('Back to the walk', leave)));
	form.addEventListener('submit', (e) => e.preventDefault());
	form.addEventListener('input', () => {
		fields.judge();
		changed();
	});
	form.inert = true;
	root.replaceChildren(form);
	await begin();

	async function begin() {
		const [rules, old] = await Promise.all([rulesOf(pack), start ? null : draft.left()]);

		known.rules = rules;
		typed = old ? { ...old.typed, uuid: draft.idOf(old) } : start ?? blank();
		mends = old?.problem ? old.typed.uuid : null;
		fields.write(typed);
		form.inert = false;
		if (old?.problem)
			showProblem(form, old.problem);
	}

	function blank(values = {}) {
		return { ...NO_CHECKS, uuid: newUuid(), bond_id: bond.bond_id, corrects: '', end: '',
			made_day: pack.round.shift_day, method: lastUsed('method') || 'brazed_pin',
			person: me()?.name ?? '', kit: settings.kit ?? '', batch: lastUsed('batch'),
			...values };
	}

	function changed() {
		if (!typed || isSaving)
			return;
		typed = { ...typed, ...fields.read() };
		draft.keep(typed);
	}

	async function saveIt() {
		if (!typed || isSaving)
			return;
		clearProblem(form);
		typed = { ...typed, ...fields.read() };
		const { body, errors } = fields.body(typed);
		if (errors.length) {
			showProblem(form, { errors });
			return;
		}
		isSaving = true;
		body.person = doerToSend(typed.person, me()) || undefined;
		const isKept = await save({ what: 'attachments', uuid: typed.uuid, label: row.label,
			bond_id: bond.bond_id, body, typed, page: `/round/${pack.round.uuid}#attach=${
				bond.bond_id}` });
		isSaving = false;
		if (!isKept) {
			showNotice(form.querySelector('.notice'), 'Not saved: this tablet can keep nothing ' +
				'now. What you typed is still here.');
			return;
		}
		draft.end();
		if (mends && mends !== typed.uuid)
			await dropEntry(mends);
		for (const name of ['batch', 'method'])
			keepLastUsed(name, typed[name]);
		showSaved();
	}

	/** What was saved, and what comes after it. */
	function showSaved() {
		const asked = fields.asked();
		const end = bond.rail.ends.find((one) => one.end === typed.end);
		const canMend = asked?.accepted === 'not_accepted' && !asked.spoils_spot;
		const isOut = asked?.accepted === 'not_accepted';
		const el = part(`Saved on this tablet: ${row.label}`, make('p', end.words));
		const result = make('div', '', 'result');

		el.classList.add('attached');
		result.append(make('p', '', 'verdict'), make('ul', '', 'said'));
		if (asked)
			showAcceptance(result, asked);
		else
			result.replaceChildren(make('p', 'Not judged here: the server judges it when it ' +
				'arrives.'));
		el.append(result, ...isOut ? [] : [link('KEY THE COMMISSIONING READING',
			`#commission=${bond.bond_id}`, 'button main save')],
		group(...canMend ? [button('Record it again, mended', () => again({ ...typed,
			uuid: newUuid(), corrects: typed.uuid }))] : [], ...isOut && !canMend ? [button(
			'Make another one here', () => again({ end: typed.end }))] : [],
		button('The other end', () => again({ end: typed.end === 'a' ? 'b' : 'a' })),
		button('Back to the walk', leave)));
		root.replaceChildren(el);
		el.tabIndex = -1;
		el.focus();
		scrollTo(0, 0);
	}

	function again(values) {
		const one = { uuid: typed.uuid, label: row.label, body: { ...fields.body(typed).body } };
		const others = made.filter(({ uuid }) => uuid !== typed.corrects && uuid !== typed.uuid);

		mountAttach(root, { pack, bond, words, settings, made: [...others, one] },
			{ save, leave }, blank(values));
	}
}
