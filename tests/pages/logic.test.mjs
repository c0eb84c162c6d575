// The pages' pure logic. Expected figures are worked by hand or published; the source stands beside.
import assert from 'node:assert/strict';
import { webcrypto } from 'node:crypto';
import { test } from 'node:test';

import { backTo, bondOf } from '../../static/js/logic/address.js';
import { addDays } from '../../static/js/logic/day.js';
import { dueBecause, dueHeadline, dueWords } from '../../static/js/logic/due-words.js';
import { filtersAddress, filtersQuery, orderOf, readFilters, toggleWord } from '../../static/js/logic/filters.js';
import { doerToSend, doerWords, enteredWords, whoWords } from '../../static/js/logic/doer.js';
import { attachmentsByEnd, history } from '../../static/js/logic/history.js';
import { choiceOf, entryOf, fieldsWithoutUnit, importQuery, missingFields, outcomeWords, SAME, SEVERAL, strangeWords, unusedColumns, verdictWords, standingWords } from '../../static/js/logic/import.js';
import { answersTo, answerWords, carriable, timesThousand, turned } from '../../static/js/logic/asked.js';
import { defectCaution } from '../../static/js/logic/defect.js';
import { DEFECTS, figuresOf, inspectionBody, sentReading } from '../../static/js/logic/inspection.js';
import { atToSend, dayIn, firstSaved } from '../../static/js/logic/instant.js';
import { cellLink, cellText, describedList, namesOfLists } from '../../static/js/logic/list-view.js';
import { placeWords } from '../../static/js/logic/place.js';
import { labelled } from '../../static/js/logic/problem-words.js';
import { readNumber, writeFigure } from '../../static/js/logic/number.js';
import { bandWords, byLine, listFile, listPage, monthWords, shareOnTime } from '../../static/js/logic/report.js';
import { broughtBy, countExamples, differences, figureWords, flatten, followingWords, formerWords, inSections, LACKS, linesByChange, moveTable, namedProblems, nextVersion, OWN, restsOn, standings, stepWords, trialSentences, unflatten } from '../../static/js/logic/rulebook.js';
import { newUuid, uuid7From } from '../../static/js/logic/uuid.js';

globalThis.crypto ??= webcrypto;   // Node 18

const numbers = [
	['a point', '152.4', 152.4],
	['a comma', '152,4', 152.4],
	['a leading comma', ',5', 0.5],
	['a trailing point', '12.', 12],
	['spaces between groups', '1 234,5', 1234.5],
	['a narrow no-break space', '1\u202f234', 1234],
	['a hyphen as minus', '-0,5', -0.5],
	['a real minus', '\u22121480', -1480],
	['nothing', '  ', null]
];

for (const [label, text, value] of numbers)
	test(`reads a number with ${label}`, () => assert.deepEqual(readNumber(text), { value, problem: null }));

for (const text of ['1,234.5', '1.2.3', '12a', 'l2', '1e3', '--1', '.', '-', '٣'])
	test(`refuses ${text} as a number and says why`, () => {
		const { value, problem } = readNumber(text);
		assert.equal(value, null);
		assert.match(problem, /comma or point/);
	});

test('writes figures with significant digits and a real minus', () => {
	assert.equal(writeFigure(141.6497), '141.6');
	assert.equal(writeFigure(-0.01234), '\u22120.01234');
	assert.equal(writeFigure(15000.4), '15000');
	assert.equal(writeFigure(0), '0');
	assert.equal(writeFigure(null), '');
});

test('the day of an instant is that of the register\'s zone, not of the device', () => {
	// Europe/Vilnius is two hours ahead of UTC in winter, three in summer
	assert.equal(dayIn('Europe/Vilnius', Date.parse('2026-11-29T21:59:59Z')), '2026-11-29');
	assert.equal(dayIn('Europe/Vilnius', Date.parse('2026-11-29T22:00:00Z')), '2026-11-30');
	assert.equal(dayIn('Europe/Vilnius', Date.parse('2026-06-30T21:00:00Z')), '2026-07-01');
	assert.deepEqual([dayIn('', 0), dayIn(null, 0), dayIn('No/Where', 0)], [null, null, null]);
});

/* [saved, day of the shift, on a tablet, sent]; Vilnius in winter: 12:00 there is 10:00 UTC */
const instants = [
	['2026-11-29T21:59:59.999Z', '2026-11-29', false, true], ['2026-11-29T22:00:00.000Z', '2026-11-29', false, false],
	['2026-11-29T22:00:00.000Z', '2026-11-30', false, true], ['2026-11-29T22:00:00.000Z', '2026-11-29', true, true],
	['2026-11-30T09:59:59.999Z', '2026-11-29', true, true], ['2026-11-30T10:00:00.000Z', '2026-11-29', true, false],
	['2026-11-28T22:00:00.000Z', '2026-11-29', true, true], ['2026-11-28T21:59:59.999Z', '2026-11-29', true, false],
	['2026-11-30T08:00:00.000Z', '2026-11-28', true, false]
];
for (const [saved, day, isTablet, isSent] of instants)
	test(`${isTablet ? 'a tablet' : 'a desk'} that saved at ${saved} ${isSent ? 'says so' : 'says no instant'} of the shift of ${day}`, () =>
		assert.equal(atToSend(Date.parse(saved), day, { zone: 'Europe/Vilnius', isTablet }), isSent ? saved : undefined));

test('no instant is made up: not without the zone, nor for the correction of what had none', () => {
	const now = Date.parse('2026-11-30T08:00:00Z');

	assert.equal(atToSend(now, '2026-11-30', { zone: null, isTablet: true }), undefined);
	assert.equal(atToSend(null, '2026-11-30', { zone: 'UTC', isTablet: true }), undefined);
	assert.equal(firstSaved({}, now), now);
	assert.equal(firstSaved({ saved_ms: 5 }, now), 5);
	assert.equal(firstSaved({ saved_ms: 5, corrects: 'x' }, now), 5);
	assert.equal(firstSaved({ corrects: 'x' }, now), null);
});

