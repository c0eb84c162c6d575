import { SOON } from '../api.js';
import { doerToSend } from '../logic/doer.js';
import { firstSaved } from '../logic/instant.js';
import { drafts, dropDraft, entries, keepDraft, watchKept } from '../logic/kept.js';
import { isMine, queueLinks, waitingWords } from '../logic/queue.js';
import { newUuid } from '../logic/uuid.js';
import { zoneHere } from './device.js';
import { holdForm } from './form-lock.js';
import { clearProblem, showNotice, showProblem } from './problems.js';
import { answerTo, keptNow, record, send, serveQueue } from './queue.js';
import { queueHead } from './queue-head.js';
import { darkSwitch, may, me, whoIs } from './session.js';
import { undoable } from './undo.js';

const $ = (selector) => document.querySelector(selector);
const CUT_MS = 2000;   // an answer that was cut off so soon may be there at once
const WRITES_MOST = 3;   // of a draft at once; what is typed meanwhile is written after them

/**
 * A form that records one thing of a bond at the track, and its result: the draft that is kept
 * while it is typed, saving, the queue, what the server refused, another person, another page. The
 * page has a form, a .result and an .undo in its main, and the .state of its head.
 *
 * @param {object} kind  what is recorded:
 *	what: the list of the API that it goes to; noun: its name; did: what its doer did; doer: the
 *	member of the form that names the doer; bond_id;
 *	load(): what the page needs, else it throws; then label() names the bond;
 *	blank({zone}): the values of a new form; write(values); read(): the values in it;
 *	body(values): {body, errors}; at(values, zone): when it was done, or undefined;
 *	typing(event): what else changes with a key or a tap; kept(values): it was saved;
 *	find(field, detail): the input of a wrong one, findSent: of one that the server names;
 *	clear(): the result as it is before there is one; later: what is said of one that waits;
 *	answered(answer, entry): shows the server's answer, and gives its words
 * @returns what the page asks of it: changed(), goOn(values, said), typed(), shown()
 */
