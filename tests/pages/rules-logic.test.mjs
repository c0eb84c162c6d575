// The rules of the tablet in node: rules-logic.test.mjs, with RULES_WASM naming rules.wasm.
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';

import { judgeReading } from '../../static/js/logic/judge.js';
import { loadRules } from '../../static/js/logic/rules.js';
import { CASES, RULEBOOK, wrongAnswers } from './support/cases.mjs';

const bytes = readFileSync(process.env.RULES_WASM);
const adopted = async () => {
	const rules = await loadRules(bytes);
	rules.adopt(RULEBOOK);
	return rules;
};

test('imports nothing', () => assert.deepEqual(WebAssembly.Module.imports(new WebAssembly.Module(bytes)), []));

test('answers every case as the native rules do', async () => {
	const rules = await loadRules(bytes);

	assert.deepEqual(wrongAnswers(rules, CASES, RULEBOOK), []);
	assert.deepEqual(rules.names.filter((name) => !CASES.some((one) => one.rule === name)), [], 'each rule has a case');
});

test('finds a wrong answer', async () => {
	const [one] = CASES.filter(({ out }) => out.r20_uohm === 146.0848);
	const asked = (out) => wrongAnswers(rules, [{ ...one, out }], RULEBOOK).length;
	const rules = await adopted();

	assert.equal(asked(one.out), 0);
	assert.equal(asked({ r20_uohm: 146.0849 }), 1);
	assert.equal(asked({ r20_uohm: null }), 1);
	assert.equal(asked({ remark: 'one_direction' }), 1);
	assert.equal(asked({ thermal_uv: 0 }), 1);
});

test('judges nothing before a rulebook is adopted, nor after one that it cannot read', async () => {
	const rules = await loadRules(bytes);
	const question = { quantity: 'contact_a', method: 'four_wire', shown_uohm: 12 };

	assert.throws(() => rules.ask('reading', question), /no rulebook/);
	rules.adopt(RULEBOOK);
	assert.equal(rules.ask('reading', question).r_uohm, 12);
	assert.throws(() => rules.adopt({ ...RULEBOOK, of_a_later_version: 1 }), /know no of_a_later_version/);
	assert.throws(() => rules.ask('reading', question), /no rulebook/);
});

test('refuses what it does not know rather than leave it out', async () => {
	const rules = await adopted();

	assert.throws(() => rules.ask('reading', { quantity: 'end_to_end', ohms: 1 }), /know no ohms/);
	assert.throws(() => rules.ask('reading', { quantity: 'sideways' }), /quantity has no word sideways/);
	assert.throws(() => rules.ask('telling', {}), /no rule telling/);
});

test('takes the largest map, and says when a question is larger than its memory', async () => {
	const rules = await adopted();
	const map = (n) => Array.from({ length: n }, (_, i) => ({ distance_mm: i * 1000, start_mm: i * 1000, end_mm: i * 1000 + 1000 }));
	const ask = (n) => rules.ask('chainage', { notation: 'km_m', text: '0+000', stretches: map(n) });

	assert.equal(ask(256).distance_mm, 0);
	assert.match(ask(257).problem, /at most 256 stretches/);
	assert.throws(() => ask(10000), /too large/);
	assert.equal(ask(1).distance_mm, 0, 'and goes on after that');
});

test('cuts a long text in a sentence as the native rules do', async () => {
	const rules = await adopted();
	const { problem } = rules.ask('chainage', { notation: 'km_m', text: 'Ünder the brïdge '.repeat(30) });

	assert.ok(new TextEncoder().encode(problem).length < 320);
	assert.doesNotMatch(problem, /�/);
});

/* A cross bond of 3 m copper, 95 mm²: 579 µΩ (IEC 60228), limit (579 + 20) x 1.1 = 658.9 µΩ by the cases' rulebook. */
const known = { material: 'copper', limit: { kind: 'track_cross', criticality: 'normal', cable_uohm_per_m: 193, length_m: 3, cables: 1 },
	instruments: [{ id: 4, calibrations: [{ calibrated_day: '2026-01-01', due_day: '2027-01-01', percent: 1, uohm: 0.5 }] }] };
const visit = { day: '2026-05-05', purpose: 'routine' };
const shown = (shown_uohm, more = {}) => ({ quantity: 'end_to_end', method: 'four_wire', shown_uohm, temp_c: 20, instrument_id: 4, ...more });
const questions = ({ asked = [] }) => asked.map(({ question }) => question);

test('the tablet asks before it judges, and compares with the last evidence', async () => {
	const rules = await adopted();
	const judge = (reading, others, more = {}) => judgeReading(rules, { ...known, ...more }, reading, visit, others);

	assert.deepEqual([judge(shown(600)).status, judge(shown(600)).verdict], ['evidence', 'within']);
	const slip = judge(shown(4.8));
	assert.deepEqual([slip.status, slip.verdict, questions(slip), slip.evidence], ['open', 'none', ['far_below'], false]);
	assert.deepEqual(questions(judge(shown(600), [], { compared: { end_to_end: 299 } })), ['away']);
	assert.deepEqual(questions(judge(shown(600), [], { compared: { end_to_end: 301 } })), [], 'within a factor of two');
	assert.deepEqual(questions(judge(shown(600), [], { compared: { contact_a: 299 } })), [], 'of another quantity');
	const twice = judge(shown(2100), [shown(2110)]);
	assert.deepEqual([twice.status, twice.verdict], ['evidence', 'over'], 'agreeing, both count');
	assert.deepEqual(questions(judge(shown(600), [shown(700)])), ['twice']);
	assert.equal(judge(shown(600, { instrument_id: undefined })).evidence, false, 'no instrument is no evidence');
});

test('a second commissioning is judged by the first one\'s value', async () => {
	const rules = await adopted();
	const answer = judgeReading(rules, { ...known, baseline: { end_to_end: 400 } }, shown(640), { ...visit, purpose: 'commissioning' });

	assert.deepEqual([answer.limit, answer.verdict], [600, 'over'], '1.5 x 400');
});

test('a joint in circuit, a lug, and a bond that was opened', async () => {
	const rules = await adopted();
	const joint = { ...known, limit: { ...known.limit, kind: 'rail_joint' } };
	const ask = (reading, more) => judgeReading(rules, joint, reading, { ...visit, ...more });

	assert.deepEqual([ask(shown(600)).in_circuit, ask(shown(600)).verdict, ask(shown(700)).verdict], [true, 'none', 'over']);
	assert.deepEqual([ask(shown(600), { alone: true }).in_circuit, ask(shown(600), { alone: true }).verdict], [false, 'within']);
	const contact = (probed) => ask({ quantity: 'contact_a', method: 'four_wire', shown_uohm: 6, instrument_id: 4, probed });
	assert.deepEqual([contact('strands').verdict, contact('lug').verdict], ['within', 'none']);
});
