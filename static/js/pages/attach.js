import { get, getAll, getWords } from '../api.js';
import { bondOf } from '../logic/address.js';
import { CHECKS, acceptanceQuestion, acceptedWords, attachmentBody,
	readMeasure } from '../logic/attachment.js';
import { dayOf } from '../logic/day.js';
import { doerToSend } from '../logic/doer.js';
import { alikeWords } from '../logic/ends.js';
import { atToSend, dayIn, firstSaved } from '../logic/instant.js';
import { isBegun } from '../logic/number.js';
import { askSpot, offsetText, railMarks, usualOffset } from '../logic/rail.js';
import { newUuid } from '../logic/uuid.js';
import { choices } from '../parts/choices.js';
import { doerField } from '../parts/doer-field.js';
import { verdictSign } from '../parts/grade-sign.js';
import { draft, dropDraft, dropUnsent, keepDraft, keepLastUsed, keepSession, keepUnsent, lastUsed,
	unsent } from '../parts/kept.js';
import { clearProblem, showNotice, showProblem } from '../parts/problems.js';
import { railDrawing } from '../parts/rail-drawing.js';
import { rulesHere } from '../parts/rules-here.js';
import { isMine, isTablet, sender, zoneHere } from '../parts/sender.js';
import { darkSwitch, may, whoIs } from '../parts/session.js';
import { showQueue, undoable } from '../parts/tablet-form.js';
import { fill, make, stamp } from '../parts/template.js';

const $ = (selector) => document.querySelector(selector);
const form = $('form');
const result = $('main > .result');
const id = bondOf(location.pathname);
const DRAFT = `${id}/attach`;
const WHAT = 'attachments';

const PLAIN = ['offset_mm', 'made_day', 'person', 'batch', 'note',
	...CHECKS.filter(([, , type]) => type === 'figure').map(([, member]) => member)];
const CHOSEN = ['end', 'method', 'kit',
	...CHECKS.filter(([, , type]) => type === 'flag').map(([, member]) => member)];
const UNITS = { arc_s: 'Arc, s', hold_s: 'Held still after it, s',
	stub_mm: 'Stub left standing, mm' };
const SHAPES = { good: 'within', bad: 'over', not_recorded: 'none' };

let words, bond, person, zone;
let rails = null;  // by end, what is on record of the rail; null: not known here
let rules = null;  // null: this tablet cannot judge
let typed, shown = null, kept = true, free = null, asked = null;

const { send } = sender(told);

/** Who is signed in, or was when the server last answered. */
const me = () => person ?? (lastUsed('session') || null);
const showDoer = doerField(form.elements.person, me);

async function start() {
	darkSwitch();
	for (const link of document.querySelectorAll('.back'))
		link.href = `/bonds/${id}`;
	[person, words, bond, zone] = await Promise.all([whoIs(), getWords(), get(`/api/bonds/${id}`),
		zoneHere()]);
	if (person)
		keepSession(person);
	const [kits] = await Promise.all([getAll('kits', '').catch(() => ({ rows: [] })),
		learnRails().catch(() => {}),
		rulesHere().then((known) => { rules = known; }, () => {})]);
	head();
	offer(kits.rows);
	takeUp();
	if (person && !may(person, 'inspect')) {
		showNotice(form.querySelector('.notice'), `You are signed in as ${person.name}, who may ` +
			`read, not record. Somebody of a crew, or a planner, has to sign in.`);
		form.querySelector('button.main').disabled = true;
	}
	send();
}

async function learnRails() {
	const { ends } = await get(`/api/bonds/${id}/rail`);
	rails = Object.fromEntries(ends.map((one) => [one.end, one]));
}

function head() {
	$('.removed').hidden = bond.status !== 'removed';
	document.title = `Attach ${bond.label}, ${bond.line.name} · bondbook`;
	fill(document.body, {
		label: bond.label, alike: alikeWords(bond), place: [words.bond_kind.get(bond.kind),
			bond.line.name, bond.chainage].filter(Boolean).join(' · ')
	});
	result.querySelector('.commission').href = `/bonds/${id}/inspect?purpose=commissioning`;
}

const group = (name) => form.querySelector(`[data-name="${name}"]`);

