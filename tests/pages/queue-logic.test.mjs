import assert from 'node:assert/strict';
import { test } from 'node:test';

import { oldThings } from '../../static/js/logic/kept-before.js';
import { heldWords, isAside, leftWords, queueLinks, sorted, standsWords, toSend, waitingWords, waitsFor } from '../../static/js/logic/queue.js';

const COLM = { id: 3, name: 'Colm Hart' }, PIA = { id: 4, name: 'Pia Noor' };
const entry = (n, more = {}) => ({ n, uuid: `uuid-${n}`, what: 'failures', label: `V-${n}`, person: COLM, body: {}, state: 'saved', problem: null, fails: 0, ...more });

test('what the server could not take three times goes last, and is tried all the same', () => {
	const all = [entry(1, { fails: 3 }), entry(2, { fails: 2 }), entry(3), entry(4, { state: 'refused' }), entry(5, { state: 'received' })];

	assert.deepEqual(toSend(all).map(({ n }) => n), [2, 3, 1]);
	assert.deepEqual(all.map(isAside), [true, false, false, false, false]);
});

test('an entry waits for the earlier one that it speaks of, refused or not sent, and for no other', () => {
	const failure = entry(1), repair = entry(2, { what: 'repairs', body: { failure: 'uuid-1', how: 'New lug.' } });

	assert.equal(waitsFor(repair, [failure, repair]), failure);
	assert.equal(waitsFor(repair, [{ ...failure, state: 'refused' }, repair]).n, 1);
	assert.equal(waitsFor(repair, [{ ...failure, state: 'received' }, repair]), undefined);
	assert.equal(waitsFor(failure, [failure, repair]), undefined);
	assert.equal(waitsFor(entry(3, { body: { failure: 'uuid-9' } }), [failure, repair]), undefined);
	assert.equal(standsWords(repair, [failure, repair]), 'Waits for what it speaks of: Failure, V-1.');
});

test('counts what is mine, and what is somebody else\'s apart', () => {
	const now = 2_000_000_000_000, hour = 3_600_000;
	const kept = sorted({
		entries: [entry(1), entry(2, { state: 'refused' }), entry(3, { state: 'received', received_ms: now - 23 * hour }), entry(4, { state: 'received', received_ms: now - 24 * hour }),
			entry(5, { person: PIA }), entry(6, { person: null })],
		drafts: [{ uuid: 'uuid-2', person: COLM }, { uuid: 'd', person: COLM }, { uuid: 'e', person: PIA }]
	}, COLM.id, now);

	assert.deepEqual(Object.entries(kept).map(([name, rows]) => [name, rows.length]), [['saved', 2], ['refused', 1], ['received', 1], ['unfinished', 1], ['others', 1], ['otherDrafts', 1]],
		'a draft of what was refused is no further thing; a day old is not lately');
	assert.deepEqual(queueLinks(kept).map(({ text, href }) => [text, href]), [['2 saved, not sent', '/queue#saved'], ['1 refused', '/queue#refused'], ['1 unfinished', '/queue#unfinished'],
		['1 received', '/queue#received'], ['1 of somebody else', '/queue#others']]);
	assert.equal(waitingWords(kept), '2 saved on this tablet, not sent. The server refused what was recorded of V-2: it is to be mended. 1 kept here for somebody else, who has to sign in to send.');
	assert.equal(leftWords(kept), '2 saved here and not sent yet, 1 refused and not mended, 1 unfinished. They stay on this device, and only you can send them: sign in here again for that.');
	assert.deepEqual(queueLinks(sorted({ entries: [], drafts: [] }, COLM.id, now)), []);
	assert.equal(leftWords(sorted({ entries: [], drafts: [] }, COLM.id, now)), '');
});

test('says why an entry stands where it stands', () => {
	assert.equal(standsWords(entry(1), []), '');
	assert.equal(standsWords(entry(1, { fails: 1 }), []), 'The server could not take it, 1 time.');
	assert.match(standsWords(entry(1, { fails: 3 }), []), /3 times\. The others are sent before it; it is tried again by itself\.$/);
	assert.equal(standsWords(entry(1, { state: 'refused', problem: { detail: 'The day is ahead.' } }), []), 'The day is ahead.');
	assert.equal(heldWords([entry(1), entry(2, { person: PIA }), entry(3, { state: 'received' })]), '2 saved on this device are not received yet, of Colm Hart, Pia Noor: who saved it signs in to send it.');
	assert.equal(heldWords([entry(3, { state: 'received' })]), '');
});

/* A storage as earlier pages left it. */
const storage = (values) => Object.assign(Object.create({ getItem(key) { return this[key] ?? null; } }),
	Object.fromEntries(Object.entries(values).map(([key, value]) => [key, typeof value === 'string' ? value : JSON.stringify(value)])));

test('takes over every draft and entry that earlier pages kept, and leaves what it cannot read', () => {
	const old = oldThings(storage({
		'draft:17': { uuid: 'a', bond_id: '17', note: 'half', person: COLM }, 'draft:17/attach': { uuid: 'b', bond_id: '17', person: 'R. Olver', begun_by: PIA }, 'draft:18': { note: 'no id', bond_id: '18' },
		'unsent:c': { uuid: 'c', bond_id: '17', label: 'V-0017', person_id: 3, body: { day: '2026-01-02' }, typed: { saved_ms: 5 }, refused: null },
		'unsent:d': { what: 'attachments', uuid: 'd', bond_id: '19', label: 'V-0019', person_id: null, body: {}, typed: {}, refused: { detail: 'Too far.', errors: [] } },
		'unsent:undefined': { bond_id: '20', label: 'V-0020', person_id: 3, body: {}, typed: {} },
		'unsent:broken': '{"uuid', 'draft:rulebook': { grace_days: '10' }, 'last:kit': '"K-9"', scheme: 'dark'
	}), 9);

	assert.deepEqual(old.keys.map(([key]) => key), ['draft:17', 'draft:17/attach', 'draft:18', 'unsent:c', 'unsent:d', 'unsent:undefined'], 'what is broken, and what is no entry, stays');
	assert.deepEqual(old.drafts.map(({ uuid, what, bond_id, page, person, at_ms }) => [uuid.length === 36 ? 'new' : uuid, what, bond_id, page, person?.name, at_ms]), [['a', 'inspections', '17', '/bonds/17/inspect', 'Colm Hart', 9],
		['b', 'attachments', '17', '/bonds/17/attach', 'Pia Noor', 9], ['new', 'inspections', '18', '/bonds/18/inspect', undefined, 9]]);
	assert.equal(old.drafts[2].typed.uuid, old.drafts[2].uuid, 'one without an id has one now');
	assert.deepEqual(old.entries.map(({ uuid, what, state, person, saved_ms, problem }) => [uuid.length === 36 ? 'new' : uuid, what, state, person?.id, saved_ms, problem?.detail]), [['c', 'inspections', 'saved', 3, 5, undefined],
		['d', 'attachments', 'refused', undefined, 9, 'Too far.'], ['new', 'inspections', 'saved', 3, 9, undefined]]);
	assert.deepEqual(oldThings(undefined, 9), { keys: [], drafts: [], entries: [] });
});
