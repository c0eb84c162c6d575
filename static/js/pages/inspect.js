import { get, getAll, getBytes, getWords } from '../api.js';
import { bondOf } from '../logic/address.js';
import { dayOf } from '../logic/day.js';
import { alikeWords, placesOfFailure, wordsOfBond } from '../logic/ends.js';
import { inspectionBody, sentReading } from '../logic/inspection.js';
import { judgeReading } from '../logic/judge.js';
import { loadRules } from '../logic/rules.js';
import { newUuid } from '../logic/uuid.js';
import { choices } from '../parts/choices.js';
import { frame, may } from '../parts/frame.js';
import { showJudged } from '../parts/judged.js';
import { draft, dropDraft, dropUnsent, keepDraft, keepLastUsed, keepSession, keepUnsent, lastUsed, unsent } from '../parts/kept.js';
import { clearProblem, showNotice, showProblem } from '../parts/problems.js';
import { readingCard } from '../parts/reading-card.js';
import { isMine, sender } from '../parts/sender.js';
import { fill } from '../parts/template.js';

const $ = (selector) => document.querySelector(selector);
const form = $('form');
const result = $('main > .result');
const cards = $('.readings');
const id = bondOf(location.pathname);

const PLAIN = ['day', 'inspector', 'note', 'failure_cause'];
const CHOSEN = ['outcome', 'purpose', 'seen_a', 'seen_b', 'instrument_id', 'failed', 'failure_mode', 'failure_end'];

let words, bond, person;
let rules = null, known = null; // what this tablet judges with; null: it cannot
let typed;        // what stands in the form, with its uuid
let shown = null; // the item that the result speaks of
let kept = true;  // false: this tablet could not keep the last change

const { send } = sender(() => person?.id ?? null, told);

async function start() {
	for (const link of document.querySelectorAll('.back'))
		link.href = `/bonds/${id}`;
	let instruments;
	[person, words, bond, instruments] = await Promise.all([frame(), getWords(), get(`/api/bonds/${id}`),
		getAll('instruments', '').catch(() => ({ rows: [] })), prepareToJudge().catch(cannotJudge)]);
	words = wordsOfBond(bond, words);
	if (person)
		keepSession(person);
	head();
	offer(instruments.rows);
	takeUp();
	if (person && !may(person, 'inspect')) {
		showNotice(form.querySelector('.notice'), `You are signed in as ${person.name}, who may read, not record. Somebody of a crew, or a planner, has to sign in.`);
		form.querySelector('button.main').disabled = true;
	}
	send();
}

/** The rules themselves, the rulebook in force, and what is known of the bond. */
async function prepareToJudge() {
	const [module, { rulebook }, facts] = await Promise.all([
		loadRules(getBytes($('link[href$=".wasm"]').href)), get('/api/rulebook'), get(`/api/bonds/${id}/tablet`)]);

	module.adopt(rulebook);
	[rules, known] = [module, facts];
}

function cannotJudge(problem) {
	console.info('no verdict here:', problem.message);
	$('.measured > .notice').textContent = 'This tablet cannot judge readings now: the server does when they arrive.';
}

/** The rules' answer to one reading as it is typed; typing goes on whatever they say. */
function judge(reading) {
	const chosen = (name) => form.querySelector(`input[name="${name}"]:checked`)?.value;

	try {
		return rules && judgeReading(rules, known, { ...reading, instrument_id: Number(chosen('instrument_id')) || undefined },
			{ day: form.elements.day.value || dayOf(new Date()), purpose: chosen('purpose') });
	} catch (problem) {
		rules = null;
		cannotJudge(problem);
		return null;
	}
}

/** The newest evidence of a quantity, to stand beside the field. */
function lastOf(quantity) {
	const last = known?.last?.[quantity];
	return last ? { ...last, verdict_title: words.verdict.get(last.verdict) } : null;
}

function head() {
	$('.removed').hidden = bond.status !== 'removed';
	document.title = `Inspect ${bond.label}, ${bond.line.name} · bondbook`;
	fill(document.body, {
		label: bond.label,
		place: [words.bond_kind.get(bond.kind), bond.line.name, bond.chainage].filter(Boolean).join(' · '),
		...Object.fromEntries(bond.ends.flatMap(({ end, short, words: long }) => [[`end_${end}`, capital(short)], [`place_${end}`, long]])),
		alike: alikeWords(bond)
	});
}