function offer(kits) {
	const used = lastUsed('kit');
	const offered = kits.map(({ code, name }) => [code, `${code} ${name}`])
		.sort((a, b) => (b[0] === used) - (a[0] === used));

	choices(group('end'), 'end', bond.ends.map(({ end, words: long }) => [end, long]));
	choices(group('method'), 'method', words.attach_method);
	choices(group('kit'), 'kit', [...offered, ['', 'none, or not known']]);
	form.querySelector('.kits').hidden = offered.length === 0;
	form.querySelector('.checks').replaceChildren(...CHECKS.map(([check, member, type]) => {
		const el = type === 'flag'
			? stamp('flag', { title: capital(words.acceptance_check.get(check)) })
			: stamp('figure', { title: UNITS[member] });
		el.dataset.check = check;
		if (type === 'flag')
			choices(el.querySelector('.choices'), member,
				[['yes', 'yes'], ['no', 'no'], ['', 'not recorded']]);
		else {
			Object.assign(el.querySelector('input'), { name: member, id: member });
			el.querySelector('label').htmlFor = member;
		}
		return el;
	}));
}

const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);

/** The form goes on where it was left: what was refused, then the draft, then a new one. */
function takeUp() {
	const old = draft(DRAFT);
	const refused = !old && unsent().find((item) => item.what === WHAT && item.bond_id === id &&
		item.refused && isMine(item, person?.id));

	write(old ?? refused?.typed ?? blank());
	if (refused) {
		kept = keepDraft(DRAFT, typed);
		if (kept)
			dropUnsent(refused.uuid);
		showProblem(form, refused.refused);
	} else if (old?.begun_by && person && old.begun_by.id !== person.id) {
		if (typed.person === old.begun_by.name)
			write({ ...typed, person: person.name });
		showNotice(form.querySelector('.notice'), `${old.begun_by.name} began this on this ` +
			`tablet. It is kept as it was left, but now you enter it, and it says that you made ` +
			`it. Put the other name there if that is not so.`);
	}
	showState();
}

function blank() {
	const end = new URLSearchParams(location.search).get('end');
	const flags = Object.fromEntries(CHECKS.filter(([, , type]) => type === 'flag')
		.map(([, member]) => [member, '']));
	return {
		...flags, uuid: newUuid(), made_day: dayIn(zone, Date.now()) ?? dayOf(new Date()),
		end: ['a', 'b'].includes(end) ? end : '', method: lastUsed('method') || 'brazed_pin',
		person: me()?.name ?? '', kit: lastUsed('kit'), batch: lastUsed('batch'), corrects: ''
	};
}

/** Values into the form. */
function write(values) {
	typed = values;
	for (const name of PLAIN)
		form.elements[name].value = values[name] ?? '';
	for (const name of CHOSEN) {
		for (const input of form.querySelectorAll(`input[name="${name}"]`))
			input.checked = input.value === values[name];
	}
	judge();
}

/** What stands in the form. */
function read() {
	return {
		...typed, bond_id: id,
		...Object.fromEntries(PLAIN.map((name) => [name, form.elements[name].value])),
		...Object.fromEntries(CHOSEN.map((name) => [name,
			form.querySelector(`input[name="${name}"]:checked`)?.value]))
	};
}

/** Every change is kept, and judged, at once. */
function changed() {
	typed = { ...read(), begun_by: me() };
	kept = keepDraft(DRAFT, typed);
	judge();
	showState();
}

function judge() {
	const values = read();
	showDoer();
	judgeSpot(values);
	judgeChecks(values);
}

/** The spot on the rail: warned of here when it is spoilt, with the next free one to take by one
 * tap. */
function judgeSpot({ end, offset_mm, corrects }) {
	const onRail = bond.ends.find((one) => one.end === end)?.on === 'rail';
	const rail = onRail && rules && rails?.[end];
	const marks = rail ? railMarks(rail, bond.id, corrects) : [];
	const { value, problem } = readMeasure('offset_mm', offset_mm);
	const here = Number.isInteger(value) ? value : null;

	form.querySelector('.spot').hidden = !onRail;
	form.querySelector('.spot > .unknown').hidden = !onRail || Boolean(rail);
	free = rail ? askSpot(rules, marks, rail.place, here ?? usualOffset(rail.place)) : null;
	const drawn = free && rail.place.rail_known;
	form.querySelector('.spot > .rail').hidden = !drawn;
	form.querySelector('.spot > .result').hidden = !free;
	form.querySelector('.spot > .side').hidden = !free || rail.side === 'none';
	form.querySelector('.spot > .side').textContent = rail
		? `${capital(words.joint_side.get(rail.side))}.` : '';
	form.querySelector('.spot > .unknowns').replaceChildren(...(free ? free.unknowns : [])
		.map(({ sentence }) => make('li', sentence)));
	if (drawn)
		railDrawing(form.querySelector('.spot > .rail'),
			{ marks, place: rail.place, clearances: free.clearances, next_mm: free.next_free_mm ??
			null, wanted_mm: here, blocked: here !== null && !free.is_free }, words);
	if (free)
		showSpot(here, problem && !isBegun(offset_mm) ? problem : '');
	const offered = free && free.next_free_mm !== undefined && free.next_free_mm !== here;
	form.querySelector('.take').hidden = !offered;
	form.querySelector('.take').textContent = offered
		? `Take the next free place: ${offsetText(free.next_free_mm)}` : '';
}

