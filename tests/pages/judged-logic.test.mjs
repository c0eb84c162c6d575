// What pages say and draw of a judgement, of a rail and of an attachment. Figures by hand.
import assert from 'node:assert/strict';
import { test } from 'node:test';

import { readingOf } from '../../static/js/logic/address.js';
import { acceptanceLine, acceptanceQuestion, acceptedWords, attachmentBody } from '../../static/js/logic/attachment.js';
import { bandOn, forecastMarks, forecastWords, lastWords, limitRows, mainLine, spanOf, trendWords, withBounds, wordRows } from '../../static/js/logic/judgement.js';
import { renewalOpenWords, renewalWords } from '../../static/js/logic/renewal.js';
import { askedWords, standsWords, toldWords, withPoints } from '../../static/js/logic/readings.js';
import { rulingsOf } from '../../static/js/logic/rulings.js';
import { markWords, mergedClearances, offsetText, railExtent, railMarks, tickStep, usualOffset } from '../../static/js/logic/rail.js';

const words = {
	limit_kind: new Map([['cable', 'the cable'], ['contact', 'one contact'], ['joint', 'the joint']]), verdict: new Map([['over', 'over the limit']]),
	mark_kind: new Map([['spoilt', 'spoilt spot'], ['live', 'live attachment'], ['weld', 'weld']]), attach_method: new Map([['bolted', 'drilled and bolted']])
};

test('a value has as many decimals as its uncertainty has two figures', () => {
	assert.equal(withBounds(41.79347, 1.179), '41.8 ± 1.2');
	assert.equal(withBounds(0.9333, 0.157), '0.93 ± 0.16');
	assert.equal(withBounds(1234.5, 123), '1235 ± 123');
	assert.equal(withBounds(13.9, null), '13.90');
	assert.equal(withBounds(null, 1), '');
});

test('the line and its band follow the coefficients that the API gives', () => {
	// by hand: 1/3 + 2 * 0.001 * 10 + 0.005 * 100 + 0.6^2 = 1.213333
	const { at, half } = bandOn({ level: 2, mean_day: 10, slope_per_day: 0.15, var_level: 1 / 3, cov: 0.001, var_slope: 0.005 }, 0.6, 20);

	assert.ok(Math.abs(at - 3.5) < 1e-12);
	assert.ok(Math.abs(half - 1.959964 * Math.sqrt(1.2133333333)) < 1e-9);
});

test('says the last value, and that an open circuit is none', () => {
	const of = { unit: 'µΩ', limit: 50, limit_kind: 'contact', last: { day: '2026-01-02', value: 61, u95: 2, verdict: 'over', open_circuit: false } };

	assert.equal(lastWords(of, words), '61.0 ± 2.0 µΩ on 2026-01-02: over the limit. Limit 50.00 µΩ: one contact.');
	assert.match(lastWords({ ...of, last: { ...of.last, open_circuit: true } }, words), /^Open circuit on 2026-01-02\./);
	assert.match(lastWords({ ...of, last: null, limit: null }, words), /^Not measured since the newest attachment\. There is no limit/);
});

const all = { of: 'all', readings: 8, first_day: '2015-01-01', slope_per_year: 2.4, slope_se_per_year: 0.2 };
const newest = { of: 'newest', readings: 4, first_day: '2020-01-01', slope_per_year: 6, slope_se_per_year: 0.45 };
const foretold = {
	lines: [all, newest], rise: 'rising', last_day: '2023-01-01', theil_sen_per_year: 2, no_forecast_because: null,
	early_day: '2027-01-01', early_line: 'newest', early_is_far: false, crosses_day: '2028-01-01', crosses_line: 'newest', crosses_is_far: false,
	crosses_low_day: '2027-02-01', crosses_high_day: '2031-01-01'
};
const alone = { ...foretold, lines: [all], early_line: 'all', crosses_line: 'all' };
const none = { ...foretold, no_forecast_because: 'fewer than 3 readings' };

