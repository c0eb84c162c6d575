// The rules of the tablet in node: rules-logic.test.mjs, with RULES_WASM naming rules.wasm.
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';

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