/* What is not free can be saved all the same, when that is where it was made. */
function showSpot(here, problem) {
	const result = form.querySelector('.spot > .result');
	const wrong = here !== null && !free.is_free;

	showSign(result.querySelector('.verdict'), here !== null && (free.is_free ? 'within' : 'over'),
		free.is_free ? 'Free' : free.is_taken ? 'Not here: this spot is spoilt' : 'Not here');
	result.querySelector('.means').textContent = here === null ? problem ||
		'Say where it goes; the rail drawing shows what must be kept clear.' : free.sentence;
	result.querySelector('.kept-so').textContent = !wrong ? '' : free.is_taken
		? 'If it was made here all the same, save it as it is: it is not accepted, and the ' +
			'planner is shown it.'
		: 'If it was made here all the same, save it as it is.';
}

/** Only the checks of the method are asked; each is judged as it is answered. */
function judgeChecks(values) {
	asked = rules && values.method
		? rules.ask('acceptance', acceptanceQuestion(values, takenHere(values))) : null;
	for (const el of form.querySelectorAll('[data-check]'))
		el.hidden = Boolean(asked) && !asked.checks.some(({ check }) => check === el.dataset.check);
	form.querySelector('.accept > .notice').textContent = rules ? ''
		: 'This tablet cannot judge the checks now: the server does when they arrive.';
	form.querySelector('.accept > .result').hidden = !asked;
	if (!asked)
		return;
	showAcceptance(form.querySelector('.accept > .result'), asked);
	form.querySelector('.accept > .result > .means').textContent = asked.spoils_spot
		? againWords(values) : asked.asked ?? '';
}

/* undefined where the spot is not known. */
function takenHere({ offset_mm }) {
	return free && free.is !== 'rail_not_known' &&
		Number.isInteger(readMeasure('offset_mm', offset_mm).value) ? free.is_taken : undefined;
}

/** Where it can be done again: what cannot be mended spoils its spot. */
function againWords({ end, offset_mm, corrects }) {
	const { value } = readMeasure('offset_mm', offset_mm);

	if (!free || !Number.isInteger(value))
		return 'Record it as it is, then make another one clear of this spot.';
	const { next_free_mm: next } = askSpot(rules, [...railMarks(rails[end], bond.id, corrects),
		{ kind: 'spoilt', offset_mm: value }], rails[end].place, value);
	return `Record it as it is, then make another one${next === undefined ? ' clear of this spot'
		: `: the next free place is then ${offsetText(next)}`}.`;
}

function showAcceptance(el, answer) {
	const { verdict, title } = acceptedWords(answer);
	const said = answer.checks.filter(({ is, check }) => is !== 'not_recorded' ||
		check !== 'reading');

	showSign(el.querySelector('.verdict'), verdict, title);
	el.querySelector('.said').replaceChildren(...said.map(({ is, sentence }) => {
		const li = make('li');
		verdictSign(li, SHAPES[is], sentence);
		return li;
	}));
}

function showSign(el, verdict, title) {
	el.hidden = !verdict;
	if (verdict && el.textContent !== title)
		verdictSign(el, verdict, title);
}

function showState() {
	showQueue({ isKept: kept, hasDraft: draft(DRAFT) !== null, isShown: shown !== null },
		person?.id);
}

