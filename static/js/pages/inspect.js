import { get, getAll, getWords, SOON } from '../api.js';
import { bondOf } from '../logic/address.js';
import { dayOf } from '../logic/day.js';
import { defectCaution } from '../logic/defect.js';
import { alikeWords, placesOfFailure, wordsOfBond } from '../logic/ends.js';
import { figuresOf, inspectionBody, isContact, isTyped, sentReading } from '../logic/inspection.js';
import { atToSend, dayIn } from '../logic/instant.js';
import { newUuid } from '../logic/uuid.js';
import { bondRules } from '../parts/bond-rules.js';
import { choices } from '../parts/choices.js';
import { isTablet } from '../parts/device.js';
import { doerField } from '../parts/doer-field.js';
import { showJudged } from '../parts/judged.js';
import { keepLastUsed, lastUsed } from '../parts/last-used.js';
import { readingsForm } from '../parts/readings-form.js';
import { recordForm } from '../parts/record-form.js';
import { me } from '../parts/session.js';
import { fill, make } from '../parts/template.js';

const $ = (selector) => document.querySelector(selector);
const form = $('form');
const result = $('main > .result');
const id = bondOf(location.pathname);

const PLAIN = ['day', 'inspector', 'note', 'failure_cause', 'why_not_seen', 'opened', 'reason'];
const CHOSEN = ['outcome', 'purpose', 'seen_a', 'seen_b', 'cables_whole', 'strength_a',
	'strength_b', 'surroundings', 'instrument_id', 'failed', 'failure_mode', 'failure_end'];
const WHY_USUAL = ['under the ballast', 'under snow or ice', 'behind a cover',
	'no safe place to stand'];
const STRENGTH = [['', 'not made'], ['passed', 'passed'], ['failed', 'failed']];

let words, bond, instruments;
let corrects = null;   // the inspection that this one replaces

const chosen = (name) => form.querySelector(`input[name="${name}"]:checked`)?.value;

const rules = bondRules(id, () => {
	$('.measured > .notice').textContent =
		'This tablet cannot judge readings now: the server does when they arrive.';
});

const readings = readingsForm($('.readings'), {
	bond_id: id,
	known: () => ({ words, instruments }),
	instrument: () => chosen('instrument_id'),
	judge: (reading, others) => rules.judge(reading, {
		day: form.elements.day.value || dayOf(new Date()), purpose: chosen('purpose'),
		alone: form.elements.opened.value.trim() !== '' }, others),
	lastOf: (quantity) => rules.lastOf(quantity, words),
	changed: () => {
		adapt();
		record.changed();
	},
	toInstrument: () => form.querySelector('.instruments input')?.focus(),
	toOpened: () => form.elements.opened.focus()
});

const record = recordForm({
	what: 'inspections', noun: 'inspection', did: 'inspected', doer: 'inspector', bond_id: id,
	later: ', and can be corrected after that',
	load, label: () => bond.label, blank, write, read, body: bodyOf,
	/* typed at a desk it may have been read before what was attached meanwhile: none is said */
	at: ({ saved_ms, day }, zone) =>
		isTablet() ? atToSend(saved_ms, day, { zone, isTablet: true }) : undefined,
	kept, find: (field) => findField(field),
	/* the server counts the readings that were sent */
	findSent: (field) => findField(field, (i) => sentReading(record.typed().readings, i)),
	typing, clear, answered
});
const showDoer = doerField(form.elements.inspector, me);

async function load() {
	let listed;

	[words, bond, listed] = await Promise.all([getWords(SOON), get(`/api/bonds/${id}`, SOON),
		getAll('instruments', '', Infinity, SOON).catch(() => ({ rows: [] })), rules.load()]);
	words = wordsOfBond(bond, words);
	head();
	offer(listed.rows);
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
		seen: 'No reading is wanted of this kind of bond: it is proved by being seen.'
	}[rules.proof()] ?? '';
}

/* What it measures is no evidence when its calibration has run out. */
function instrumentWords({ serial, name, calibration_due_day: until }) {
	return `${serial} ${name}${until && until < dayOf(new Date())
		? `, calibration ended ${until}` : ''}`;
}

function blank({ zone, name }) {
	return {
		failure_uuid: newUuid(), day: dayIn(zone, Date.now()) ?? dayOf(new Date()),
		purpose: new URLSearchParams(location.search).get('purpose') === 'commissioning'
			? 'commissioning' : 'routine', failure_end: '',
		inspector: name, instrument_id: lastUsed('instrument'), readings: wanted()
	};
}

/* What proves the bond is what is asked for. */
const wanted = () => ({ contacts: [{ quantity: 'contact_a' }, { quantity: 'contact_b' }],
	seen: [] })[rules.proof()] ?? [{}];

