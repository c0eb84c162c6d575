// The logic of the strip. Expected figures are worked by hand.
import assert from 'node:assert/strict';
import { test } from 'node:test';

import { GRADES, bondWords, ends, fitView, gradeCounts, inView, jumpWords, keyView, layout, moveView, question, stacks, stateCounts, viewStates, wholeView, worst, worstMarked } from '../../static/js/logic/strip.js';

const WHOLE = { from_mm: 0, to_mm: 10000000 };
const words = {
	rail: new Map([['left', 'left'], ['right', 'right']]),
	bond_kind: new Map([['track_cross', 'track-to-track cross bond']])
};
const UP = { id: 1, name: 'Up', left_label: 'cess', right_label: null, own_map: false };
const DOWN = { id: 2, name: 'Down', left_label: null, right_label: null, own_map: true };
const AXES = [{ track_id: null, breaks: [], ticks: [], edges: [] }, { track_id: 2, breaks: [], ticks: [], edges: [] }];

test('the whole line has room at its ends, at least 50 m', () => {
	assert.deepEqual(wholeView({ from_mm: 0, to_mm: 10000000 }), { from_mm: -200000, to_mm: 10200000 });
	assert.deepEqual(wholeView({ from_mm: 5000, to_mm: 5000 }), { from_mm: -45000, to_mm: 55000 });
});

test('a view stays on the line and is never narrower than 20 m', () => {
	assert.deepEqual(fitView({ from_mm: -500000, to_mm: 500000 }, WHOLE), { from_mm: 0, to_mm: 1000000 });
	assert.deepEqual(fitView({ from_mm: 9999000, to_mm: 9999000 }, WHOLE), { from_mm: 9980000, to_mm: 10000000 });
	assert.deepEqual(fitView({ from_mm: -1, to_mm: 99999999 }, WHOLE), WHOLE);
});

test('keys move by a quarter, zoom by two, and reach the ends', () => {
	const view = { from_mm: 4000000, to_mm: 6000000 };
	const expected = {
		ArrowRight: [4500000, 6500000], ArrowLeft: [3500000, 5500000], '+': [4500000, 5500000], '-': [3000000, 7000000],
		Home: [900000, 2900000], End: [7100000, 9100000],   // a twentieth of the view beyond 1 km and 9 km
		 0: [0, 10000000]
	};
	for (const [key, [from_mm, to_mm]] of Object.entries(expected))
		assert.deepEqual(keyView(key, view, WHOLE, { from_mm: 1000000, to_mm: 9000000 }), { from_mm, to_mm }, key);
	assert.equal(keyView('x', view, WHOLE, WHOLE), null);
	assert.deepEqual(moveView(view, 9, 1, WHOLE), { from_mm: 8000000, to_mm: 10000000 });
});

test('half a view more is asked for on either side, in stretches of 34 px', () => {
	assert.deepEqual(question({ from_mm: 1000000, to_mm: 2000000 }, 1020), { from_mm: 1000000, to_mm: 2000000, more_mm: 500000, buckets: 60 });
	assert.equal(question({ from_mm: 0, to_mm: 20000 }, 340).more_mm, 25000);
	assert.equal(question({ from_mm: 0, to_mm: 1000000 }, 99999).buckets, 400);
});

test('tracks stand below each other, one with a map of its own has its chainage beneath', () => {
	const { rows, axis } = layout({ tracks: [UP, DOWN], axes: AXES, bonds: [], buckets: null });
	assert.deepEqual(rows.map((row) => row.id), [1, 2]);
	assert.equal(rows[0].own, null);
	assert.equal(rows[1].own, AXES[1]);
	assert.ok(rows[0].left < rows[0].right && rows[0].right < rows[1].left && rows[1].right < axis);
});

test('what is on no known track has a row of its own', () => {
	const { rows } = layout({ tracks: [UP], axes: AXES, bonds: [{ track_id: null }], buckets: null });
	assert.deepEqual(rows.map((row) => row.id), [1, null]);
});

