import { dropDraft, dropEntry, keepDraft, keepEntry, watchKept } from '../logic/kept.js';
import { momentWords } from '../logic/moment.js';
import { isMine, kindWords, standsWords } from '../logic/queue.js';
import { newUuid } from '../logic/uuid.js';
import { showField } from '../parts/fields.js';
import { showNotice, showProblem } from '../parts/problems.js';
import { keptNow, send, serveQueue } from '../parts/queue.js';
import { queueHead } from '../parts/queue-head.js';
import { darkSwitch, me, whoIs } from '../parts/session.js';
import { stamp } from '../parts/template.js';
import { undoable } from '../parts/undo.js';

const $ = (selector) => document.querySelector(selector);
const LISTS = ['refused', 'saved', 'unfinished', 'others', 'received'];

let all = [];   // the entries as they are shown
let answer = '';   // what the server said last that holds everything up

async function start() {
	darkSwitch();
	queueHead($('.state > .queue'));
	await whoIs();
	const person = me();
	$('.whose').textContent = person ? `Signed in as ${person.name}` : '';
	watchKept((said) => {
		if (said)
			answer = said.problem?.passing ? said.problem.detail : '';
		show();
	});
	await show();
	serveQueue();
	document.getElementById(location.hash.slice(1))?.scrollIntoView();
}

let turn = 0, shown = '';

async function show() {
	const mine = ++turn;
	const kept = await keptNow();

	if (mine !== turn || $('li > form:not([hidden])'))
		return;   // (what is being mended stays as it is typed)
	showState(kept);
	if (shown === JSON.stringify(kept))
		return;   // (the focus stays)
	shown = JSON.stringify(kept);
	all = [...kept.saved, ...kept.refused, ...kept.others];
	for (const list of LISTS)
		showList(list, kept[list]);
	for (const draft of kept.otherDrafts)
		$('#others > .kept').append(draftRow(draft));
	$('#others').hidden = $('#others > .kept').children.length === 0;
}

function showList(name, rows) {
	const section = document.getElementById(name);

	section.querySelector('.none').hidden = rows.length > 0;
	section.querySelector('.kept').replaceChildren(...rows.map((one) =>
		name === 'unfinished' ? draftRow(one) : entryRow(one, name)));
}

function showState({ saved, refused }) {
	$('.state > .words').textContent = saved.length > 0 ? answer : 'Nothing waits to be sent.';
	$('.send-now').hidden = saved.length === 0;
	document.title = `On this device · ${saved.length} saved, ${refused.length} refused`;
}


/* Where it is about a bond, that leads there. */
function row({ what, bond_id: bond, label, page }, when, stands) {
	const el = stamp('kept', { kind: kindWords(what), when, stands });
	const link = el.querySelector('a');

	link.textContent = label || (bond ? `bond ${bond}` : 'open the page');
	link.href = bond ? `/bonds/${bond}` : page;
	for (const button of el.querySelectorAll('.go-on, .mend, .drop'))
		button.hidden = true;
	return el;
}

function draftRow(draft) {
	const el = row(draft, `begun here, changed ${momentWords(draft.at_ms)}` +
		`${draft.person?.name ? `, ${draft.person.name}` : ''}`, '');

	goOn(el, draft, 'Go on');
	if (isMine(draft, me()?.id))   // what somebody else typed is not taken away
		offerDrop(el, () => dropDraft(draft.uuid), () => keepDraft(draft),
			'The draft is gone.');
	return el;
}

function entryRow(entry, list) {
	const { state, received_ms: received, saved_ms: saved, person: by } = entry;
	const el = row(entry, state === 'received' ? `received ${momentWords(received)}`
		: `saved ${momentWords(saved)}${list === 'others' && by?.name ? `, ${by.name}` : ''}`,
	list === 'received' ? '' : standsWords(entry, all));

	if (list === 'refused') {
		if (entry.fields)
			offerMend(el, entry);
		else
			goOn(el, entry, 'Mend');
		offerDrop(el, () => dropEntry(entry.uuid), () => putBack(entry), 'It is taken out: it ' +
			'will not be on record.');
	}
	return el;
}

function goOn(el, { page, uuid }, word) {
	const link = el.querySelector('.go-on');

	link.hidden = false;
	link.textContent = word;
	const to = new URL(page, location);

	to.searchParams.set('entry', uuid);   // (before the hash, if it has one)
	link.href = to;
}

function offerDrop(el, drop, undo, said) {
	const button = el.querySelector('.drop');

	button.hidden = false;
	button.addEventListener('click', async () => {
		await drop();
		undoable(said, () => undo().then(send, tell));
	});
}

/* It is sent again, and refused again, when nothing else is done. */
const putBack = (entry) => keepEntry(entry);

/** What was typed in a dialog is changed here. */
function offerMend(el, entry) {
	const button = el.querySelector('.mend');
	const form = el.querySelector('form');

	button.hidden = false;
	button.addEventListener('click', () => {
		button.hidden = true;
		form.querySelector('.fields').replaceChildren(...entry.fields.map(showField));
		form.hidden = false;
		showProblem(form, entry.problem);
	});
	form.addEventListener('submit', async (e) => {
		e.preventDefault();
		form.hidden = true;
		await mend(entry, new FormData(form)).then(send, (problem) => {
			form.hidden = false;
			tell(problem);
		});
	});
}

/* The id of what is kept on the server with other content is not used again. */
async function mend(entry, typed) {
	const fields = entry.fields.map((one) => ({ ...one, value: typed.get(one.name) ?? '' }));
	const changed = fields.filter(({ value }, i) => value !== (entry.fields[i].value ?? ''));
	const body = { ...entry.body,
		...Object.fromEntries(changed.map(({ name, value }) => [name, value || undefined])) };

	if (changed.some(({ type }) => type === 'date'))
		delete body.at;   // it was of the other day
	const uuid = entry.problem?.status === 409 ? newUuid() : entry.uuid;
	await keepEntry({ ...entry, uuid, fields, body });
	if (uuid !== entry.uuid)
		await dropEntry(entry.uuid);
}

const tell = (problem) => showNotice($('main > .notice'),
	problem.detail ?? 'This device can keep nothing now: its storage is full or switched off.');

$('.send-now').addEventListener('click', send);
start().catch(tell);