test('makes the UUID of RFC 9562, A.6', () => {
	// unix_ts_ms 0x017F22E279B0, rand_a 0xCC3, rand_b 0x18C4DC0C0C07398F
	const random = Uint8Array.from([0x0c, 0xc3, 0x18, 0xc4, 0xdc, 0x0c, 0x0c, 0x07, 0x39, 0x8f]);
	assert.equal(uuid7From(0x017f22e279b0, random), '017f22e2-79b0-7cc3-98c4-dc0c0c07398f');
});

test('makes UUIDs that rise', () => {
	const made = Array.from({ length: 50 }, newUuid);
	assert.deepEqual([...made].sort(), made);
	assert.match(made[0], /^[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/);
});

test('writes a place with the railway\'s own word for its rail', () => {
	const rails = new Map([['left', 'left'], ['right', 'right']]);
	assert.equal(placeWords({ track: 'Up', rail: 'left', rail_label: 'cess' }, rails), 'Up, left rail (cess)');
	assert.equal(placeWords({ track: 'Up', rail: null, structure: 'Mast 7' }, rails), 'Up, Mast 7');
	assert.equal(placeWords({ track: null, rail: null }, rails), '');
});

test('counts days over the end of February', () => {
	assert.equal(addDays('2028-02-28', 1), '2028-02-29');
	assert.equal(addDays('2026-02-28', 1), '2026-03-01');
	assert.equal(addDays('2026-01-01', -1), '2025-12-31');
});

test('says a due state with its days', () => {
	assert.equal(dueWords({ state: 'overdue', days_over: 12 }), 'overdue 12 days');
	assert.equal(dueWords({ what: 'mending', state: 'overdue', days_over: 12 }), 'mending overdue 12 days');
	assert.equal(dueWords({ what: 'inspection', state: 'deferred', deferred_to_day: '2026-05-01' }), 'inspection deferred to 2026-05-01');
	assert.equal(dueWords({ state: 'due', days_over: 0 }), 'due, today');
	assert.equal(dueWords({ state: 'due', days_over: 1 }), 'due, 1 day past');
	assert.equal(dueWords({ state: 'soon', days_over: -5 }), 'soon, in 5 days');
	assert.equal(dueWords({ state: 'deferred', deferred_to_day: '2026-05-01' }), 'deferred to 2026-05-01');
	assert.equal(dueWords({ state: 'not_due', days_over: null }), 'not due');
});

/* 14 days late on 2026-03-29 */
const mending = { what: 'mending', state: 'overdue', days_over: 14, due_day: '2026-03-15', mend_day: '2026-03-15', inspect_day: '2026-09-01' };

test('says what is due, and the other beside it', () => {
	assert.equal(dueHeadline(mending), 'Mending overdue 14 days \u00b7 next inspection 2026-09-01');
	assert.equal(dueHeadline({ ...mending, inspect_day: '2026-03-30' }), 'Mending overdue 14 days \u00b7 next inspection 2026-03-30');
	assert.equal(dueHeadline({ ...mending, inspect_day: '2026-03-29' }), 'Mending overdue 14 days \u00b7 inspection due since 2026-03-29');
	assert.equal(dueHeadline({ what: 'inspection', state: 'overdue', days_over: 1, due_day: '2026-03-28', inspect_day: '2026-03-28', mend_day: '2026-04-05' }),
		'Inspection overdue 1 day \u00b7 mending due 2026-04-05');
	assert.equal(dueHeadline({ what: 'inspection', state: 'later', days_over: -30, due_day: '2026-04-28', inspect_day: '2026-04-28', mend_day: null }), 'Inspection later, in 30 days');
	assert.equal(dueHeadline({ state: 'not_due', days_over: null, mend_day: null }), 'Not due');
});

test('says in one sentence why a bond is on the due list, and never that what is over may cross its limit', () => {
	const words = { grade_reason: new Map([['over', 'a reading was over its limit'], ['forecast', 'a limit may be crossed'], ['asked', 'a reading waits for an answer'], ['never_inspected', 'never inspected'], ['evidence_old', 'the newest proof is too old']]),
		due_basis: new Map([['after_inspection', 'after the last inspection'], ['at_once', 'never inspected: due at once'], ['proof_old', 'before its newest proof is too old']]) };

	assert.equal(dueBecause({ ...mending, failures_open: 0, grade: 'act', grade_reason: 'over', basis: 'act', early_day: '2026-05-01', asked: 0 }, words),
		'a reading was over its limit; next inspection 2026-09-01');
	assert.equal(dueBecause({ ...mending, failures_open: 2, grade: 'act', grade_reason: 'failure_open', basis: 'act', early_day: null, asked: 1 }, words),
		'2 failures not made good; next inspection 2026-09-01; 1 reading waits for an answer');
	assert.equal(dueBecause({ what: 'inspection', state: 'soon', grade: 'watch', grade_reason: 'forecast', basis: 'after_inspection', early_day: '2026-05-01', mend_day: null, asked: 0 }, words),
		'a limit may be crossed; may cross its limit from 2026-05-01; after the last inspection');
	for (const [grade_reason, basis, said] of [['never_inspected', 'at_once', 'never inspected: due at once'], ['evidence_old', 'proof_old', 'the newest proof is too old'],
		['evidence_old', 'after_inspection', 'the newest proof is too old; after the last inspection'], ['never_inspected', null, 'never inspected']])
		assert.equal(dueBecause({ what: 'inspection', state: 'due', grade: 'unknown', grade_reason, basis, mend_day: null, asked: 0 }, words), said);
	assert.equal(dueBecause({ what: 'inspection', state: 'due', grade: 'sound', grade_reason: null, basis: null, mend_day: null, asked: 0,
		not_reached: 'buried', round_day: '2026-05-02', round_crew: 'Night crew' }, words),
	'not reached: buried; on the round of 2026-05-02, Night crew');
	assert.equal(dueBecause({ what: 'inspection', state: 'deferred', deferred_to_day: '2026-05-01', deferral_reason: 'No possession.', grade: 'sound', grade_reason: 'asked', basis: 'after_inspection', mend_day: null, asked: 2 }, words),
		'a reading waits for an answer; deferred to 2026-05-01: No possession.');
});

test('orders the due list by what is asked of it, else the worst first', () => {
	assert.equal(orderOf({}), 'worst');
	assert.equal(orderOf({ state: 'overdue' }), 'worst');
	assert.equal(orderOf({ crosses_before: '2026-05-01' }), 'early');
	assert.equal(orderOf({ q: 'V-1' }), 'label');
	assert.equal(orderOf({ q: 'V-1', sort: 'due' }), 'due');
});

test('reads back the filters that it wrote into the address', () => {
	const filters = { line: '3', what: 'mending', state: 'due,overdue', asked: 'yes', q: 'V 12+3&x' };
	assert.deepEqual(readFilters(filtersAddress(filters)), filters);
	assert.equal(filtersAddress({ line: '', q: '' }), '');
	assert.deepEqual(readFilters('?other=1&line=3'), { line: '3' });
});

test('asks for days ahead by the last day', () => {
	assert.equal(filtersQuery({ days: '14', line: '3' }, '2026-02-20', { limit: '100' }), 'line=3&until=2026-03-06&limit=100');
	assert.equal(filtersQuery({ days: 'soon', after: '' }, '2026-02-20'), '');
});

test('puts a state into the filter and takes it out', () => {
	assert.equal(toggleWord('', 'due'), 'due');
	assert.equal(toggleWord('due', 'overdue'), 'due,overdue');
	assert.equal(toggleWord('due,overdue', 'due'), 'overdue');
});

const typed = { bond_id: '7', day: '2026-03-01', purpose: 'routine', outcome: 'complete', seen_a: 'good', seen_b: 'good', note: ' ', failed: 'no',
	readings: [
		{ quantity: 'contact_a', method: 'four_wire', way: 'shown', temp_c: '12' },
		{ quantity: 'end_to_end', method: 'four_wire', way: 'shown', shown_uohm: '152,4', temp_c: '', current_a: '99', instrument_id: '4' }
	] };

test('makes the body from what was typed, and leaves an empty reading out', () => {
	const { body, errors } = inspectionBody(typed);
	assert.deepEqual(errors, []);
	assert.deepEqual(body, { bond_id: 7, day: '2026-03-01', purpose: 'routine', outcome: 'complete', seen_a: 'good', seen_b: 'good', failed: false,
		readings: [{ quantity: 'end_to_end', method: 'four_wire', shown_uohm: 152.4, instrument_id: 4 }] });
	assert.equal(sentReading(typed.readings, 0), 1);
});

test('names every problem of a form at once', () => {
	const { errors } = inspectionBody({ ...typed, day: '', outcome: '', failed: 'yes',
		readings: [{ quantity: 'end_to_end', method: 'four_wire', way: 'volts', forward_uv: '1,2.3', current_a: 'x' }] });
	assert.deepEqual(errors.map((e) => e.field),
		['day', 'outcome', 'readings[0].forward_uv', 'readings[0].current_a', 'failure.mode']);
});

test('sends a failure with its own id', () => {
	const { body } = inspectionBody({ ...typed, failed: 'yes', failure_uuid: 'u', failure_mode: 'detached', failure_end: 'b', failure_cause: 'ballast' });
	assert.deepEqual(body.failure, { uuid: 'u', mode: 'detached', end: 'b', cause: 'ballast' });
});

const fieldsOf = (more, known) => inspectionBody({ ...typed, failed: undefined, ...more }, known).errors.map(({ field }) => field);

test('complete has a word for each end, and says why one could not be seen', () => {
	assert.deepEqual(fieldsOf({ seen_a: '', seen_b: '' }), ['seen_a', 'seen_b']);
	assert.deepEqual(fieldsOf({ outcome: 'partly', seen_a: '', seen_b: '' }), []);
	assert.deepEqual(fieldsOf({ seen_b: 'not_visible' }), ['why_not_seen']);
	assert.deepEqual(fieldsOf({ outcome: 'partly', seen_b: 'not_visible' }), []);
	assert.equal(inspectionBody({ ...typed, seen_b: 'not_visible', why_not_seen: ' snow ' }).body.why_not_seen, 'snow');
	assert.equal('why_not_seen' in inspectionBody({ ...typed, why_not_seen: 'snow' }).body, false, 'both were seen');
});

test('a word that tells of a broken path, and a cable that is not whole, ask whether the bond failed', () => {
	for (const word of ['loose', 'strands_broken', 'damaged', 'missing']) {
		assert.deepEqual(fieldsOf({ seen_b: word }), ['failed']);
		assert.match(defectCaution(word)[1], /Never bridge it by hand/);
	}
	assert.deepEqual(DEFECTS.filter((word) => !defectCaution(word)), []);
	assert.deepEqual([fieldsOf({ seen_b: 'corroded' }), defectCaution('corroded'), defectCaution(undefined)], [[], null, null]);
	assert.deepEqual(fieldsOf({ cables_whole: '1' }, { cables: 2 }), ['failed']);
	assert.deepEqual(fieldsOf({ cables_whole: '2' }, { cables: 2 }), []);
	assert.deepEqual(fieldsOf({ cables_whole: '' }, { cables: 2 }), []);
	const { body } = inspectionBody({ ...typed, seen_b: 'loose', failed: 'no', cables_whole: '0', strength_a: 'failed', opened: 'fishplates', surroundings: 'tunnel' }, { cables: 1 });
	assert.deepEqual([body.failed, body.cables_whole, body.strength_a, body.opened, body.surroundings, 'strength_b' in body], [false, 0, false, 'fishplates', 'tunnel', false]);
});

test('a contact says where the probe stood, a temperature that was carried is an hour old at most', () => {
	const one = { quantity: 'contact_b', method: 'four_wire', way: 'shown', shown_uohm: '7' };
	const warm = { quantity: 'end_to_end', method: 'four_wire', way: 'shown', shown_uohm: '110', temp_c: '20', temp_carried: 'yes', carried_at: '1000000' };
	const at = (minutes) => ({ now: 1000000 + minutes * 60000 });

	assert.deepEqual(fieldsOf({ readings: [one] }), ['readings[0].probed']);
	assert.deepEqual(inspectionBody({ ...typed, readings: [{ ...one, probed: 'lug' }] }).body.readings, [{ quantity: 'contact_b', method: 'four_wire', shown_uohm: 7, probed: 'lug' }]);
	assert.deepEqual(fieldsOf({ readings: [warm] }, at(60)), []);
	assert.deepEqual(fieldsOf({ readings: [warm] }, at(61)), ['readings[0].temp_c']);
	assert.equal(inspectionBody({ ...typed, readings: [warm] }, at(1)).body.readings[0].temp_carried, true);
	assert.equal('temp_carried' in inspectionBody({ ...typed, readings: [{ ...warm, temp_carried: '' }] }, at(1)).body.readings[0], false);
	assert.deepEqual([figuresOf(one).includes('temp_c'), figuresOf(warm).includes('temp_c')], [false, true], 'a contact is not corrected by it');
	const last = { temp_c: '20', label: 'V-1', bond_id: '7', at: 1000000 };
	assert.deepEqual([carriable(last, '8', 4600000)?.label, carriable(last, '8', 4600001), carriable(last, '7', 1000001), carriable(null, '8', 0)], ['V-1', null, null, null]);
});

test('a correction takes its reason along, a first entry has none', () => {
	assert.equal(inspectionBody({ ...typed, corrects: 'u', reason: ' swapped ' }).body.reason, 'swapped');
	assert.equal('reason' in inspectionBody({ ...typed, reason: 'left over' }).body, false);
});

test('what is asked has its answers; the larger unit only where the value is low; agreeing is nobody\'s tap', () => {
	assert.deepEqual(answersTo(['far_below', 'away'], { isLow: true }), ['milli', 'look', 'second', 'left']);
	assert.deepEqual(answersTo(['away'], { isLow: false }), ['look', 'second', 'left']);
	assert.deepEqual(answersTo(['away'], { isLow: true })[0], 'milli');
	assert.deepEqual(answersTo(['same_sign']), ['minus', 'look', 'left']);
	assert.deepEqual(answersTo(['thermal']), ['wait', 'left']);
	assert.deepEqual(answersTo(['temperature']), ['temperature', 'left']);
	assert.deepEqual([answersTo(['meter'])[0], answersTo(['meter'], { isNamed: false })[0]], ['instrument', 'name']);
	assert.deepEqual(answersTo(['twice']), ['look', 'left']);
	assert.deepEqual(answersTo(['of_a_later_version']), ['left'], 'what this page does not know can be left asked');
	assert.deepEqual(answersTo(['far_above'], { isInCircuit: true }), ['look', 'second', 'contacts', 'open', 'left']);
	assert.deepEqual([answersTo([]), answersTo([], { isInCircuit: true })], [[], []]);
	assert.equal(answerWords('milli', { quantity: 'end_to_end', way: 'volts' }), 'It is in mV');
});

test('the larger unit multiplies what was typed by a thousand, and says so', () => {
	assert.deepEqual(timesThousand({ quantity: 'end_to_end', way: 'shown', shown_uohm: '4,8' }), { figures: { shown_uohm: '4800' }, said: '4,8 mΩ was meant: recorded as 4800 µΩ.' });
	assert.deepEqual(timesThousand({ quantity: 'contact_a', way: 'volts', forward_uv: '0.0123', reverse_uv: '-0,0121' }).figures, { forward_uv: '12.3', reverse_uv: '-12.1' });
	assert.deepEqual([turned('12'), turned('-12'), turned('\u221212')], ['-12', '12', '12']);
});

test('goes back to a page of this site only', () => {
	assert.equal(backTo('?to=/bonds/7%3Fx%3D1'), '/bonds/7?x=1');
	for (const bad of ['', '?to=//elsewhere', '?to=/%5Celsewhere', '?to=javascript:alert(1)', '?to=https://elsewhere/'])
		assert.equal(backTo(bad), '/');
});

test('finds the bond of an address', () => {
	assert.equal(bondOf('/bonds/42/inspect'), '42');
	assert.equal(bondOf('/bonds/x'), null);
});

const titles = new Proxy({}, { get: () => ({ get: (code) => code }) });

test('puts inspections, failures, repairs and deferrals into one list, newest first', () => {
	const events = history({
		inspections: [{ day: '2024-05-01', purpose: 'routine', outcome: 'complete', seen_a: 'good', end_a_words: 'Up, left rail', replaced: true },
			{ day: '2024-05-02', purpose: 'routine', outcome: 'complete', replaced: false }],
		failures: [{ found_day: '2023-01-01', mode: 'burnt', end: 'b', end_words: 'Mast 7', made_good_day: '2023-02-01', made_good_how: 'new lug' }],
		deferrals: [{ decided_day: '2025-01-01', until_day: '2025-03-01', reason: 'no possession' }]
	}, titles);

	assert.deepEqual(events.map(({ day, what }) => `${day} ${what}`), [
		'2025-01-01 Deferred', '2024-05-02 Inspected', '2024-05-01 Inspected (corrected by a later entry)',
		'2023-02-01 Made good', '2023-01-01 Failed'
	]);
	assert.equal(events[2].more, 'Up, left rail: good');
	assert.equal(events[4].words, 'burnt · Mast 7');
});

test('says who did it and who entered it, and marks that they are two', () => {
	const at = '2026-03-01T22:15:00.000Z';
	const rows = [
		[{ done_by: 'J. Pell', entered_by: 'Colm Hart', entered_at: at }, 'entered by Colm Hart for J. Pell on 2026-03-01', 'Colm Hart for J. Pell'],
		[{ done_by: 'Colm Hart', entered_by: 'Colm Hart', entered_at: at }, 'by Colm Hart, entered on 2026-03-01', 'Colm Hart'],
		[{ done_by: null, entered_by: 'Colm Hart', entered_at: at }, 'entered by Colm Hart on 2026-03-01', 'Colm Hart'],
		[{ done_by: 'J. Pell', entered_by: null, entered_at: at }, 'by J. Pell, entered on 2026-03-01', null],
		[{ done_by: null, entered_by: null, entered_at: at }, 'entered on 2026-03-01', null]
	];
	for (const [row, who, cell] of rows)
		assert.deepEqual([whoWords(row), enteredWords(row)], [who, cell]);

	const me = { id: 3, name: 'Colm Hart' };
	assert.deepEqual(['Colm Hart', ' J. Pell ', ''].map((name) => [doerWords(name, me), doerToSend(name, me)]), [
		['You are signed in as Colm Hart.', ''], ['You, Colm Hart, enter this for J. Pell.', 'J. Pell'], ['You are signed in as Colm Hart.', '']
	]);
	assert.equal(doerToSend('J. Pell', null), 'J. Pell');
});

test('puts what was found on a day before what made it good: below it, newest first', () => {
	const events = history({
		inspections: [{ day: '2026-03-06', purpose: 'routine', outcome: 'complete' }],
		failures: [{ found_day: '2026-03-06', mode: 'burnt', made_good_day: '2026-03-06' }], deferrals: []
	}, titles);

	assert.deepEqual(events.map(({ what }) => what), ['Made good', 'Failed', 'Inspected']);
});

test('marks what was dated ahead of the register, and what counts from its arrival', () => {
	const events = history({
		inspections: [{ day: '2026-03-07', purpose: 'routine', outcome: 'complete', days_ahead: 1 },
			{ day: '2026-03-06', purpose: 'routine', outcome: 'complete', days_ahead: null }],
		failures: [{ found_day: '2026-03-05', mode: 'burnt', days_ahead: 1, made_good_day: '2026-04-20', made_good_how: 'new lug', made_good_days_ahead: 40 }], deferrals: []
	}, titles);

	assert.deepEqual(events.map(({ more }) => more), [
		'new lug · dated 40 days ahead of the register: for due days it counts from when it arrived, until it is corrected',
		'dated one day ahead of the register', '', 'dated one day ahead of the register'
	]);
});

test('parts live from former attachments, and says until when', () => {
	const { live, former } = attachmentsByEnd([
		{ end: 'a', made_day: '2014-05-12', live: false }, { end: 'a', made_day: '2018-01-01', live: false },
		{ end: 'a', made_day: '2021-03-04', live: true }, { end: 'b', made_day: '2014-05-12', live: true },
		{ end: 'b', made_day: '2013-01-01', live: false, replaced: true }
	]);

	assert.equal(live.a.made_day, '2021-03-04');
	assert.equal(live.b.made_day, '2014-05-12');
	assert.deepEqual(former.map((row) => [row.end, row.made_day, row.until_day]),
		[['a', '2018-01-01', '2021-03-04'], ['a', '2014-05-12', '2018-01-01']]);
});

test('says which columns are not used and which needed fields have none', () => {
	assert.deepEqual(unusedColumns(['Km', 'Nr', 'Note', 'Rail'], [{ field: 'label', template: 'B {Nr}' }, { field: 'a_chainage', column: 'Km' }]), ['Note', 'Rail']);
	assert.deepEqual(fieldsWithoutUnit([{ name: 'length_m', units: [], family: 'm' }, { name: 'area_mm2', units: [], family: 'mm²' }], [{ field: 'length_m', template: '{m:m}+{cm:cm}' }, { field: 'area_mm2', template: '{a}.{b:2}' }])
		.map(({ name }) => name), ['area_mm2']);
	assert.deepEqual(missingFields([{ name: 'label', required: true }, { name: 'line', required: true }, { name: 'kind' }], [{ field: 'label', column: 'Nr' }])
		.map(({ name }) => name), ['line']);
});

test('says all or nothing in words', () => {
	assert.match(verdictWords({ dry_run: true, added: 5, wrong: 1 }), /^1 row is wrong, so nothing would be imported/);
	assert.match(verdictWords({ dry_run: false, added: 0, wrong: 2 }), /nothing was imported/);
	assert.match(verdictWords({ dry_run: true, added: 5, wrong: 0 }), /Nothing has been changed yet/);
	assert.match(verdictWords({ dry_run: true, added: 0, wrong: 0 }), /nothing to import/);
	assert.deepEqual(outcomeWords({ dry_run: true, rows: 3, added: 1, already: 1, left_out: 0, wrong: 1 })[1], ['would be new', 1]);
});

test('sends the settings of an import as one JSON text', () => {
	const settings = { separator: 'semicolon', columns: [{ field: 'label', column: 'Nr & Ä' }] };
	const query = new URLSearchParams(importQuery('bonds', settings, true, 'Brücken & Bögen.csv'));
	assert.equal(query.get('dry_run'), '1');
	assert.equal(query.get('file_name'), 'Brücken & Bögen.csv');
	assert.deepEqual(JSON.parse(query.get('settings')), settings);
});

test('finds the words of a file that the register does not know', () => {
	const kinds = new Map([['structure', 'structure bond'], ['rail_joint', 'rail joint bond']]);
	assert.deepEqual(strangeWords(['SV', 'Structure Bond', 'rail_joint', 'SV', ''], kinds), ['SV']);
});

test('a field comes from a column, from several, or is the same in every row', () => {
	for (const entry of [{ field: 'kind', column: 'Art' }, { field: 'kind', template: '{A}-{B}' }, { field: 'kind', constant: 'rail_joint' }]) {
		const { choice, text } = choiceOf(entry);
		assert.deepEqual(entryOf('kind', choice, text), entry);
	}
	assert.equal(entryOf('kind', '', ''), null);
	assert.equal(entryOf('kind', SAME, '  '), null);
	assert.equal(entryOf('kind', SEVERAL, ''), null);
});

test('a list of the API becomes its page and its files, with filters added, replaced or dropped', () => {
	const address = '/api/bond-states?lines=K%26M&day=2026-11-25';

	assert.equal(listPage(address, { state: 'overdue', over_to: '' }), '/list?of=bond-states&lines=K%26M&day=2026-11-25&state=overdue');
	assert.equal(listPage('/api/odd-data?', { lines: 'VAL' }), '/list?of=odd-data&lines=VAL');
	assert.equal(listFile(address, 'xlsx', { lines: '' }), '/api/bond-states.xlsx?day=2026-11-25');
	assert.equal(listFile('/api/odd-data?', 'csv'), '/api/odd-data.csv');
});

const shares = [
	['every one', 7, 0, 0, '100.0'],
	['never 100 when one is late', 9999, 1, 0, '99.9'],
	['two of three', 2, 1, 0, '66.6'],
	['what is left counts', 1, 0, 1, '50.0'],
	['none', 0, 3, 0, '0.0'],
	['nothing to have a share of', 0, 0, 0, '']
];
for (const [label, on_time, late, not_done, said] of shares)
	test(`the share on time: ${label}`, () => assert.equal(shareOnTime({ on_time, late, not_done }), said));

test('bands and months are named', () => {
	assert.equal(bandWords({ from_days: 31, to_days: 90 }), '31–90');
	assert.equal(bandWords({ from_days: 366, to_days: null }), 'over 365');
	assert.equal(monthWords({ from: '2026-10-01', to: '2026-10-31' }, false), '2026-10');
	assert.equal(monthWords({ from: '2026-11-01', to: '2026-11-05' }, true), '2026-11, to 5');
});

test('groups are added up by line, inspections and mendings apart, those with nothing overdue or deferred only counted', () => {
	const none = { overdue: 0, deferred: 0, by_band: [0, 0], oldest_due_day: null };
	const late = (overdue, by_band, oldest_due_day) => ({ ...none, overdue, by_band, oldest_due_day });
	/* overdue, deferred: bonds, by what is due first */
	const group = (line, overdue, deferred, inspections, mendings) => ({ line, line_id: 1, bonds: 10, overdue, deferred, inspections, mendings });
	const [a, b] = byLine([group('A', 3, 0, late(3, [1, 2], '2026-02-01'), late(1, [1, 0], '2025-12-01')), group('A', 0, 0, none, none),
		group('A', 1, 2, { ...late(1, [1, 0], '2026-01-31'), deferred: 2 }, none), group('A', 1, 0, none, late(1, [0, 1], '2026-01-01')), group('B', 0, 0, none, none)]);

	assert.deepEqual([a.bonds, a.overdue, a.deferred, a.rows.length], [40, 5, 2, 3]);
	assert.deepEqual(a.inspections, { overdue: 4, deferred: 2, by_band: [2, 2], oldest_due_day: '2026-01-31' });
	assert.deepEqual(a.mendings, { overdue: 2, deferred: 0, by_band: [1, 1], oldest_due_day: '2025-12-01' });
	assert.deepEqual([b.bonds, b.rows.length], [10, 0]);
});

const described = {
	paths: {
		'/api/things': { get: { summary: 'All things.', parameters: [
			{ name: 'line', in: 'query', description: 'Line', schema: { type: 'integer', minimum: 1 } },
			{ name: 'from', in: 'query', description: 'From', schema: { type: 'string', format: 'date' } },
			{ name: 'kind', in: 'query', description: 'Kind', schema: { type: 'string', 'x-words': 'bond_kind' } },
			{ name: 'seen', in: 'query', description: 'Seen', schema: { type: 'string', enum: ['yes', 'no'] } },
			{ name: 'limit', in: 'query', description: 'Rows', schema: { type: 'integer' } }
		], responses: { '2XX': { content: { 'application/json': { schema: { title: 'Things', properties: { rows: { items: { properties: {
			id: { type: ['integer', 'null'], title: 'Number' }, label: { type: ['string', 'null'], title: 'Bond' },
			kind: { type: ['string', 'null'], enum: ['structure', null], 'x-words': 'bond_kind', title: 'Kind' },
			area: { type: ['number', 'null'], title: 'Area', description: 'mm²' }, seen: { type: ['boolean', 'null'], title: 'Seen' },
			at: { type: ['string', 'null'], format: 'date-time', title: 'At' }, distance_mm: { type: ['integer', 'null'], title: 'Distance' }
		} } } } } } } } } } },
		'/api/bare': { get: { responses: { '2XX': {} } } }
	}
};

test('a list is shown as the API describes it', () => {
	const list = describedList(described, 'things');

	assert.deepEqual(list.columns.map(({ name, type, unit }) => [name, type, unit]),
		[['label', 'text', ''], ['kind', 'word', ''], ['area', 'number', 'mm²'], ['seen', 'flag', ''], ['at', 'instant', '']]);
	assert.deepEqual(list.filters.map(({ name, type, rare }) => [name, type, rare]),
		[['line', 'number', true], ['from', 'day', false], ['kind', 'word', false], ['seen', 'flag', false]]);
	assert.equal(list.places, false);
	assert.equal(describedList(described, 'bare'), null);
	assert.equal(describedList(described, 'none'), null);
	assert.deepEqual(namesOfLists(described).map(({ name }) => name), ['things'], 'what is no list is not offered as one');
});

test('a cell is told in words, and leads to its record', () => {
	const words = { bond_kind: new Map([['structure', 'structure bond']]) };

	assert.deepEqual([cellText({ type: 'word', words: 'bond_kind' }, 'structure', words), cellText({ type: 'flag' }, false), cellText({ type: 'number' }, -1 / 3),
		cellText({ type: 'number' }, 4004), cellText({ type: 'instant' }, '2026-11-25T02:33:31.436Z'), cellText({ type: 'text' }, null)],
	['structure bond', 'no', '\u22120.333333', '4004', '2026-11-25 02:33 UTC', '']);
	assert.equal(cellLink('odd-data', { name: 'label' }, { bond_id: 7 }), '/bonds/7');
	assert.equal(cellLink('bonds', { name: 'label' }, { id: 8 }), '/bonds/8');
	assert.equal(cellLink('odd-data', { name: 'line' }, { line_id: 3 }), '/lines/3');
	assert.equal(cellLink('kits', { name: 'label' }, { id: 8 }), null);
});

const bookValues = [
	{ path: 'table.one.normal', titles: ['Table', 'One', 'Normal'], unit: 'months', type: 'whole', default: 12, basis: 'example', source: 'An example.' },
	{ path: 'table.one.share', titles: ['Table', 'One', 'Share'], unit: '%', type: 'number', default: null, basis: 'standard', source: 'Not used.' },
	{ path: 'notice_days', titles: ['Notice'], unit: 'days', type: 'whole', default: 30, basis: 'example', source: 'An example: so long.' },
	{ path: 'severity.loose', titles: ['Defect', 'Loose'], unit: null, type: 'word', words: 'severity', default: 'act', basis: 'example', source: 'An example.' },
	{ path: 'new_value', titles: ['New'], unit: null, type: 'whole', default: 2, basis: 'common_practice', source: 'Common practice.' }
];
const bookWords = { severity: new Map([['none', 'no defect'], ['act', 'act on it']]) };
const basisWords = new Map([['standard', 'standard'], ['common_practice', 'common practice'], ['example', 'example']]);
const book = { from_day: '2026-01-01', table: { one: { normal: 12 } }, notice_days: 30, severity: { loose: 'act' }, new_value: 2 };

test('a rulebook is flat by path, and whole again', () => {
	const flat = flatten(book);
	assert.equal(flat.get('table.one.normal'), 12);
	assert.deepEqual(unflatten(flat), book);
	flat.set('table.one.normal', null);
	assert.deepEqual(unflatten(flat).table, { one: {} });
});

test('no value of a rulebook is without a section', () => {
	const sections = inSections(bookValues);
	assert.equal(sections.flatMap(({ singles, cells }) => [...singles, ...cells]).length, bookValues.length);
	const further = sections.at(-1);
	assert.equal(further.title, 'Further values');
	assert.deepEqual(further.singles.map(({ path }) => path), ['table.one.normal', 'table.one.share', 'new_value']);
});

test('tells in which values two rulebooks differ', () => {
	const after = flatten(book);
	after.set('notice_days', 20);
	after.set('table.one.share', 5);
	const changed = differences(bookValues, flatten(book), after);
	assert.deepEqual(changed.map(({ path, before, after: then }) => [path, before, then]), [['table.one.share', null, 5], ['notice_days', 30, 20]]);
	assert.equal(figureWords(changed[0], changed[0].before, bookWords), 'not used');
	assert.equal(figureWords(changed[0], changed[0].after, bookWords), '5 %');
	assert.equal(figureWords(bookValues[3], 'act', bookWords), 'act on it');
});

test('says what a value rests on: given, or the railway\u2019s own with its reason', () => {
	const [, , notice] = bookValues;
	assert.deepEqual(restsOn(notice, 30, undefined, basisWords), { word: 'example', why: 'An example: so long.' });
	assert.deepEqual(restsOn(notice, 30, 'Agreed.', basisWords), { word: OWN, why: 'Agreed.' });
	assert.deepEqual(restsOn(notice, 20, undefined, basisWords, { version: 3, reason: 'A review.' }), { word: OWN, why: 'No reason of its own; version 3: A review.' });
	assert.equal(countExamples(bookValues, flatten(book), new Map()), 3);
	assert.equal(countExamples(bookValues, flatten({ ...book, notice_days: 20 }), new Map([['severity.loose', 'So.']])), 1);
});

test('says of each version whether it holds', () => {
	// by hand, on a day in June 2026 with version 4 in force; 3 was decided before it for a later day, and takes effect on that
	const rows = [[5, '2027-01-01'], [4, '2026-05-01'], [3, '2026-07-01'], [2, '2026-01-01'], [1, '1900-01-01']].map(([version, from_day]) => ({ version, from_day }));
	assert.deepEqual(standings(rows, 4).map(({ standing }) => standing), ['holds from 2027-01-01', 'in force', 'holds from 2026-07-01', 'held until 2026-05-01', 'held until 2026-01-01']);
	assert.equal(nextVersion(rows, rows[1]).version, 3);
	// 3 is withdrawn, 6 has the day of 5
	const more = [{ version: 6, from_day: '2027-01-01' }, ...rows.map((row) => row.version === 3 ? { ...row, withdrawn: {} } : row)];
	assert.deepEqual(standings(more, 4).map(({ standing }) => standing), ['holds from 2027-01-01', 'replaced by version 6', 'in force', 'withdrawn as wrong', 'held until 2026-05-01', 'held until 2026-01-01']);
	assert.equal(nextVersion(more, more[2]).version, 6);
	assert.equal(nextVersion([rows[4]], rows[4]), undefined);
});

test('says what other rules said, and which', () => {
	const grades = new Map([['sound', 'sound'], ['act', 'act']]);
	const one = { grade: 'sound', rulebook_version: 2, edition: 1, until: '2026-11-30T10:00:00Z', withdrawn: null };
	const withdrawn = { reason: 'A slipped decimal.', person: 'Ada Marsh', recorded_at: '2026-12-01T10:00:00Z' };
	assert.equal(formerWords({ formerly: [], edition: 2 }, grades), '');
	assert.equal(formerWords({ formerly: [one], edition: 2 }, grades), 'By the rules of edition 1: sound, until 2026-11-30.');
	assert.equal(formerWords({ formerly: [one, { ...one, grade: 'act', edition: 2, rulebook_version: 3, withdrawn }], edition: 2 }, grades),
		'By the rulebook\u2019s version 3 (withdrawn as wrong on 2026-12-01 by Ada Marsh, because: A slipped decimal.): act, until 2026-11-30.');
});

test('says how far new rules are followed', () => {
	assert.equal(followingWords({ followed: true }), '');
	assert.equal(followingWords({ followed: true, import: null }), '');
	assert.equal(followingWords({ followed: true, import: 12 }), 'The bonds of import 12 are being made again; those that are not yet are shown as they were before.');
	assert.equal(followingWords({ followed: false, new_edition: true, version: 1, followed_bonds: 1200, of_bonds: 4002 }), '1\u202f200 of 4\u202f002 bonds by the new rules so far; the others are shown as they were before.');
	assert.equal(followingWords({ followed: false, new_edition: false, version: 3, followed_bonds: 0, of_bonds: 1 }), '0 of 1 bond by version 3 of the rulebook so far; the others are shown as they were before.');
});

test('a value that a version lacks is said to be the edition\u2019s, whatever it is', () => {
	const [, , notice] = bookValues;
	assert.deepEqual(restsOn(notice, 30, undefined, basisWords, undefined, 2), { word: LACKS, why: 'From edition 2 of the rules. An example: so long.' });
});

test('finds the version that brought a value', () => {
	const [one, two] = [flatten(book), flatten({ ...book, notice_days: 20 })];
	const since = broughtBy(bookValues, [{ version: 1, flat: one }, { version: 2, flat: two, reason: 'x' }, { version: 3, flat: two, reason: 'y' }]);
	assert.equal(since.get('notice_days').version, 2);
	assert.equal(since.has('new_value'), false);
});

test('a refused value is named in the words of the trade', () => {
	assert.deepEqual(namedProblems([{ field: 'rulebook.notice_days', detail: 'notice_days must be so' }, { field: 'reason', detail: 'reason is required' }], bookValues),
		[{ field: 'notice_days', detail: 'Notice must be so' }, { field: 'reason', detail: 'reason is required' }]);
});

const none = { states: [{ before: 'later', after: 'later', count: 9 }], grades: [], verdicts: [], due_moved: [], lines: [] };

test('a trial is told in sentences, what matters most first', () => {
	const words = { verdict: new Map([['within', 'within'], ['unproven', 'unproven'], ['over', 'over']]), grade: new Map([['sound', 'sound'], ['watch', 'watch']]) };
	const result = {
		...none, due_moved: [{ from_days: 1, to_days: 31, earlier: 5, later: 0 }, { from_days: 32, to_days: null, earlier: 1, later: 2 }],
		states: [{ before: 'later', after: 'overdue', count: 400 }, { before: 'due', after: 'overdue', count: 12 }, { before: 'overdue', after: 'due', count: 1 }, { before: 'overdue', after: 'overdue', count: 70 }],
		verdicts: [{ before: 'within', after: 'over', count: 3 }, { before: 'within', after: 'unproven', count: 15 }, { before: 'within', after: 'within', count: 99 }],
		grades: [{ before: 'sound', after: 'watch', count: 1 }], places_before: 41, places_after: 57
	};
	// by hand: 400 + 12; 15 + 3; 5 + 1 earlier, 2 later
	assert.deepEqual(trialSentences(result, words), [
		'412 bonds more would be overdue today, and 1 bond would not be overdue any more.',
		'18 verdicts of last readings would be another: 15 from within to unproven; 3 from within to over.',
		'1 bond would have another grade: 1 from sound to watch.',
		'8 due days would move: 6 earlier, 2 later.',
		'There would be 57 repeat places instead of 41.'
	]);
	assert.match(trialSentences(none, words)[0], /^Nothing would change today/);
	assert.equal(trialSentences({ ...none, places_before: 4, places_after: 4 }, words).length, 1);
});

test('a trial as tables: from what to what, the lines with most changes first', () => {
	const { rows, columns, count } = moveTable([{ before: 'later', after: 'soon', count: 2 }, { before: 'later', after: 'later', count: 5 }], new Map([['later', ''], ['soon', ''], ['due', '']]));
	assert.deepEqual([rows, columns, count('later', 'soon'), count('soon', 'later')], [['later'], ['later', 'soon'], 2, 0]);
	const line = (line_id, overdue_before, overdue_after, grades, verdicts) => ({ line_id, overdue_before, overdue_after, grades, verdicts });
	assert.deepEqual(linesByChange([line(1, 0, 2, 0, 0), line(2, 9, 3, 0, 0), line(3, 0, 0, 1, 2)]).map((one) => one.line_id), [2, 3, 1]);
	assert.equal(stepWords({ from_days: 1, to_days: 31 }), '1 to 31');
	assert.equal(stepWords({ from_days: 732, to_days: null }), '732 and more');
});

test('a sentence of the server has the label of its field, and nothing that only a program counts', () => {
	assert.equal(labelled('how is required: a text of at most 500 bytes', 'how', 'How'), 'Fill in "How".');
	assert.equal(labelled('mode is required: one of cable_broken, missing', 'mode', 'What failed', true), 'Choose one: "What failed".');
	assert.equal(labelled('note must be at most 2000 bytes long; it has 2001', 'note', 'Note'), 'Note is too long: say it in fewer words.');
	assert.equal(labelled('temp_c must be a number of at least −60 °C; it is -90', 'readings[0].temp_c', 'Cable temperature, °C'),
		'Cable temperature, °C must be a number of at least −60 °C; it is -90');
	for (const own of ['An inspection on 2030-01-01 cannot be: that is after today.', 'however it is'])
		assert.equal(labelled(own, 'how', 'How'), own);
	assert.equal(labelled('how is required: a text', 'how', ''), 'how is required: a text');
});

test('an import says when it does not count', () => {
	assert.equal(standingWords({ standing: 'counts', withdrawn: false, ended_because: null }), '');
	assert.equal(standingWords({ standing: 'counts', withdrawn: true, ended_because: null }), 'withdrawn');
	assert.equal(standingWords({ standing: 'being_withdrawn', withdrawn: false, ended_because: null }), 'being withdrawn: it counts until that is done');
	assert.equal(standingWords({ standing: 'under_way', withdrawn: false, ended_because: null }), 'under way: it counts for nothing yet');
	assert.equal(standingWords({ standing: 'ended', withdrawn: false, ended_because: 'Row 5 is wrong.' }), 'nothing of it counts. Row 5 is wrong.');
});
