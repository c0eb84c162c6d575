import { get, getAll, getBytes, getWords } from '../api.js';
import { bondOf } from '../logic/address.js';
import { carriable } from '../logic/asked.js';
import { dayOf } from '../logic/day.js';
import { defectCaution } from '../logic/defect.js';
import { doerToSend } from '../logic/doer.js';
import { alikeWords, placesOfFailure, wordsOfBond } from '../logic/ends.js';
import { figuresOf, inspectionBody, isContact, isTyped, readReading,
	sentReading } from '../logic/inspection.js';
import { atToSend, dayIn, firstSaved } from '../logic/instant.js';
import { judgeReading } from '../logic/judge.js';
import { loadRules } from '../logic/rules.js';
import { newUuid } from '../logic/uuid.js';
import { choices } from '../parts/choices.js';
import { doerField } from '../parts/doer-field.js';
import { showJudged } from '../parts/judged.js';
import { draft, dropDraft, dropUnsent, keepDraft, keepLastUsed, keepSession, keepUnsent, lastUsed,
	unsent } from '../parts/kept.js';
import { clearProblem, showNotice, showProblem } from '../parts/problems.js';
import { readingCard } from '../parts/reading-card.js';
import { isMine, isTablet, sender, zoneHere } from '../parts/sender.js';
import { darkSwitch, may, whoIs } from '../parts/session.js';
import { showQueue, undoable } from '../parts/tablet-form.js';
import { fill, make } from '../parts/template.js';

const $ = (selector) => document.querySelector(selector);
const form = $('form');
const result = $('main > .result');
const cards = $('.readings');
const id = bondOf(location.pathname);

const PLAIN = ['day', 'inspector', 'note', 'failure_cause', 'why_not_seen', 'opened', 'reason'];
const CHOSEN = ['outcome', 'purpose', 'seen_a', 'seen_b', 'cables_whole', 'strength_a',
	'strength_b', 'surroundings', 'instrument_id', 'failed', 'failure_mode', 'failure_end'];
const WHY_USUAL = ['under the ballast', 'under snow or ice', 'behind a cover',
	'no safe place to stand'];
const STRENGTH = [['', 'not made'], ['passed', 'passed'], ['failed', 'failed']];

let words, bond, person, instruments, zone;
let rules = null, known = null; // what this tablet judges with; null: it cannot
let proof = null;               // what the rulebook wants of this kind of bond; null: not known
let typed;        // what stands in the form, with its uuid
let shown = null; // the item that the result speaks of
let kept = true;  // false: this tablet could not keep the last change

const { send } = sender(told);

/** Who is signed in, or was when the server last answered. */
const me = () => person ?? (lastUsed('session') || null);
const showDoer = doerField(form.elements.inspector, me);

async function start() {
	darkSwitch();
	for (const link of document.querySelectorAll('.back'))
		link.href = `/bonds/${id}`;
	let kept_instruments;
	[person, words, bond, kept_instruments, zone] = await Promise.all([
		whoIs(), getWords(), get(`/api/bonds/${id}`),
		getAll('instruments', '').catch(() => ({ rows: [] })), zoneHere(),
		prepareToJudge().catch(cannotJudge)
	]);
	words = wordsOfBond(bond, words);
	if (person)
		keepSession(person);
	head();
	offer(kept_instruments.rows);
	takeUp();
	if (person && !may(person, 'inspect')) {
		showNotice(form.querySelector('.notice'), `You are signed in as ${person.name}, who may ` +
			`read, not record. Somebody of a crew, or a planner, has to sign in.`);
		form.querySelector('button.main').disabled = true;
	}
	send();
}

/** The rules themselves, the rulebook in force, and what is known of the bond. */
async function prepareToJudge() {
	const [module, { rulebook }, facts] = await Promise.all([
		loadRules(getBytes($('link[href$=".wasm"]').href)), get('/api/rulebook'),
			get(`/api/bonds/${id}/tablet`)]);

	module.adopt(rulebook);
	[rules, known, proof] = [module, facts, rulebook.proof?.[facts.limit?.kind] ?? null];
}

function cannotJudge(problem) {
	console.info('no verdict here:', problem.message);
	$('.measured > .notice').textContent =
		'This tablet cannot judge readings now: the server does when they arrive.';
}

const chosen = (name) => form.querySelector(`input[name="${name}"]:checked`)?.value;