test('a forecast is two days, each with its line and never more than "if it goes on as it has", or why there is none', () => {
	assert.equal(forecastWords(none), 'No forecast: fewer than 3 readings.');
	assert.equal(forecastWords(alone), 'If it goes on as it has, the limit may be crossed from 2027-01-01 on; the line crosses it on 2028-01-01 (95 %: between 2027-02-01 and 2031-01-01).');
	assert.equal(forecastWords(foretold), 'If it goes on as it has in the newest 4 readings, the limit may be crossed from 2027-01-01 on; the line crosses it on 2028-01-01 (95 %: between 2027-02-01 and 2031-01-01).');
	assert.equal(forecastWords({ ...foretold, crosses_line: 'all', crosses_high_day: null, crosses_is_far: true }),
		'If it goes on as it has, the limit may be crossed from 2027-01-01 on, by the newest 4 readings; the line crosses it on 2028-01-01 (95 %: after 2027-02-01), by all 8 readings, far beyond what was read.');
	assert.match(forecastWords({ ...alone, early_is_far: true, crosses_day: null, crosses_line: null }), /from 2027-01-01 on, far beyond what was read; the line does not cross it within a hundred years\.$/);
});

test('a trend says how sure the rise is, and what each line has', () => {
	const rises = { trend_rise: new Map([['rising', 'rising'], ['not_rising', 'not rising']]) };

	assert.match(trendWords({ trend: foretold, unit: 'µΩ' }, rises), /^Rising: 2\.40 µΩ a year by all 8 readings from 2015-01-01 to 2023-01-01 \(standard error 0\.200 µΩ; Theil–Sen 2\.00 µΩ\); 6\.00 µΩ a year by the newest 4 readings from 2020-01-01 to 2023-01-01 \(standard error 0\.450 µΩ\)\. If it/);
	assert.match(trendWords({ trend: { ...alone, rise: 'not_rising' }, unit: 'm' }, rises), /^Not rising: 2\.40 m a year by 8 readings from/);
	assert.equal(trendWords({ trend: { lines: [], rise: null, no_forecast_because: 'fewer than 3 readings' }, unit: 'm' }, rises), 'No forecast: fewer than 3 readings.');
});

test('what is drawn of a forecast: the band of its line, and its days unless none is told', () => {
	assert.equal(mainLine(foretold), newest);
	assert.equal(mainLine({ ...foretold, early_line: null }), all);
	assert.equal(mainLine({ lines: [], early_line: null }), undefined);
	assert.deepEqual(forecastMarks({ ...foretold, crosses_is_far: true }).map(({ day, name, far }) => [day, name, far]), [['2027-01-01', 'early', false], ['2028-01-01', 'crosses', true]]);
	assert.deepEqual(forecastMarks({ ...foretold, crosses_day: null }).map(({ day }) => day), ['2027-01-01']);
	// over already: the days that hold the due day are not foretold
	assert.deepEqual(forecastMarks(none), []);
	assert.deepEqual(spanOf(['2020-01-01', '2024-01-01'], [none], '2025-01-01'), ['2020-01-01', '2025-01-01']);
});

test('limits stand lowest first; those that are not meant for it are left out', () => {
	const limits = [{ kind: 'cable', value: 60, lowest: false, absence: null, absent_because: null }, { kind: 'contact', value: 50, lowest: true, absence: null, absent_because: null },
		{ kind: 'joint', value: null, lowest: false, absence: 'no_joints', absent_because: 'not known' }, { kind: 'rail', value: null, absence: 'not_used' }];

	assert.deepEqual(limitRows({ limits, unit: 'µΩ' }, words).map(({ text }) => text), ['50.00 µΩ, the one that counts', '60.00 µΩ', 'none: not known']);
});

test('a chart reaches from the first reading over today to a forecast that is not too far off', () => {
	assert.deepEqual(spanOf(['2020-01-01', '2024-01-01'], [{ early_day: '2060-01-01', crosses_day: null }], '2025-01-01'), ['2020-01-01', '2025-01-01']);
	const [from, to] = spanOf(['2020-01-01', '2024-01-01'], [{ early_day: '2026-01-01', crosses_day: '2027-01-01' }], '2025-01-01');
	assert.ok(from === '2020-01-01' && to > '2027-01-01' && to < '2027-07-01', to);
});

