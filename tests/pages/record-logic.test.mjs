import assert from 'node:assert/strict';
import { webcrypto } from 'node:crypto';
import { test } from 'node:test';

import { blankVisit, keyTo, leaveAsked, nextWanted, openedBeside, putBy, temperature, turnTo, visitBody, wanting } from '../../static/js/logic/bond-visit.js';
import { correctionOf, movedVisit, withdrawalsOf } from '../../static/js/logic/visit-again.js';
import { partsOfEnds } from '../../static/js/logic/end-parts.js';
import { inMicro, keyed } from '../../static/js/logic/keyed.js';

globalThis.crypto ??= webcrypto;

const NOW = Date.parse('2026-11-26T01:00:00Z');
const NIGHT = { day: '2026-11-25', instrument_id: 3, method: 'four_wire', person: 'Colm Hart' };
const KNOWN = { round: 'r', cables: 1, proof: null, now: NOW };
const visit = (more = {}) => ({ ...blankVisit({ bond_id: 7, proof: null }), ...more });
const good = { a: 'good', b: 'good' };

test('a key adds itself and nothing else', () => {
	assert.equal([...'4.6.5'].reduce(keyed, ''), '4.65', 'one decimal mark');
	assert.equal(keyed('465', 'back'), '46');
	assert.equal(keyed(keyed('12', 'sign'), 'sign'), '12');
	assert.equal(keyed('123456789', '0'), '123456789');
	assert.equal(keyed('12345678', '9'), '123456789');
});

test('a milliohm is a thousand microohms', () => {
	assert.equal(inMicro('0.465', true), '465');
	assert.equal(inMicro('465', false), '465');
	assert.equal(inMicro('-', true), '-', 'a sign is no figure');
});

test('a new bond has nothing of another: no end is good before somebody says so', () => {
	assert.deepEqual([visit().seen, visit().text, visit().keyed], [{}, '', []]);
	assert.ok(visitBody(visit(), NIGHT, KNOWN).errors.length > 0, 'nothing is not saved');
	assert.equal(visitBody(visit({ seen: { a: 'good' }, text: '465' }), NIGHT, KNOWN).body.outcome, 'partly');
});

test('both ends and the figure are a complete inspection of the round', () => {
	const { body, errors } = visitBody(visit({ seen: good, text: '465' }), NIGHT, KNOWN);

	assert.deepEqual(errors, []);
	assert.deepEqual([body.outcome, body.round, body.day, body.seen_a, body.seen_b, body.cables_whole],
		['complete', 'r', '2026-11-25', 'good', 'good', undefined]);
	assert.deepEqual(body.readings, [{ quantity: 'end_to_end', method: 'four_wire', shown_uohm: 465, instrument_id: 3 }]);
	assert.equal(visitBody(visit({ seen: good }), NIGHT, KNOWN).body.outcome, 'partly', 'without its reading it is not');
});

test('a word of a broken path is not sent before it is said whether it failed', () => {
	const loose = { seen: { a: 'loose', b: 'good' }, text: '465' };

	assert.deepEqual(visitBody(visit(loose), NIGHT, KNOWN).errors.map(({ field }) => field), ['failed']);
	const { body, errors } = visitBody(visit({ ...loose, failed: 'no' }), NIGHT, KNOWN);
	assert.deepEqual([errors, body.failed], [[], false]);
});

test('a temperature of another bond is carried for an hour, and one without its time is not known', () => {
	const at = (ms) => temperature({ temp_c: -5, temp_at_ms: NOW - ms }, visit(), NOW);

	assert.deepEqual(at(3600000), { temp_c: '-5', temp_carried: 'yes', carried_at: NOW - 3600000 });
	assert.deepEqual(at(3600001), {});
	assert.deepEqual(temperature({ temp_c: -5 }, visit(), NOW), {});
});

test('each contact is asked for, and needs to be said where the probe stood', () => {
	const contacts = { ...KNOWN, proof: 'contacts' };
	const one = visit({ seen: good, quantity: 'contact_a', text: '12' });

	assert.equal(nextWanted(one, 'contacts'), 'contact_b');
	const { body, errors } = visitBody(one, NIGHT, contacts);
	assert.deepEqual([body.outcome, errors.map(({ field }) => field)], ['partly', ['readings[0].probed']]);
});

test('what was put by comes back whole, and keeps the meter that it was read with', () => {
	const one = visit({ text: '465' });

	putBy(one, { instrument_id: 3, method: 'four_wire' });
	assert.equal(one.text, '', 'no figure is repeated');
	keyTo(one, '7');
	const { body } = visitBody(one, { ...NIGHT, instrument_id: 4 }, KNOWN);
	assert.deepEqual(body.readings.map(({ shown_uohm: shown, instrument_id: by }) => [shown, by]), [[465, 3], [7, 4]]);
	keyTo(one, 'back');
	keyTo(one, 'back');
	assert.deepEqual([one.text, one.keyed, one.by.instrument_id], ['465', [], 3]);
	keyTo(one, 'back');
	assert.equal(one.text, '46');
});