/** The rules' answer to one reading as it is typed; typing goes on whatever they say. */
function judge(reading, others) {
	try {
		const answer = rules &&
			judgeReading(rules, known, reading, { day: form.elements.day.value || dayOf(new Date()),
			purpose: chosen('purpose'), alone: form.elements.opened.value.trim() !== '' }, others);
		/* (a railway may take that for proof, and says so in its rulebook) */
		return answer && { ...answer, in_circuit: answer.in_circuit && proof !== 'in_circuit' };
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

/** What a card has typed, with the instrument that it was read with. */
const typedOf = (card) => ({ ...card.typed(), instrument_id: card.dataset.own === 'yes'
	? card.typed().own_instrument : chosen('instrument_id') });

/** The other readings of a card's quantity that can be read as they stand. */
function othersOf(card) {
	return Array.from(cards.children).filter((one) => one !== card).map(typedOf)
		.filter((one) => one.quantity === card.typed().quantity && isTyped(one))
		.map(readReading).filter(({ errors }) => !errors.length).map(({ reading }) => reading);
}

function head() {
	$('.removed').hidden = bond.status !== 'removed';
	document.title = `Inspect ${bond.label}, ${bond.line.name} · bondbook`;
	fill(document.body, {
		label: bond.label,
		place: [words.bond_kind.get(bond.kind), bond.line.name, bond.chainage].filter(Boolean)
			.join(' · '),
		...Object.fromEntries(bond.ends.flatMap(({ end, short, words: long }) =>
			[[`end_${end}`, capital(short)], [`place_${end}`, long]])),
		alike: alikeWords(bond)
	});
}

const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);

function offer(rows) {
	const used = lastUsed('instrument');
	const offered = instruments = rows.map((one) => [String(one.id), instrumentWords(one)])
		.sort((a, b) => (b[0] === used) - (a[0] === used));
	const group = (name, pairs, chosen) => choices(form.querySelector(`[data-name="${name}"]`),
		name, pairs, chosen);

	group('outcome', words.outcome);
	group('purpose', words.purpose, 'routine');
	group('seen_a', words.seen);
	group('seen_b', words.seen);
	group('instrument_id', offered, used);
	group('failed', [['no', 'no'], ['yes', 'yes, it failed']]);
	group('why_usual', WHY_USUAL.map((why) => [why, why]));
	group('strength_a', STRENGTH);
	group('strength_b', STRENGTH);
	group('surroundings', words.surroundings);
	offerCables(group);
	group('failure_mode', words.failure_mode);
	group('failure_end', placesOfFailure(bond), '');
	form.querySelector('.instruments').hidden = offered.length === 0;
}

/* All whole is one tap. */
function offerCables(group) {
	const n = bond.cables ?? 1;
	const fewer = Array.from({ length: n }, (_, i) => n - 1 - i);

	form.querySelector('.cables > legend').textContent = n > 1
		? `Cables seen whole from lug to lug, of ${n}` : 'Cable and lugs';
	group('cables_whole', [[String(n), n > 1 ? `all ${n} whole` : 'seen whole from lug to lug'],
		...fewer.map((whole) => [String(whole), n > 1 ? `${whole} of ${n}` : 'not whole'])]);
	$('.measured > .proof').textContent = { contacts: 'This kind of bond is proved by both ' +
		'contacts and by sight: cable and lugs seen whole.',
		seen: 'No reading is wanted of this kind of bond: it is proved by being seen.' }[proof] ??
			'';
}

/* What it measures is no evidence when its calibration has run out. */
function instrumentWords({ serial, name, calibration_due_day: until }) {
	return `${serial} ${name}${until && until < dayOf(new Date())
		? `, calibration ended ${until}` : ''}`;
}

/** The form goes on where it was left: what was refused, then the draft, then a new one. */
function takeUp() {
	const old = draft(id);
	const refused = !old && unsent().find((item) => !item.what && item.bond_id === id &&
		item.refused && isMine(item, person?.id));

	write(old ?? refused?.typed ?? blank());
	if (refused) {
		kept = keepDraft(id, typed);
		if (kept)
			dropUnsent(refused.uuid);
		showProblem(form, refused.refused, findSent);
	} else if (old?.person && person && old.person.id !== person.id) {
		if (typed.inspector === old.person.name)
			write({ ...typed, inspector: person.name });
		showNotice(form.querySelector('.notice'), `${old.person.name} began this on this tablet. ` +
			`It is kept as it was left, but now you enter it, and it says that you inspected. ` +
			`Put the other name there if that is not so.`);
	}
	showState();
}

function blank() {
	return {
		uuid: newUuid(), failure_uuid: newUuid(), day: dayIn(zone, Date.now()) ?? dayOf(new Date()),
		purpose: new URLSearchParams(location.search).get('purpose') === 'commissioning'
			? 'commissioning' : 'routine', failure_end: '',
		inspector: me()?.name ?? '', instrument_id: lastUsed('instrument'), readings: wanted()
	};
}

/* What proves the bond is what is asked for. */
const wanted = () =>
	({ contacts: [{ quantity: 'contact_a' }, { quantity: 'contact_b' }], seen: [] })[proof] ?? [{}];

/** Values into the form. */
function write(values) {
	typed = values;
	for (const name of PLAIN)
		form.elements[name].value = values[name] ?? '';
	for (const name of CHOSEN) {
		for (const input of form.querySelectorAll(`input[name="${name}"]`))
			input.checked = input.value === (values[name] ??
				(name.startsWith('strength') ? '' : undefined));
	}
	cards.replaceChildren();
	for (const one of values.readings ?? [])
		addCard(one);
	adapt();
}

/** What stands in the form. */
function read() {
	return {
		...typed, bond_id: id,
		...Object.fromEntries(PLAIN.map((name) => [name, form.elements[name].value])),
		...Object.fromEntries(CHOSEN.map((name) => [name, chosen(name)])),
		readings: Array.from(cards.children, typedOf)
	};
}

function addCard(values, before = null) {
	const judgeWith = (reading, others) => judge({ ...reading,
		instrument_id: Number(typedOf(card).instrument_id) || undefined }, others);
	const card = readingCard(values, { words, instruments, judge: judgeWith, lastOf, othersOf,
		carriable: () => carriable(lastUsed('temperature') || null, id, Date.now()) });

	cards.insertBefore(card, before);
	card.addEventListener('second', ({ detail }) => second(card, detail));
	card.addEventListener('wait', () => again(card));
	card.addEventListener('contacts', readContacts);
	card.addEventListener('open', () => {
		again(card);   // what was read before it was opened is not a reading of the bond alone
		form.elements.opened.focus();
	});
	card.addEventListener('name', () => form.querySelector('.instruments input')?.focus());
	card.addEventListener('remove', () => {
		const next = card.nextElementSibling;
		card.remove();
		changed();
		undoable('Reading removed.', () => { cards.insertBefore(card, next); changed(); });
	});
	number();
	return card;
}

/** A further reading of the same: the one that is there already and has no figures, or a new
 * one. */
function second(card, values) {
	const empty = Array.from(cards.children).find((one) => one !== card &&
		one.typed().quantity === values.quantity && !isTyped(one.typed()));
	const next = empty ?? addCard(values, card.nextElementSibling);

	changed();
	next.querySelector('.own-instrument:not([hidden]) input, .figures .field:not([hidden]) input')
		.focus();
}

/** The figures go: it is measured once more. */
function again(card) {
	const before = card.typed();
	const put = (values) => {
		const next = addCard(values, card);
		card.remove();
		card = next;
		changed();
		card.querySelector('.figures .field:not([hidden]) input').focus();
	};

	put({ ...before, ...Object.fromEntries(figuresOf(before).map((field) => [field, ''])),
		converted: '', left: '' });
	undoable('The figures are taken away: measure again.', () => put(before));
}

function readContacts() {
	const there = Array.from(cards.children, (card) => card.typed().quantity);
	const missing = ['contact_a', 'contact_b'].filter((quantity) => !there.includes(quantity));
	const added = missing.map((quantity) => addCard({ quantity }));

	changed();
	(added[0] ?? Array.from(cards.children).find((card) => card.typed().quantity === 'contact_a'))
		.querySelector('input').focus();
}

function number() {
	Array.from(cards.children).forEach((card, i) => card.number(i + 1));
}

/** Every change is kept at once. */
function changed() {
	number();
	adapt();
	typed = { ...read(), person: me() };
	kept = keepDraft(id, typed);
	showState();
}

function adapt() {
	for (const card of cards.children)
		card.judge();
	showDoer();
	form.querySelector('.failure').hidden = chosen('failed') !== 'yes';
	form.querySelector('.why-not').hidden = ![chosen('seen_a'), chosen('seen_b')]
		.includes('not_visible');
	const measured = Array.from(cards.children, (card) => card.typed());
	form.querySelector('.surroundings').hidden =
		!measured.some((one) => one.quantity === 'end_to_end');
	form.querySelector('.opened').hidden = measured.every((one) => isContact(one.quantity));
	form.querySelector('.strength').hidden = chosen('purpose') === 'routine' &&
		!bond.grade?.reasons.includes('strength_failed');
	form.querySelector('.correcting').hidden = !typed.corrects;
	const lost = (chosen('cables_whole') ?? '') !== '' &&
		Number(chosen('cables_whole')) < (bond.cables ?? 1);
	warn('a', chosen('seen_a'));
	warn('b', chosen('seen_b'));
	warn('cable', lost ? 'cable' : undefined);
}

/** The caution of a word, where it was chosen; made once, so that it is read out once. */
function warn(end, seen) {
	const el = form.querySelector(`.defect[data-end="${end}"]`);
	const caution = defectCaution(seen);

	el.hidden = !caution;
	if (el.dataset.seen !== (seen ?? '')) {
		el.dataset.seen = seen ?? '';
		el.replaceChildren(...caution ? [make('strong', caution[0]), ` ${caution[1]}`] : []);
	}
}

function showState() {
	showQueue({ isKept: kept, hasDraft: draft(id) !== null, isShown: shown !== null }, person?.id);
}

async function save() {
	clearProblem(form);
	typed = read();
	const { body, errors } = inspectionBody(typed, { cables: bond.cables ?? 1 });
	Array.from(cards.children).forEach((card, i) => {
		if (card.waits())
			errors.push({ field: `readings[${i}].asked`,
				detail: 'Answer what is asked of this reading, or leave it asked.' });
	});
	if (errors.length) {
		showProblem(form, { errors }, (field) => findField(field));
		return;
	}
	typed.saved_ms = firstSaved(typed, Date.now());
	// typed at a desk it may have been read before what was attached meanwhile: then none is said
	body.at = isTablet() ?
		atToSend(typed.saved_ms, typed.day, { zone, isTablet: true }) : undefined;
	body.inspector = doerToSend(typed.inspector, me()) || undefined;
	const item = { uuid: typed.uuid, bond_id: id, label: bond.label, person_id: me()?.id ?? null,
		body, typed, refused: null };
	if (!keepUnsent(item)) {
		kept = false;
		showProblem(form, { detail: 'This tablet cannot keep the inspection: its storage is full ' +
			'or switched off. Free some space, then save again; what you typed is still here.' });
		return;
	}
	dropDraft(id);
	kept = true;
	keepLastUsed('instrument', typed.instrument_id);
	keepTemperature();
	shown = item;
	showResult('Saved on this tablet, sending …', '');
	await send();
	await send();   // a run that was under way did not know of this one
}

/* For the next bond of this night. */
function keepTemperature() {
	const measured = typed.readings.find((one) => isTyped(one) &&
		figuresOf(one).includes('temp_c') && one.temp_c?.trim() && one.temp_carried !== 'yes');
	keepLastUsed('temperature',
		measured && { temp_c: measured.temp_c, label: bond.label, bond_id: id, at: Date.now() });
}

/** What the server said of one item; null: nothing more to try. */
function told(event) {
	if (event && event.item.uuid === shown?.uuid) {
		if (event.answer) {
			showResult('Saved on the server', savedWords(event.answer), 0, event.answer);
			showWaits(event.item);
		}
		else if (event.problem.passing)
			showResult('Not sent yet: kept on this tablet', `${event.problem.detail} It is sent ` +
				`by itself when the server answers, and can be corrected after that.`,
				event.problem.status);
		else
			refuse(event.item, event.problem);
	}
	if (words)
		showState();
}

function savedWords({ due }) {
	return due?.inspect_day ? `Next inspection due ${due.inspect_day}${due.mend_day
		? `; mending due ${due.mend_day}` : ''}.${due.reason ? ` ${due.reason}` : ''}` : '';
}

/** What was somebody else's is bettered once an engineer has confirmed it. */
async function showWaits({ uuid, body }) {
	const waiting = body.corrects ? (await get(`/api/better-by-correction?bond=${id}&waits=yes`)
		.catch(() => ({ rows: [] }))).rows : [];

	if (shown?.uuid === uuid && waiting.some((one) => one.uuid === uuid))
		result.querySelector('.waits').textContent =
			'This correction makes the bond better, and somebody else entered what it corrects: ' +
			'it counts once an engineer has confirmed it. Until then the grade is the one before.';
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
	result.querySelector('.waits').textContent = '';
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
		if (name === 'asked')
			return card?.querySelector('.asked button');
		return card?.querySelector(`[data-field="${name}"]`) ??
			card?.querySelector(`[data-name="${name}"] input`) ??
			card?.querySelector('.figures .field:not([hidden]) input');
	}
	const own = field.replace('failure.', 'failure_');
	return form.querySelector(`[name="${own}"]`);
}

/** The same for a field that the server names: it counts the readings that were sent. */
const findSent = (field) => findField(field, (index) => sentReading(typed.readings, index));

form.addEventListener('input', (e) => {
	if (e.target.name === 'why_usual')
		form.elements.why_not_seen.value = e.target.value;
	changed();
});
form.addEventListener('click', (e) => {
	if (e.target.matches('.add')) {
		const last = cards.lastElementChild?.typed();
		addCard({ method: last?.method, way: last?.way, temp_c: last?.temp_c })
			.querySelector('input').focus();
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
/* Enter in a field goes on to the next one: saving is an act of its own. */
form.addEventListener('keydown', (e) => {
	if (e.key !== 'Enter' || !e.target.matches('input'))
		return;
	e.preventDefault();
	const inputs = Array.from(form.querySelectorAll('input:not([type="radio"])'))
		.filter((input) => input.offsetParent);
	inputs[inputs.indexOf(e.target) + 1]?.focus();
});
form.addEventListener('submit', (e) => e.preventDefault());
form.querySelector('button.save').addEventListener('click', save);
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