test('a cross bond reaches from its rail to the other track, a structure stands beside the rail', () => {
	const { rows } = layout({ tracks: [UP, DOWN], axes: AXES, bonds: [], buckets: null });
	const cross = ends({ track_id: 1, rail: 'right', distance_mm: 500, on: 'rail', b_on: 'rail', b_track_id: 2, b_rail: 'left', b_distance_mm: 700 }, rows);
	assert.deepEqual([cross.a.y, cross.b.y, cross.a.mm, cross.b.mm], [rows[0].right, rows[1].left, 500, 700]);
	const mast = ends({ track_id: 1, rail: 'left', distance_mm: 500, on: 'rail', b_on: 'structure', b_track_id: null }, rows);
	assert.ok(mast.b.y < rows[0].left);
	const loose = ends({ track_id: 2, rail: null, distance_mm: 1, on: 'rail', b_on: null }, rows);
	assert.equal(loose.a.y, (rows[1].left + rows[1].right) / 2);
	assert.equal(loose.b, null);
});

test('bonds that would hide each other become a stack, and near to are set apart', () => {
	const marks = [0, 10, 40].map((x, id) => ({ bond: { id }, x, y: 5 }));
	assert.deepEqual(stacks(marks, { from_mm: 0, to_mm: 1000000 }).map((s) => [s.x, s.bonds.length]), [[5, 2], [40, 1]]);
	assert.deepEqual(stacks(marks, { from_mm: 0, to_mm: 60000 }).map((s) => s.x), [0, 15, 40]);
	assert.equal(stacks([...marks, { bond: { id: 9 }, x: 10, y: 6 }], { from_mm: 0, to_mm: 1000000 }).length, 3, 'other rails are apart');
});

test('counts what is in view, from bonds and from stretches', () => {
	const view = { from_mm: 100, to_mm: 200 };
	const bonds = [{ distance_mm: 99, b_distance_mm: 101, state: 'due' }, { distance_mm: 99, b_distance_mm: 99, state: 'due' }, { distance_mm: 200, state: 'overdue' }];
	const seen = inView({ bonds, buckets: null }, view);
	assert.deepEqual(viewStates(seen), { overdue: 1, due: 1, soon: 0, deferred: 0, later: 0 });
	const buckets = [{ from_mm: 90, states: { later: 4 } }, { from_mm: 200, states: { later: 9 } }];
	assert.equal(viewStates(inView({ bonds: null, buckets, step_mm: 20 }, view)).later, 4);
	assert.equal(worst([{ state: 'later' }, { state: 'soon' }, { state: 'deferred' }]), 'soon');
	assert.equal(stateCounts({ later: 2, overdue: 1 }), '1 overdue, 2 later');
});

test('a bond is told in one sentence', () => {
	assert.equal(bondWords({ label: 'X-1', kind: 'track_cross', track_id: 1, rail: 'left', b_on: 'rail', b_track_id: 2, b_rail: 'right', chainage: '1+200', state: 'overdue', days_over: 3 }, [UP, DOWN], words),
		'X-1, track-to-track cross bond, Up, cess (left) rail, to Down, right rail, 1+200, overdue 3 days');
});

test('a jump is told as a gap or as a fall back', () => {
	assert.equal(jumpWords({ before: '5+000', after: '5+200', jump_mm: 200000 }), 'From 5+000 the chainage jumps on to 5+200: 200 m of chainage do not exist.');
	assert.equal(jumpWords({ before: '9+000', after: '8+900', jump_mm: -100000 }), 'At 9+000 the chainage falls back to 8+900, by 100 m.');
});

test('grades stand worst first, and what is not proved is worse than what is watched', () => {
	assert.deepEqual(GRADES, ['act', 'unknown', 'watch', 'sound']);
	assert.equal(gradeCounts({ sound: 40, watch: 5, unknown: 1, act: 2 }), '2 act, 1 unknown, 5 watch');
	assert.equal(worstMarked([{ grade: 'unknown' }, { grade: 'watch' }]), 'watch', 'of those that have a sign');
	assert.equal(worstMarked([{ grade: 'watch' }, { grade: 'act' }]), 'act');
	assert.equal(worstMarked([{ grade: 'unknown' }]), null);
});