const rail = {
	end: 'a', place: { rail_known: true, home_mm: 240, side: 'none' },
	marks: [
		{ kind: 'live', offset_mm: 240, is_placed: true, bond_id: 7, label: 'J1', end: 'a', attachment: '2', method: 'bolted', made_day: '2022-01-01', until_day: null },
		{ kind: 'spoilt', offset_mm: 120, is_placed: true, bond_id: 7, label: 'J1', end: 'a', attachment: '1', method: 'bolted', made_day: '2018-01-01', until_day: '2022-01-01' },
		{ kind: 'live', offset_mm: 400, is_placed: true, bond_id: 7, label: 'J1', end: 'b', attachment: '4', method: 'bolted', made_day: '2021-01-01', until_day: null },
		{ kind: 'live', offset_mm: -700, is_placed: false, bond_id: 8, label: 'F2', end: 'a', attachment: '5', method: null, made_day: null, until_day: null },
		{ kind: 'weld', offset_mm: -150, is_placed: true, bond_id: 8, label: 'F2', end: 'a', attachment: null, method: null, made_day: null, until_day: null }
	]
};

test('words on days that are close stand in rows of their own, and none leaves the chart', () => {
	const rows = (...at) => wordRows(at.map((x, i) => ({ at: x, text: 'ten lettrs', i })), { left: 0, right: 500, letter: 7 })
		.map(({ i, from, row }) => [i, from, row]);

	// each is 70 px wide and begins 4 px beside its mark; 8 px stay free between two
	assert.deepEqual(rows(100, 179, 261.5), [[0, 104, 0], [1, 183, 0], [2, 265.5, 0]]);
	assert.deepEqual(rows(100, 178), [[0, 104, 0], [1, 182, 1]], 'no more than 8 px apart');
	assert.deepEqual(rows(100, 110, 120, 130), [[0, 104, 0], [1, 114, 1], [2, 124, 2], [3, 134, 3]]);
	assert.deepEqual(rows(490, 480), [[1, 430, 0], [0, 430, 1]], 'at the right edge they go to the left');
});

test('what stands on a rail, of whatever bond it is, each with whose it is', () => {
	const marks = railMarks(rail, 7);

	assert.deepEqual(marks.map(({ kind, offset_mm, foreign }) => [kind, offset_mm, foreign]),
		[['live', -700, 'F2 A'], ['weld', -150, 'F2 A'], ['spoilt', 120, ''], ['live', 240, ''], ['live', 400, 'J1 B']]);
	assert.equal(markWords(marks[2], words), 'spoilt spot at +120 mm (drilled and bolted, 2018-01-01 to 2022-01-01)');
	assert.equal(markWords(marks[4], words), 'live attachment at +400 mm (J1 B, drilled and bolted, 2021-01-01)');
	assert.equal(markWords(marks[0], words), 'live attachment at a place that is not recorded, taken for the reference mark, \u2212700 mm (F2 A)');
	assert.equal(usualOffset(rail.place), 240);
	assert.equal(usualOffset({}), 0);
	assert.equal(offsetText(-150), '\u2212150 mm');
	assert.deepEqual(railMarks(rail, 7, '2').map(({ attachment }) => attachment), ['5', null, '1', '4'], 'what is corrected is not in its own way');
});

test('the drawing reaches over all clearances; those that meet are one bar', () => {
	const marks = [{ offset_mm: -150 }, { offset_mm: 120 }, { offset_mm: 240 }];

	assert.deepEqual(mergedClearances(marks, [50, 100, 100]), [{ from_mm: -200, to_mm: -100 }, { from_mm: 20, to_mm: 340 }]);
	assert.deepEqual(railExtent(marks, [50, 100, 100], [500, null]), { from_mm: -260, to_mm: 560 });
	assert.deepEqual(railExtent([], [], []), { from_mm: -300, to_mm: 300 });
	assert.deepEqual([tickStep(600, 6), tickStep(820, 4)], [100, 500]);
});

