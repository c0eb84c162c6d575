import { get, getAll, getWords, SOON } from '../api.js';
import { bondOf } from '../logic/address.js';
import { CHECKS, acceptanceQuestion, acceptedWords, attachmentBody,
	readMeasure } from '../logic/attachment.js';
import { dayOf } from '../logic/day.js';
import { alikeWords } from '../logic/ends.js';
import { atToSend, dayIn } from '../logic/instant.js';
import { isBegun } from '../logic/number.js';
import { askSpot, offsetText, railMarks, usualOffset } from '../logic/rail.js';
import { newUuid } from '../logic/uuid.js';
import { choices } from '../parts/choices.js';
import { isTablet } from '../parts/device.js';
import { doerField } from '../parts/doer-field.js';
import { verdictSign } from '../parts/grade-sign.js';
import { keepLastUsed, lastUsed } from '../parts/last-used.js';
import { railDrawing } from '../parts/rail-drawing.js';
import { recordForm } from '../parts/record-form.js';
import { rulesHere } from '../parts/rules-here.js';
import { me } from '../parts/session.js';
import { fill, make, stamp } from '../parts/template.js';
import { undoable } from '../parts/undo.js';

const $ = (selector) => document.querySelector(selector);
const form = $('form');
const result = $('main > .result');
const id = bondOf(location.pathname);

const PLAIN = ['offset_mm', 'made_day', 'person', 'batch', 'note',
	...CHECKS.filter(([, , type]) => type === 'figure').map(([, member]) => member)];
const CHOSEN = ['end', 'method', 'kit',
	...CHECKS.filter(([, , type]) => type === 'flag').map(([, member]) => member)];
const UNITS = { arc_s: 'Arc, s', hold_s: 'Held still after it, s',
	stub_mm: 'Stub left standing, mm' };
const SHAPES = { good: 'within', bad: 'over', not_recorded: 'none' };

let words, bond;
let rails = null;  // by end, what is on record of the rail; null: not known here
let rules = null;  // null: this tablet cannot judge
let corrects = '';   // the attachment that this one replaces
let free = null, asked = null;

const record = recordForm({
	what: 'attachments', noun: 'attachment', did: 'made it', doer: 'person', bond_id: id,
	later: '', load, label: () => bond.label, blank, write, read, body: bodyOf,
	at: ({ saved_ms, made_day: day }, zone) =>
		atToSend(saved_ms, day, { zone, isTablet: isTablet() }),
	typing: judge, kept, clear, answered
});
const showDoer = doerField(form.elements.person, me);

async function load() {
	const [known, got, kits] = await Promise.all([getWords(SOON), get(`/api/bonds/${id}`, SOON),
		getAll('kits', '', Infinity, SOON).catch(() => ({ rows: [] })), learnRails(),
		rulesHere().then((here) => { rules = here.rules; }, () => {})]);

	[words, bond] = [known, got];
	head();
	offer(kits.rows);
}

/** What of the rail is known now; where it cannot be learned, the tablet says so. */
async function learnRails() {
	const rail = await get(`/api/bonds/${id}/rail`, SOON).catch(() => null);
	rails = rail && Object.fromEntries(rail.ends.map((one) => [one.end, one]));
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

function blank({ zone, name }) {
	const end = new URLSearchParams(location.search).get('end');
	const flags = Object.fromEntries(CHECKS.filter(([, , type]) => type === 'flag')
		.map(([, member]) => [member, '']));
	return {
		...flags, made_day: dayIn(zone, Date.now()) ?? dayOf(new Date()),
		end: ['a', 'b'].includes(end) ? end : '', method: lastUsed('method') || 'brazed_pin',
		person: name, kit: lastUsed('kit'), batch: lastUsed('batch'), corrects: ''
	};
}

/** Values into the form. */
function write(values) {
	corrects = values.corrects;
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
		...Object.fromEntries(PLAIN.map((name) => [name, form.elements[name].value])),
		...Object.fromEntries(CHOSEN.map((name) => [name,
			form.querySelector(`input[name="${name}"]:checked`)?.value]))
	};
}

function bodyOf(typed) {
	const made = attachmentBody(typed, asked && asked.checks.map(({ check }) => check));

	if (typed.end && bond.ends.find(({ end }) => end === typed.end).on !== 'rail')
		delete made.body.offset_mm;
	return made;
}

function judge() {
	const values = { ...read(), corrects };
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

function kept(typed) {
	for (const name of ['kit', 'batch', 'method'])
		keepLastUsed(name, typed[name]);
}

function clear() {
	result.querySelector('.said').replaceChildren();
	for (const el of result.querySelectorAll('.verdict, .commission, .mended, .next'))
		el.hidden = true;
}

function answered({ acceptance, spot, grade }) {
	if (acceptance)
		showAcceptance(result, acceptance);
	result.querySelector('.mended').hidden = acceptance?.accepted !== 'not_accepted' ||
		acceptance.spoils_spot;
	result.querySelector('.commission').hidden = acceptance?.accepted === 'not_accepted';
	result.querySelector('.next').hidden = false;
	return [grade && `The bond is graded ${words.grade.get(grade.grade)}${grade.because
		? `: ${grade.because}` : ''}.`, spot, acceptance?.asked].filter(Boolean).join(' ');
}

form.querySelector('.spot .sign').addEventListener('click', ({ target }) => {
	const input = target.previousElementSibling;

	input.value = /^\s*[-\u2212]/.test(input.value) ? input.value.replace(/^\s*[-\u2212]/, '')
		: `-${input.value}`;
	setOffset(input.value);
});
form.querySelector('.take').addEventListener('click', () => {
	const before = form.elements.offset_mm.value;

	setOffset(free.next_free_mm);
	form.elements.offset_mm.focus();
	undoable('The next free place is taken.', () => setOffset(before));
});

function setOffset(value) {
	form.elements.offset_mm.value = value;
	judge();
	record.changed();
}

async function goOn(values, said) {
	await learnRails();
	record.goOn(values, said);
}
result.querySelector('.next')
	.addEventListener('click', () => goOn({ end: record.typed().end }));
result.querySelector('.mended').addEventListener('click', () => {
	const { uuid, typed } = record.shown();

	goOn({ ...typed, uuid: newUuid(), corrects: uuid },
		'This replaces what was recorded before: change what was mended, then save.');
});