test('each quantity has its own figure, and the other\'s comes back when it is turned to', () => {
	const one = visit({ quantity: 'contact_a', text: '12', probed: 'strands' });

	turnTo(one, 'contact_b', NIGHT);
	assert.deepEqual([one.text, one.probed], ['', undefined], 'nothing of A stands at B');
	keyTo(one, '9');
	turnTo(one, 'contact_a', NIGHT);
	assert.deepEqual([one.text, one.probed], ['12', 'strands']);
});

test('what is left asked is those figures in that unit', () => {
	const one = visit({ text: '1' });

	leaveAsked(one, 'end_to_end');
	const before = one.left.end_to_end;
	keyTo(one, 'milli');
	leaveAsked(one, 'end_to_end');
	assert.notEqual(one.left.end_to_end, before);
});

test('what was read before something was opened beside it is no reading of the bond alone', () => {
	const one = visit({ text: '90', keyed: [{ text: '12', quantity: 'contact_a' }, { text: '91', quantity: 'end_to_end' }] });

	openedBeside(one, 'the fishplates are off');
	assert.deepEqual([one.text, one.keyed.map(({ quantity }) => quantity)], ['', ['contact_a']]);
});

test('a bond proved by its contacts is complete with both of them and its cables looked at', () => {
	const one = visit({ seen: good, quantity: 'contact_a' });

	assert.deepEqual(wanting(one, 'contacts'), ['contact_a', 'contact_b', 'cables']);
	Object.assign(one, { cables_whole: '1', text: '9', quantity: 'contact_b', keyed: [{ text: '9', quantity: 'contact_a' }] });
	assert.deepEqual(wanting(one, 'contacts'), []);
});

test('two ends keep all that tells them apart', () => {
	const seen = (a, b) => Object.values(partsOfEnds(a, b)).map((parts) => parts.filter(({ isCommon }) => !isCommon).map(({ text }) => text).join(' '));

	assert.deepEqual(seen('Up, right rail (six-foot)', 'Down, left rail (six-foot)'), ['Up, right rail', 'Down, left rail']);
	assert.deepEqual(seen('Up, left rail', 'Mast 7'), ['Up, left rail', 'Mast 7']);
	assert.deepEqual(seen('Up, left rail', 'Up, left rail'), ['Up, left rail', 'Up, left rail'], 'alike: all of both is seen');
	assert.deepEqual(seen(null, null), ['end A', 'end B']);
});

const SENT = { uuid: 'first', what: 'inspections', label: 'B 7', bond_id: 7, body: { bond_id: 7, day: '2026-11-25', at: '2026-11-25T23:00:00Z', purpose: 'routine', outcome: 'complete',
	seen_a: 'good', seen_b: 'loose', failed: true, failure: { uuid: 'f', mode: 'detached' },
	readings: [{ quantity: 'contact_a', method: 'four_wire', shown_uohm: 12, probed: 'strands', instrument_id: 3 },
		{ quantity: 'end_to_end', method: 'four_wire', shown_uohm: 465, temp_c: -5, temp_carried: true, instrument_id: 3 }] } };

test('a correction has what was read then, not the meter and the temperature of now, and needs a reason', () => {
	const one = correctionOf(SENT, null);

	assert.deepEqual([one.text, one.corrects, one.seen], ['465', 'first', { a: 'good', b: 'loose' }]);
	keyTo(one, 'back');
	const { body, errors } = visitBody(one, { ...NIGHT, instrument_id: 9, temp_c: 20, temp_at_ms: NOW }, KNOWN);
	assert.deepEqual(errors.map(({ field }) => field), ['reason']);
	assert.deepEqual([body.readings[1].shown_uohm, body.readings[1].temp_c, body.readings[1].instrument_id, body.at, body.failure.uuid], [46, -5, 3, '2026-11-25T23:00:00Z', 'f']);
});

test('moved to another bond, what was said of one end alone is said anew', () => {
	const one = movedVisit(SENT, { bond_id: 8, proof: null });

	assert.deepEqual([one.bond_id, one.text, one.seen, one.keyed, one.moved_from, one.failed], [8, '465', {}, [], 'first', undefined]);
	assert.deepEqual(movedVisit({ ...SENT, body: { ...SENT.body, seen_b: 'good' } }, { bond_id: 8, proof: null }).seen, good);
});

test('with a correction what it corrects is taken back, which would stand again', () => {
	const second = { ...SENT, uuid: 'second', body: { ...SENT.body, corrects: 'first' } };

	assert.deepEqual(withdrawalsOf(second, [SENT, second], 'keyed wrong').map(({ body }) => [body.entry, body.entry_id]), [['inspection', 'second'], ['inspection', 'first']]);
});