export function recordForm(kind) {
	const form = $('form');
	const result = $('main > .result');
	const draft = draftOf(kind, showState);
	let person = null, zone = null;
	let typed = null;   // what stands in the form, with its id; null: it takes nothing in yet
	let shown = null;   // the entry that the result speaks of
	let taken = null;   // the id under which something else was recorded already
	let isSaving = false, turn = 0;

	async function start() {
		darkSwitch();
		queueHead($('.state > .queue'));
		for (const link of document.querySelectorAll('.back'))
			link.href = `/bonds/${kind.bond_id}`;
		[person, zone] = await Promise.all([whoIs(), zoneHere(SOON), kind.load()]);
		await takeUp();
		delete form.dataset.state;
		watchKept(told);
		if (person && !may(person, 'inspect')) {
			showNotice(form.querySelector('.notice'), `You are signed in as ${person.name}, who ` +
				`may read, not record. Somebody of a crew, or a planner, has to sign in.`);
			form.querySelector('button.main').disabled = true;
		}
		showState();
		serveQueue();
	}

	function write(values) {
		typed = values;
		draft.begin();
		kind.write(values);
	}

	/** The form goes on where it was left: with the draft, what was refused, or a new one. */
	async function takeUp() {
		const { old, refused, isElsewhere } = await leftHere(kind, me()?.id);

		write(old?.typed ?? refused?.typed ?? newOne());
		await holdForm(typed.uuid);
		if (isElsewhere)
			showNotice(form.querySelector('.notice'), `What was begun here is open on another ` +
				`page of this device: go on there. What you type here is another ${kind.noun}.`);
		if (old) {
			draft.isKept = true;
			takeOver(old);
		}
		if (refused)
			showProblem(form, refused.problem, kind.findSent);
	}

	/** Another than who began it goes on with it: then that is who did it. */
	function takeOver({ person: by }) {
		if (!by?.name || !person || by.id === person.id)
			return;
		if (typed[kind.doer] === by.name)
			write({ ...typed, [kind.doer]: person.name });
		draft.isKept = true;
		showNotice(form.querySelector('.notice'), `${by.name} began this on this tablet. It is ` +
			`kept as it was left, but now you enter it, and it says that you ${kind.did}. Put ` +
			`the other name there if that is not so.`);
	}

	function newOne(values = {}) {
		return { uuid: newUuid(), ...kind.blank({ zone, name: me()?.name ?? '' }), ...values };
	}

	function read() {
		return { ...typed, bond_id: kind.bond_id, ...kind.read() };
	}

	/** Every change is kept at once. */
	function changed() {
		if (!typed)
			return;
		typed = read();
		if (!isSaving)
			draft.keep(typed);
	}

	async function save() {
		if (isSaving || !typed)
			return;
		clearProblem(form);
		typed = read();
		const { body, errors } = kind.body(typed);
		if (errors.length) {
			showProblem(form, { errors }, kind.find);
			return;
		}
		isSaving = true;
		try {
			await saveNow(body);
		} finally {
			isSaving = false;
			showState();
		}
	}

	async function saveNow(body) {
		if (taken === typed.uuid)
			typed.uuid = newUuid();
		typed.saved_ms = firstSaved(typed, Date.now());
		body.at = kind.at(typed, zone);
		body[kind.doer] = doerToSend(typed[kind.doer], me()) || undefined;
		const entry = { uuid: typed.uuid, what: kind.what, bond_id: kind.bond_id,
			label: kind.label(), body, typed };
		try {
			const answer = await recordNow(entry);
			if (!shown)
				await saved(entry);   // the device could not keep it, and the server has it
			received(answer);
		} catch (problem) {
			failed(problem, entry);
		}
	}

	function recordNow(entry) {
		const began = Date.now();

		return record(entry, () => saved(entry)).catch((problem) => {
			if (problem.isKept && problem.status === 0 && Date.now() - began < CUT_MS)
				return answerTo(entry.uuid);
			throw problem;
		});
	}

	function saved(entry) {
		shown = entry;
		draft.end();
		kind.kept(typed);
		showResult('Saved on this tablet, sending …', '');
	}

	function received(answer) {
		const words = showResult('Saved on the server', '') && kind.answered(answer, shown);

		showNotice(result.querySelector('.why'), words ?? '');
		result.querySelector('.why').dataset.kind = '';
		dropDraft(shown.uuid).catch(() => {});   // (where it could not be kept it may be there)
	}

	function failed(problem, entry) {
		if (problem.isKept && problem.passing) {
			showResult('Not sent yet: kept on this tablet',
				`${problem.detail} It is sent by itself when the server answers${kind.later}.`,
				problem.status);
			return;
		}
		if (problem.status === 409)
			taken = entry.uuid;
		shown = null;
		result.hidden = true;
		form.hidden = false;
		if (!problem.passing)
			draft.keep(typed);
		showProblem(form, problem, problem.passing ? undefined : kind.findSent);
	}

	/* What the server said later of what is shown, or in another tab. */
	function told(said) {
		if (said && said.uuid === shown?.uuid && !isSaving) {
			if (said.problem)
				failed({ ...said.problem, isKept: true }, shown);
			else
				received(said.answer ?? {});
		}
		showState();
	}

	/** False: it says that already. */
	function showResult(title, why, status = 0) {
		form.hidden = true;
		if (!result.hidden && result.querySelector('h2').textContent === title && why &&
			result.querySelector('.why').textContent.startsWith(why))
			return false;
		result.hidden = false;
		kind.clear();
		result.querySelector('h2').textContent = title;
		showNotice(result.querySelector('.why'), why, status);
		result.querySelector('.why').dataset.kind = '';
		$('.undo').hidden = true;
		result.focus();
		scrollTo(0, 0);
		return true;
	}

	/** Another one, in the same form. */
	function goOn(values, said = '') {
		shown = null;
		result.hidden = true;
		form.hidden = false;
		write(newOne(values));
		holdForm(typed.uuid);
		showState();
		showNotice(form.querySelector('.notice'), said);
		scrollTo(0, 0);
	}

	async function showState() {
		const mine = ++turn;
		const kept = await keptNow().catch(() => null);

		if (mine !== turn || !typed)
			return;
		$('.state > .words').textContent = [
			!kept || draft.hasFailed ? 'This tablet cannot keep what you type (its storage is ' +
				'full or switched off): save before you leave this page.'
				: draft.isKept && 'Not sent yet: kept on this tablet.',
			kept && waitingWords(kept)
		].filter(Boolean).join(' ') ||
			(shown ? 'Saved on the server.' : 'Nothing is waiting to be sent.');
		/* (to the eye the links say it) */
		$('.state > .words').classList.toggle('unseen',
			Boolean(kept) && !draft.hasFailed && queueLinks(kept).length > 0);
		for (const button of document.querySelectorAll('.send-now'))
			button.hidden = !kept?.saved.length;
	}

	function startAgain() {
		const before = read();

		dropDraft(before.uuid).catch(() => {});
		write(newOne());
		holdForm(typed.uuid);
		undoable('The form is empty again.', () => {
			write(before);
			changed();
		});
		scrollTo(0, 0);
	}

	form.addEventListener('input', (e) => {
		kind.typing(e);
		changed();
	});
	form.addEventListener('submit', (e) => e.preventDefault());
	form.querySelector('button.main').addEventListener('click', save);
	form.querySelector('.again').addEventListener('click', startAgain);
	for (const button of document.querySelectorAll('.send-now'))
		button.addEventListener('click', send);

	start().catch((problem) => {
		showNotice(form.querySelector('.notice'), problem.detail ?? problem.message,
			problem.status);
		$('.state > .words').textContent = 'The form cannot be opened without the server.';
	});
	return { changed, goOn, typed: () => typed, shown: () => shown };
}