async function save() {
	clearProblem(form);
	typed = read();
	const { body, errors } = attachmentBody(typed, asked && asked.checks.map(({ check }) => check));
	if (typed.end && bond.ends.find(({ end }) => end === typed.end).on !== 'rail')
		delete body.offset_mm;
	if (errors.length) {
		showProblem(form, { errors });
		return;
	}
	typed.saved_ms = firstSaved(typed, Date.now());
	body.at = atToSend(typed.saved_ms, typed.made_day, { zone, isTablet: isTablet() });
	body.person = doerToSend(typed.person, me()) || undefined;
	const item = { what: WHAT, uuid: typed.uuid, bond_id: id, label: bond.label,
		person_id: me()?.id ?? null, body, typed, refused: null };
	if (!keepUnsent(item)) {
		kept = false;
		showProblem(form, { detail: 'This tablet cannot keep the attachment: its storage is full ' +
			'or switched off. Free some space, then save again; what you typed is still here.' });
		return;
	}
	dropDraft(DRAFT);
	kept = true;
	for (const name of ['kit', 'batch', 'method'])
		keepLastUsed(name, typed[name]);
	shown = item;
	showResult('Saved on this tablet, sending …', '');
	await send();
	await send();   // a run that was under way did not know of this one
}

/** What the server said of one item; null: nothing more to try. */
function told(event) {
	if (event && event.item.uuid === shown?.uuid) {
		if (event.answer)
			showSaved(event.answer);
		else if (event.problem.passing)
			showResult('Not sent yet: kept on this tablet',
				`${event.problem.detail} It is sent by itself when the server answers.`,
				event.problem.status);
		else
			refuse(event.item, event.problem);
	}
	if (words)
		showState();
}

function showSaved({ acceptance, spot, grade }) {
	showResult('Saved on the server', [grade && `The bond is graded ` +
		`${words.grade.get(grade.grade)}${grade.because ? `: ${grade.because}` : ''}.`, spot,
		acceptance?.asked].filter(Boolean).join(' '));
	if (acceptance)
		showAcceptance(result, acceptance);
	result.querySelector('.mended').hidden = acceptance?.accepted !== 'not_accepted' ||
		acceptance.spoils_spot;
	result.querySelector('.commission').hidden = acceptance?.accepted === 'not_accepted';
	result.querySelector('.next').hidden = false;
}

function refuse(item, problem) {
	dropUnsent(item.uuid);
	kept = keepDraft(DRAFT, item.typed);
	shown = null;
	result.hidden = true;
	form.hidden = false;
	showProblem(form, problem);
}

function showResult(title, why, status = 0) {
	form.hidden = true;
	result.hidden = false;
	result.querySelector('h2').textContent = title;
	showNotice(result.querySelector('.why'), why, status);
	result.querySelector('.why').dataset.kind = '';
	result.querySelector('.said').replaceChildren();
	for (const el of result.querySelectorAll('.verdict, .commission, .mended, .next'))
		el.hidden = true;
	$('.undo').hidden = true;
	result.focus();
	scrollTo(0, 0);
}

form.addEventListener('input', changed);
form.addEventListener('click', (e) => {
	if (e.target.matches('.sign')) {
		const input = e.target.previousElementSibling;
		input.value = /^\s*[-\u2212]/.test(input.value) ? input.value.replace(/^\s*[-\u2212]/, '')
			: `-${input.value}`;
		changed();
	} else if (e.target.matches('.take')) {
		const before = form.elements.offset_mm.value;
		form.elements.offset_mm.value = free.next_free_mm;
		changed();
		form.elements.offset_mm.focus();
		undoable('The next free place is taken.',
			() => { form.elements.offset_mm.value = before; changed(); });
	} else if (e.target.matches('.again')) {
		const before = read();
		write(blank());
		dropDraft(DRAFT);
		showState();
		undoable('The form is empty again.', () => { write(before); changed(); });
		scrollTo(0, 0);
	}
});
form.addEventListener('submit', (e) => {
	e.preventDefault();
	save();
});
for (const button of document.querySelectorAll('.send-now'))
	button.addEventListener('click', send);
async function goOn(values) {
	await learnRails().catch(() => { rails = null; });
	shown = null;
	write(values);
	result.hidden = true;
	form.hidden = false;
	showState();
	showNotice(form.querySelector('.notice'), values.corrects
		? 'This replaces what was recorded before: change what was mended, then save.' : '');
	scrollTo(0, 0);
}
result.querySelector('.next').addEventListener('click', () => goOn({ ...blank(), end: typed.end }));
result.querySelector('.mended')
	.addEventListener('click', () => goOn({ ...typed, uuid: newUuid(), corrects: shown.uuid }));

start().catch((problem) => {
	showNotice(form.querySelector('.notice'), problem.detail ?? problem.message, problem.status);
	$('.state > .words').textContent = 'The form cannot be opened without the server.';
	form.querySelector('button.main').disabled = true;
});