const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);

function offer(instruments) {
	const used = lastUsed('instrument');
	const offered = instruments.map((one) => [String(one.id), instrumentWords(one)])
		.sort((a, b) => (b[0] === used) - (a[0] === used));
	const group = (name, pairs, chosen) => choices(form.querySelector(`[data-name="${name}"]`), name, pairs, chosen);

	group('outcome', words.outcome);
	group('purpose', words.purpose, 'routine');
	group('seen_a', words.seen);
	group('seen_b', words.seen);
	group('instrument_id', offered, used);
	group('failed', [['no', 'no'], ['yes', 'yes, it failed']], 'no');
	group('failure_mode', words.failure_mode);
	group('failure_end', placesOfFailure(bond), '');
	form.querySelector('.instruments').hidden = offered.length === 0;
}

/* What it measures is no evidence when its calibration has run out. */
function instrumentWords({ serial, name, calibration_due_day: until }) {
	return `${serial} ${name}${until && until < dayOf(new Date()) ? `, calibration ended ${until}` : ''}`;
}

/** The form goes on where it was left: what was refused, then the draft, then a new one. */
function takeUp() {
	const old = draft(id);
	const refused = !old && unsent().find((item) => !item.what && item.bond_id === id && item.refused && isMine(item, person?.id));

	write(old ?? refused?.typed ?? blank());
	if (refused) {
		kept = keepDraft(id, typed);
		if (kept)
			dropUnsent(refused.uuid);
		showProblem(form, refused.refused, findSent);
	} else if (old?.person && person && old.person.id !== person.id) {
		showNotice(form.querySelector('.notice'), `${old.person.name} began this on this tablet. It is kept as it was left; the name of who inspected stays theirs.`);
	}
	showState();
}