/** What was left of this form here: the newest draft that no other page has, or what was
 * refused. */
async function leftHere({ what, bond_id: id }, personId) {
	const wanted = new URLSearchParams(location.search).get('entry');
	const isHere = (one) => one.what === what && String(one.bond_id) === String(id);
	const [all, kept] = await Promise.all([drafts(), entries()]).catch(() => [[], []]);
	const here = all.filter(isHere).sort((a, b) => (b.uuid === wanted) - (a.uuid === wanted));
	const refused = kept.filter((one) => isHere(one) && one.state === 'refused' &&
		isMine(one, personId)).sort((a, b) => (b.uuid === wanted) - (a.uuid === wanted));
	let old = null;

	for (const one of here) {
		if (refused[0]?.uuid === wanted && one.uuid !== wanted)
			break;   // that one is asked for, and has no draft
		if (await holdForm(one.uuid)) {
			old = one;
			break;
		}
	}
	return { old, isElsewhere: here.length > 0 && !old,
		refused: refused.find((one) => !old || one.uuid === old.uuid) };
}

/** The draft of a form: the newest that was typed is on the disk, or is being written. */
function draftOf(kind, told) {
	const draft = { isKept: false, hasFailed: false, begin, keep, end };
	let writing = 0, behind = null, round = 0;

	function begin() {
		round++;
		behind = null;
		draft.isKept = false;
	}

	function end() {
		begin();
		draft.hasFailed = false;
	}

	async function keep(typed) {
		const mine = round;

		if (writing >= WRITES_MOST) {
			behind = typed;
			return;
		}
		writing++;
		const by = me();
		const isKept = await keepDraft({ uuid: typed.uuid, what: kind.what, bond_id: kind.bond_id,
			label: kind.label(), page: location.pathname, typed, at_ms: Date.now(),
			person: by && { id: by.id, name: by.name } }).then(() => true, () => false);
		writing--;
		if (mine === round) {
			const isNews = draft.hasFailed === isKept || draft.isKept !== isKept;
			draft.hasFailed = !isKept;
			draft.isKept ||= isKept;
			if (isNews)
				told();
		}
		writeBehind();
	}

	function writeBehind() {
		const next = behind;

		behind = null;
		if (next)
			keep(next);
	}

	addEventListener('pagehide', () => {
		writing = 0;
		writeBehind();
	});
	return draft;
}