/** Values into the form. */
function write(values) {
	corrects = values.corrects;
	for (const name of PLAIN)
		form.elements[name].value = values[name] ?? '';
	for (const name of CHOSEN) {
		for (const input of form.querySelectorAll(`input[name="${name}"]`))
			input.checked = input.value === (values[name] ??
				(name.startsWith('strength') ? '' : undefined));
	}
	readings.write(values.readings ?? []);
	adapt();
}

/** What stands in the form. */
function read() {
	return {
		...Object.fromEntries(PLAIN.map((name) => [name, form.elements[name].value])),
		...Object.fromEntries(CHOSEN.map((name) => [name, chosen(name)])),
		readings: readings.typed()
	};
}

function bodyOf(typed) {
	const { body, errors } = inspectionBody(typed, { cables: bond.cables ?? 1 });

	return { body, errors: [...errors, ...readings.waiting().map((i) => ({
		field: `readings[${i}].asked`,
		detail: 'Answer what is asked of this reading, or leave it asked.' }))] };
}

/** What belongs to what was chosen is shown. */
function adapt() {
	const measured = readings.typed();
	const lost = (chosen('cables_whole') ?? '') !== '' &&
		Number(chosen('cables_whole')) < (bond.cables ?? 1);

	readings.judge();
	showDoer();
	form.querySelector('.failure').hidden = chosen('failed') !== 'yes';
	form.querySelector('.why-not').hidden = ![chosen('seen_a'), chosen('seen_b')]
		.includes('not_visible');
	form.querySelector('.surroundings').hidden =
		!measured.some((one) => one.quantity === 'end_to_end');
	form.querySelector('.opened').hidden = measured.every((one) => isContact(one.quantity));
	form.querySelector('.strength').hidden = chosen('purpose') === 'routine' &&
		!bond.grade?.reasons.includes('strength_failed');
	form.querySelector('.correcting').hidden = !corrects;
	warn('a', chosen('seen_a'));
	warn('b', chosen('seen_b'));
	warn('cable', lost ? 'cable' : undefined);
}

function typing({ target }) {
	if (target.name === 'why_usual')
		form.elements.why_not_seen.value = target.value;
	adapt();
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

/** What is used again at the next bond of this night. */
function kept({ instrument_id: instrument, readings: all }) {
	const measured = all.find((one) => isTyped(one) && figuresOf(one).includes('temp_c') &&
		one.temp_c?.trim() && one.temp_carried !== 'yes');

	keepLastUsed('instrument', instrument);
	keepLastUsed('temperature',
		measured && { temp_c: measured.temp_c, label: bond.label, bond_id: id, at: Date.now() });
}

function clear() {
	result.querySelector('.waits').textContent = '';
	showJudged(result.querySelector('.judged'), {}, words);
	result.querySelector('.correct').hidden = true;
}

function answered(answer, entry) {
	const { due } = answer;

	showJudged(result.querySelector('.judged'), answer, words);
	result.querySelector('.correct').hidden = false;
	showWaits(entry);
	return due?.inspect_day ? `Next inspection due ${due.inspect_day}${due.mend_day
		? `; mending due ${due.mend_day}` : ''}.${due.reason ? ` ${due.reason}` : ''}` : '';
}

/** What was somebody else's is bettered once an engineer has confirmed it. */
async function showWaits({ uuid, body }) {
	const waiting = body.corrects ? (await get(`/api/better-by-correction?bond=${id}&waits=yes`,
		SOON).catch(() => ({ rows: [] }))).rows : [];

	if (record.shown()?.uuid === uuid && waiting.some((one) => one.uuid === uuid))
		result.querySelector('.waits').textContent =
			'This correction makes the bond better, and somebody else entered what it corrects: ' +
			'it counts once an engineer has confirmed it. Until then the grade is the one before.';
}

/** The input of a problem's field: "readings[1].current_a", "failure.mode", "day". */
function findField(field, place = (index) => index) {
	const [, index, name] = field.match(/^readings\[(\d+)\](?:\.(.+))?$/) ?? [];

	return index === undefined
		? form.querySelector(`[name="${field.replace('failure.', 'failure_')}"]`)
		: readings.find(place(Number(index)), name);
}

form.querySelector('.add').addEventListener('click', readings.addOne);
/* Enter in a field goes on to the next one: saving is an act of its own. */
form.addEventListener('keydown', (e) => {
	if (e.key !== 'Enter' || !e.target.matches('input'))
		return;
	e.preventDefault();
	const inputs = Array.from(form.querySelectorAll('input:not([type="radio"])'))
		.filter((input) => input.offsetParent);
	inputs[inputs.indexOf(e.target) + 1]?.focus();
});
result.querySelector('.correct').addEventListener('click', () => {
	const { uuid, typed } = record.shown();

	record.goOn({ ...typed, uuid: newUuid(), corrects: uuid });
	record.changed();
	$('h1').scrollIntoView();
});