function blank() {
	return {
		uuid: newUuid(), failure_uuid: newUuid(), day: dayOf(new Date()), purpose: new URLSearchParams(location.search).get('purpose') === 'commissioning' ? 'commissioning' : 'routine', failed: 'no', failure_end: '',
		inspector: lastUsed('person') || person?.name || '', instrument_id: lastUsed('instrument'), readings: [{}]
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
	cards.replaceChildren();
	for (const one of values.readings ?? [])
		addCard(one);
	adapt();
}

/** What stands in the form. */
function read() {
	const value = (name) => form.querySelector(`input[name="${name}"]:checked`)?.value;
	const instrument_id = value('instrument_id');
	return {
		...typed, bond_id: id,
		...Object.fromEntries(PLAIN.map((name) => [name, form.elements[name].value])),
		...Object.fromEntries(CHOSEN.map((name) => [name, value(name)])),
		readings: Array.from(cards.children, (card) => ({ ...card.typed(), instrument_id }))
	};
}

function addCard(values, before = null) {
	const card = readingCard(values, { words, judge, lastOf });

	cards.insertBefore(card, before);
	card.addEventListener('remove', () => {
		const next = card.nextElementSibling;
		card.remove();
		changed();
		undoable('Reading removed.', () => { cards.insertBefore(card, next); changed(); });
	});
	number();
	return card;
}

function number() {
	Array.from(cards.children).forEach((card, i) => card.number(i + 1));
}

/** Every change is kept at once. */
function changed() {
	number();
	adapt();
	typed = { ...read(), person: person ?? lastUsed('session') };
	kept = keepDraft(id, typed);
	showState();
}

function adapt() {
	for (const card of cards.children)
		card.judge();
	form.querySelector('.failure').hidden = form.querySelector('input[name="failed"]:checked')?.value !== 'yes';
}

function undoable(text, undo) {
	const bar = $('.undo');

	bar.querySelector('span').textContent = text;
	bar.hidden = false;
	bar.querySelector('button').onclick = () => {
		bar.hidden = true;
		undo();
	};
}

function showState() {
	const all = unsent();
	const mine = all.filter((item) => isMine(item, person?.id));
	const waiting = mine.filter((item) => !item.refused).length;
	const refused = mine.find((item) => item.refused);
	const others = all.length - mine.length;
	const said = [];

	if (!kept)
		said.push('This tablet cannot keep what you type (its storage is full or switched off): save before you leave this page.');
	else if (draft(id))
		said.push('Not sent yet: kept on this tablet.');
	if (waiting)
		said.push(`${waiting} saved on this tablet, not sent.`);
	if (refused)
		said.push(`The server refused what was recorded of ${refused.label}: open that bond's form to mend it.`);
	if (others)
		said.push(`${others} kept here for somebody else, who has to sign in to send.`);
	$('.state > .words').textContent = said.join(' ') || (shown ? 'Saved on the server.' : 'Nothing is waiting to be sent.');
	for (const button of document.querySelectorAll('.send-now'))
		button.hidden = waiting === 0;
}

async function save() {
	clearProblem(form);
	typed = read();
	const { body, errors } = inspectionBody(typed);
	if (errors.length) {
		showProblem(form, { errors }, findField);
		return;
	}
	const item = { uuid: typed.uuid, bond_id: id, label: bond.label, person_id: (person ?? lastUsed('session')).id ?? null, body, typed, refused: null };
	if (!keepUnsent(item)) {
		kept = false;
		showProblem(form, { detail: 'This tablet cannot keep the inspection: its storage is full or switched off. Free some space, then save again; what you typed is still here.' });
		return;
	}
	dropDraft(id);
	kept = true;
	keepLastUsed('instrument', typed.instrument_id);
	keepLastUsed('person', typed.inspector);
	shown = item;
	showResult('Saved on this tablet, sending …', '');
	await send();
	await send();   // a run that was under way did not know of this one
}

/** What the server said of one item; null: nothing more to try. */
function told(event) {
	if (event && event.item.uuid === shown?.uuid) {
		if (event.answer)
			showResult('Saved on the server', savedWords(event.answer), 0, event.answer);
		else if (event.problem.passing)
			showResult('Not sent yet: kept on this tablet', `${event.problem.detail} It is sent by itself when the server answers, and can be corrected after that.`, event.problem.status);
		else
			refuse(event.item, event.problem);
	}
	if (words)
		showState();
}

function savedWords({ due }) {
	return due?.due_day ? `Next inspection due ${due.due_day}.${due.reason ? ` ${due.reason}` : ''}` : '';
}

function refuse(item, problem) {
	dropUnsent(item.uuid);
	kept = keepDraft(id, item.typed);
	shown = null;
	result.hidden = true;
	form.hidden = false;
	showProblem(form, problem, findSent);
}

function showResult(title, why, status = 0, answer = {}) {
	form.hidden = true;
	result.hidden = false;
	result.querySelector('h2').textContent = title;
	showNotice(result.querySelector('.why'), why, status);
	result.querySelector('.why').dataset.kind = '';
	showJudged(result.querySelector('.judged'), answer, words);
	result.querySelector('.correct').hidden = title !== 'Saved on the server';
	$('.undo').hidden = true;
	result.focus();
	scrollTo(0, 0);
}

/** The input of a problem's field: "readings[1].current_a", "failure.mode", "day". */
function findField(field, place = (index) => index) {
	const [, index, name] = field.match(/^readings\[(\d+)\](?:\.(.+))?$/) ?? [];

	if (index !== undefined) {
		const card = cards.children[place(Number(index))];
		return card?.querySelector(`[data-field="${name}"]`) ?? card?.querySelector(`[data-name="${name}"] input`) ?? card?.querySelector('.figures .field:not([hidden]) input');
	}
	const own = field.replace('failure.', 'failure_');
	return form.querySelector(`[name="${own}"]`);
}

/** The same for a field that the server names: it counts the readings that were sent. */
const findSent = (field) => findField(field, (index) => sentReading(typed.readings, index));

form.addEventListener('input', changed);
form.addEventListener('click', (e) => {
	if (e.target.matches('.add')) {
		const last = cards.lastElementChild?.typed();
		addCard({ method: last?.method, way: last?.way, temp_c: last?.temp_c }).querySelector('input').focus();
		changed();
	} else if (e.target.matches('.again')) {
		const before = read();
		write(blank());
		dropDraft(id);
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
result.querySelector('.correct').addEventListener('click', () => {
	write({ ...shown.typed, uuid: newUuid(), corrects: shown.uuid });
	shown = null;
	result.hidden = true;
	form.hidden = false;
	changed();
	$('h1').scrollIntoView();
});

start().catch((problem) => {
	showNotice(form.querySelector('.notice'), problem.detail ?? problem.message, problem.status);
	$('.state > .words').textContent = 'The form cannot be opened without the server.';
	form.querySelector('button.main').disabled = true;
});
