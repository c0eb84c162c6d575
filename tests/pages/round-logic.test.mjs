/* How bonds are laid into nights, and what is said of it. Figures by hand. */
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { durationWords, farWords, fillNights, lastWords, loadWords, minutesOf, nightsWords, sheetsOf,
	shiftMinutes } from '../../static/js/logic/round.js';

const bond = (bond_id, distance_mm, line_id = 1, kind = 'structure') =>
	({ bond_id, line_id, distance_mm, kind });
const ids = (nights) => nights.map(({ bonds }) => bonds.map(({ bond_id: id }) => id));

test('a shift over midnight lasts until the next morning', () => {
	assert.equal(shiftMinutes('23:40', '03:40'), 240);
	assert.equal(shiftMinutes('08:00', '12:00'), 240);
	assert.equal(shiftMinutes('08:00', '08:00'), null);
	assert.equal(shiftMinutes('08:00', '24:00'), null);
	assert.equal(minutesOf('8:00'), null);
	assert.equal(durationWords(240), '4 h');
	assert.equal(durationWords(59), '59 min');
	assert.equal(durationWords(125), '2 h 5 min');
});

test('nights are filled along the line, each before the next begins, and none is left out', () => {
	const bonds = [bond(3, 300), bond(1, 100), bond(9, 50, 2), bond(2, 200)];

	assert.deepEqual(ids(fillNights(bonds, () => 30, 60)), [[1, 2], [3, 9]]);
	assert.deepEqual(ids(fillNights(bonds, () => 30, 59)), [[1], [2], [3], [9]]);
	assert.deepEqual(ids(fillNights(bonds, () => 90, 60)), [[1], [2], [3], [9]]);
	assert.deepEqual(ids(fillNights(bonds, () => 1, 600, 3)), [[1, 2, 3], [9]]);
});

test('what does not fit is said', () => {
	const nights = fillNights([bond(1, 100), bond(2, 200, 1, 'rail_joint')],
		(kind) => kind === 'rail_joint' ? 90 : 30, 60);

	assert.equal(nightsWords(nights, 60, '2026-11-30'), '2026-11-30: 1 bond, 30 min of work in a ' +
		'shift of 1 h; 2026-12-01: 1 bond, 1 h 30 min of work in a shift of 1 h: it does not fit');
});

test('how far a round is names only what there is', () => {
	assert.equal(farWords({ bonds: 60, done: 17, partly: 0, not_reached: 0 }), '17 of 60 done');
	assert.equal(farWords({ bonds: 60, done: 17, partly: 1, not_reached: 2 }),
		'17 of 60 done, 1 in part, 2 not reached');
});

test('a sheet of paper has twelve bonds', () => {
	const bonds = Array.from({ length: 25 }, (_, n) => n);

	assert.deepEqual(sheetsOf(bonds).map((sheet) => sheet.length), [12, 12, 1]);
	assert.deepEqual(sheetsOf([]), []);
});

test('a sheet says the last evidence with its limit, and an open circuit as such', () => {
	assert.deepEqual(lastWords({ end_to_end: { day: '2026-01-29', value: 541.4, limit: 717 },
		contact_a: { day: '2026-01-29', value: 5, limit: 13, verdict: 'over', open_circuit: true },
		contact_b: {} }), [{ limit: '717', value: '541 2026-01-29' },
		{ limit: '13.0', value: 'open circuit 2026-01-29 over' }]);
	assert.deepEqual(lastWords(undefined), []);
});

test('what to load is counted, and what nobody knows is said', () => {
	const words = { material: new Map([['copper', 'copper']]) };
	const bond = (bond_id, known) => ({ bond_id, known });

	assert.equal(loadWords([{ bond_id: 1 }, { bond_id: 2 }, { bond_id: 3 }], [
		bond(1, { material: 'copper', limit: { length_m: 0.6, cables: 2 } }),
		bond(2, { material: 'copper', limit: { length_m: 0.6, cables: 1 } }), bond(3, {})], words),
	'To load, if all is made anew: 3 cables copper, 0.6 m; 6 lugs and as many pins. ' +
		'1 bond whose cable is not known: look');
});
