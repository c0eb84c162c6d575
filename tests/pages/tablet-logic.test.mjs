/* What a tablet knows after what it recorded itself. Figures by hand. */
import assert from 'node:assert/strict';
import { test } from 'node:test';

import { knownAfter } from '../../static/js/logic/attachment.js';
import { railsWith } from '../../static/js/logic/rail.js';
import { cutWords } from '../../static/js/logic/shift.js';

const mark = (bond_id, end, offset_mm, attachment, more = {}) => ({ kind: 'live', bond_id, end, offset_mm, attachment, is_placed: true, ...more });
const end = (name, marks, more = {}) => ({ end: name, on: 'rail', marks, place: { rail_known: true, home_mm: 0, across: false, unplaced: 0, ...more } });
/* Bond 2's reference mark of end A lies 1,000 mm up the rail from bond 1's. */
const PACK = {
	bond_rows: [{ bond_id: 1, line_id: 1, distance_mm: 5000 }, { bond_id: 2, line_id: 1, distance_mm: 6000 }, { bond_id: 3, line_id: 1, distance_mm: 9000 },
		{ bond_id: 4, line_id: 1, distance_mm: 5_000_000 }],
	bonds: [{ bond_id: 1, rail: { ends: [end('a', [mark(1, 'a', 120, 'x1'), mark(2, 'a', 1080, 'x2')]), end('b', [mark(1, 'b', 0, null, { is_placed: false })])] } },
		{ bond_id: 2, rail: { ends: [end('a', [mark(1, 'a', -880, 'x1'), mark(2, 'a', 80, 'x2')]), end('b', [])] } },
		{ bond_id: 3, rail: { ends: [end('a', []), end('b', [])] } }, { bond_id: 4, rail: { ends: [end('a', []), end('b', [])] } }]
};
const made = (bond_id, its, offset_mm, more = {}) => ({ uuid: `n${bond_id}${its}`, label: `B${bond_id}`, body: { bond_id, end: its, offset_mm, made_day: '2026-12-01', method: 'clamp', ...more } });
const marksOf = (rail) => rail.marks.map(({ kind, offset_mm: mm }) => [kind, mm]);

test('what was made at an end is live there, and what it replaces is spoilt', () => {
	const { a } = railsWith(PACK, 1, [made(1, 'a', 300)]);

	assert.deepEqual(marksOf(a), [['spoilt', 120], ['live', 1080], ['live', 300]]);
	assert.equal(a.place.home_mm, 300);
	assert.deepEqual(a.more, []);
	assert.equal(PACK.bonds[0].rail.ends[0].marks[0].kind, 'live', 'the package stays as it came');
});

test('what was made of another bond stands where it is on this rail', () => {
	assert.deepEqual(marksOf(railsWith(PACK, 1, [made(2, 'a', 200)]).a), [['live', 120], ['spoilt', 1080], ['live', 1200]]);
});

test('what cannot be placed is said, never left out in silence; what is far away is no matter', () => {
	const { a } = railsWith(PACK, 1, [made(3, 'a', 50)]);

	assert.match(a.more[0].sentence, /B3, end A, was fixed in this round, and where that is on this rail is not known here: look/);
	assert.deepEqual(marksOf(a), [['live', 120], ['live', 1080]]);
	assert.deepEqual(railsWith(PACK, 1, [made(4, 'a', 50)]).a.more, []);
});

test('an attachment without an offset is taken for the reference mark, and said to be so', () => {
	const { a } = railsWith(PACK, 1, [made(1, 'a', undefined)]);

	assert.deepEqual(marksOf(a).at(-1), ['live', 0]);
	assert.equal(a.marks.at(-1).is_placed, false);
	assert.equal(a.place.unplaced, 1);
});

test('what the package has already is not there twice, and what was corrected is not there', () => {
	assert.deepEqual(marksOf(railsWith(PACK, 1, [{ ...made(1, 'a', 120), uuid: 'x1' }]).a), [['live', 120], ['live', 1080]]);
	assert.deepEqual(marksOf(railsWith(PACK, 1, [made(1, 'a', 90, { corrects: 'x1' })]).a), [['live', 1080], ['live', 90]]);
});

const KNOWN = { last: { end_to_end: 1, contact_a: 2, contact_b: 3 }, compared: { end_to_end: 1, contact_a: 2, contact_b: 3 }, baseline: { end_to_end: 9 } };

test('after a new attachment nothing is compared with readings of the former one; the limit by commissioning stays', () => {
	const after = knownAfter(KNOWN, [{ end: 'a', made_day: '2026-12-01' }]);

	assert.deepEqual(after.compared, { contact_b: 3 });
	assert.deepEqual(after.last, { contact_b: 3 });
	assert.deepEqual(after.baseline, { end_to_end: 9 });
	assert.deepEqual(knownAfter(KNOWN, []), KNOWN);
});

test('both ends made anew on one day are another cable', () => {
	const both = (day) => knownAfter(KNOWN, [{ end: 'a', made_day: '2026-12-01' }, { end: 'b', made_day: day }]);

	assert.deepEqual(both('2026-12-01').baseline, {});
	assert.deepEqual(both('2026-12-02').baseline, { end_to_end: 9 });
});

test('what was cut of a package is said, and of which bond', () => {
	const pack = { kits: [], bond_rows: [{ label: 'B1' }, { label: 'B2' }], bonds: [{ readings: [] }, { readings: [], readings_cut: true }] };

	assert.match(cutWords({ ...pack, kits_cut: true }), /only the first 1,000 of: kits, readings of B2\./);
	assert.equal(cutWords({ ...pack, bonds: [] }), '');
});