test('an attachment is sent with what applies, and every wrong figure is named', () => {
	const typed = { bond_id: '7', end: 'a', made_day: '2026-01-02', method: 'bolted', offset_mm: '\u2212120', ground_bright: 'yes', hammer_passed: '', arc_s: '2,1', kit: '', note: ' Rain. ' };

	assert.deepEqual(attachmentBody(typed, ['ground_bright', 'reading']), {
		body: { bond_id: 7, end: 'a', made_day: '2026-01-02', method: 'bolted', offset_mm: -120, ground_bright: true, note: 'Rain.' }, errors: []
	});
	assert.equal(attachmentBody(typed, null).body.arc_s, 2.1);
	assert.deepEqual(attachmentBody({ ...typed, end: '', offset_mm: '1,5', arc_s: 'x' }, null).errors.map(({ field }) => field), ['end', 'offset_mm', 'arc_s']);
	assert.deepEqual(acceptanceQuestion({ ...typed, hammer_passed: 'no', stub_mm: 'x' }), { method: 'bolted', ground_bright: true, hammer_passed: false, arc_s: 2.1 });
	assert.equal(acceptanceQuestion(typed, true).spot_taken, true);
	assert.equal('spot_taken' in acceptanceQuestion(typed), false, 'a spot that is not known is not called good');
	assert.equal(attachmentBody({ ...typed, corrects: 'u' }, null).body.corrects, 'u');
	// the bounds of GET /api: a stub has no height below zero, no offset is beyond 100 m
	assert.deepEqual(attachmentBody({ ...typed, offset_mm: '-100001', stub_mm: '-1' }, null).errors.map(({ field }) => field), ['offset_mm', 'stub_mm']);
	assert.deepEqual(attachmentBody({ ...typed, offset_mm: '-100000', stub_mm: '0' }, null).errors, []);
	assert.equal('stub_mm' in acceptanceQuestion({ ...typed, stub_mm: '-1' }), false, 'it is not called good');
});

test('what the checks come to: bad, all good, missing, or only the reading missing', () => {
	const good = { check: 'arc', is: 'good' }, none = { check: 'hold', is: 'not_recorded' }, reading = { check: 'reading', is: 'not_recorded' };

	assert.deepEqual(acceptedWords({ accepted: 'not_accepted', spoils_spot: true, checks: [good] }), { verdict: 'over', title: 'Not accepted: this spot is spoilt' });
	assert.deepEqual(acceptedWords({ accepted: 'not_accepted', spoils_spot: false, checks: [good] }), { verdict: 'over', title: 'Not accepted yet: to be mended here' });
	assert.equal(acceptedWords({ accepted: 'accepted', checks: [good] }).title, 'Accepted');
	assert.equal(acceptedWords({ accepted: 'open', checks: [good, none, reading] }).title, 'Open: 1 check is not recorded');
	assert.match(acceptedWords({ accepted: 'open', checks: [good, reading] }).title, /^Good so far/);
});

test('the acceptance on record is a line: why it was refused, or what is open', () => {
	const good = { check: 'arc', is: 'good' }, none = { check: 'hold', is: 'not_recorded' }, reading = { check: 'reading', is: 'not_recorded' };
	const bad = { check: 'stub', is: 'bad', sentence: 'The stub stands 3 mm.' };

	assert.equal(acceptanceLine({ accepted: 'not_accepted', spoils_spot: false, checks: [good, bad, none] }), 'not accepted, can be mended here: The stub stands 3 mm.');
	assert.equal(acceptanceLine({ accepted: 'not_accepted', spoils_spot: true, checks: [good, { check: 'spot', is: 'bad', sentence: 'It is on a spoilt spot.' }] }, '40 mm is too near to F1.'),
		'not accepted, the spot is spoilt: 40 mm is too near to F1.');
	assert.equal(acceptanceLine({ accepted: 'accepted', checks: [good] }), 'accepted');
	assert.equal(acceptanceLine({ accepted: 'open', checks: [good, none, reading] }), 'open: 1 check is not recorded');
	assert.equal(acceptanceLine({ accepted: 'open', checks: [none, reading] }), 'no check is on record');
	assert.match(acceptanceLine({ accepted: 'open', checks: [good, reading] }), /^every check good, without a commissioning reading/);
	assert.equal(acceptanceLine(undefined), '', 'nothing is fixed there');
});

test('a working is found by the inspection and the number of its reading', () => {
	assert.deepEqual(readingOf('/readings/018ad3d1-d5f8-758a-a09a-177d2d28e314/2'), { inspection: '018ad3d1-d5f8-758a-a09a-177d2d28e314', number: '2' });
});

test('a renewal says where, and how many ends have no answer', () => {
	const one = { day: '2026-03-01', track: 'Up', rails: 'both', from: '1+000', to: '1+100', taken_off: 3, without_answer: 2 };

	assert.equal(renewalWords(one, { renewed_rails: new Map([['both', 'both rails']]) }), '2026-03-01: Up, both rails, 1+000 to 1+100');
	assert.equal(renewalOpenWords(one), '2 of 3 ends without an answer');
	assert.equal(renewalOpenWords({ taken_off: 1, without_answer: 1 }), '1 of 1 end without an answer');
	assert.equal(renewalOpenWords({ taken_off: 3, without_answer: 0 }), 'all 3 ends answered');
	assert.equal(renewalOpenWords({ taken_off: 0, without_answer: 0 }), 'no end was there');
});

const said = { verdict: new Map([['within', 'within the limit'], ['over', 'over the limit'], ['none', 'no verdict']]), reading_status: new Map([['open', 'waits for an answer'], ['dropped_over', 'a later one took its place']]),
	entry: new Map([['failure', 'failure']]), grade: new Map([['sound', 'sound'], ['act', 'act']]) };

test('a reading that waits stands as that, never by a verdict, and says what it would be', () => {
	const open = { status: 'open', verdict: 'none', would: 'over', asked: [{ question: 'meter', sentence: 'the instrument is not to be believed' }] };

	assert.equal(standsWords(open, said), 'waits for an answer');
	assert.equal(askedWords(open), 'The instrument is not to be believed. If it counts the bond is over its limit, and it is taken so until it is answered.');
	assert.equal(askedWords({ ...open, status: 'evidence', verdict: 'within' }), '', 'it was answered');
	assert.equal(standsWords({ status: 'dropped_over', verdict: 'none' }, said), 'a later one took its place');
	assert.equal(standsWords({ status: 'evidence', verdict: 'within' }, said), 'within the limit');
	assert.match(askedWords({ status: 'evidence', verdict: 'none', parallel: true, only_over: true }), /^It shows another path beside the bond/);
	assert.match(askedWords({ status: 'evidence', verdict: 'none', only_over: true }), /can only show that the bond is over/);
	assert.equal(askedWords({ status: 'evidence', verdict: 'over', only_over: true }), '');
});

test('what was told on its day stands beside what is told today, each with its rulebook', () => {
	assert.equal(toldWords({ verdict: 'over', told: 'within', told_version: 1 }, said), "within the limit under rulebook 1, on its day; over the limit by today's");
	assert.equal(toldWords({ verdict: 'within', told: 'within', told_version: 1 }, said), '');
	assert.equal(toldWords({ verdict: 'within', told: null }, said), '');
	assert.equal(toldWords({ verdict: 'within', told: 'none', told_version: 1 }, said), '');
});

test('a reading is found among the points of the judgement by its visit and number', () => {
	const rows = [{ number: 7, n: 1, verdict: 'none', status: 'open' }, { number: 8, n: 0, verdict: 'within', status: 'evidence' }];
	const points = [{ points: [{ inspection: 7, n: 0, asked: ['other'] }, { inspection: 7, n: 1, asked: ['this'], parallel: true, told: 'none', told_version: 2 }] }, { points: [] }];
	const [one, other] = withPoints(rows, points);

	assert.deepEqual([one.asked, one.parallel, one.told_version, one.status], [['this'], true, 2, 'open']);
	assert.deepEqual([other.asked, other.verdict, 'told' in other], [undefined, 'within', false]);
});

test('an engineer\'s word has a body for each: confirm, clear, accept', () => {
	const rows = rulingsOf({ bond: { id: 3 }, waiting: [{ entry: 'failure', uuid: 'u', grade_before: 'act', grade_after: 'sound', person: 'P', reason: 'Why.' }],
		toMend: [{ key: 1, words: 'contact over', since_day: '2026-01-01', quantity: 'contact_a' }, { key: 9, words: 'failure: burnt', quantity: null }],
		attachments: [{ end: 'b', end_words: 'Mast 7', uuid: 'w', made_day: '2026-01-01' }] }, said);

	assert.deepEqual(rows.map(({ body }) => body), [
		{ kind: 'confirms_correction', entry: 'failure', entry_id: 'u' },
		{ kind: 'clears_over', bond_id: 3, quantity: 'contact_a' },
		{ kind: 'accepts_attachment', entry_id: 'w' }]);
	assert.deepEqual(rows.map(({ isForAll }) => isForAll), [true, false, false]);
	assert.equal(rows[2].words, 'The attachment at Mast 7 of 2026-01-01 was not accepted.');
});
