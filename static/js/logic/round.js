/*
 * Rounds in words and nights: what a page says of a round, and how bonds are laid into shifts.
 */
import { addDays } from './day.js';

/** Bonds that are put on rounds at once, at most. */
export const ROUND_MOST = 2000;

/** Minutes after midnight of "23:40"; null: it is no time of day. */
export function minutesOf(time) {
	const found = /^([01]\d|2[0-3]):([0-5]\d)$/.exec(time ?? '');
	return found ? Number(found[1]) * 60 + Number(found[2]) : null;
}

/** How long a shift lasts, over midnight where it ends before it begins; null: not known. */
export function shiftMinutes(begins, ends) {
	const [from, to] = [minutesOf(begins), minutesOf(ends)];

	if (from === null || to === null || from === to)
		return null;
	return to > from ? to - from : to + 24 * 60 - from;
}

/** "3 h 20 min", "40 min". */
export const durationWords = (minutes) => minutes < 60 ? `${minutes} min`
	: `${Math.floor(minutes / 60)} h${minutes % 60 ? ` ${minutes % 60} min` : ''}`;

const alongTheLine = (a, b) => a.line_id - b.line_id || a.distance_mm - b.distance_mm ||
	a.bond_id - b.bond_id;

/**
 * Lays bonds into nights, along the line, each night filled before the next begins. No bond is left
 * out: one that takes longer than a shift has a night of its own, and the figures show it.
 *
 * @param {{bond_id: number, line_id: number, distance_mm: number, kind: string}[]} bonds
 * @param {(kind: string) => number} minutes  of the work at a bond of a kind
 * @param {number} shift  minutes
 * @param {number} most  bonds of one round
 * @returns {{bonds: object[], minutes: number}[]}
 */
export function fillNights(bonds, minutes, shift, most = 400) {
	const nights = [];

	for (const bond of [...bonds].sort(alongTheLine)) {
		const takes = minutes(bond.kind);
		const last = nights.at(-1);

		if (last && last.minutes + takes <= shift && last.bonds.length < most) {
			last.bonds.push(bond);
			last.minutes += takes;
		} else {
			nights.push({ bonds: [bond], minutes: takes });
		}
	}
	return nights;
}

/** What the dialog says of the nights before they are made. */
export function nightsWords(nights, shift, day) {
	const bonds = (count) => `${count} bond${count === 1 ? '' : 's'}`;

	return nights.map((night, n) => `${addDays(day, n)}: ${bonds(night.bonds.length)}, ` +
		`${durationWords(night.minutes)} of work in a shift of ${durationWords(shift)}` +
		(night.minutes > shift ? ': it does not fit' : '')).join('; ');
}

/** How far a round is: "17 of 60 done, 1 in part, 2 not reached". */
export function farWords({ bonds, done, partly, not_reached: notReached }) {
	return [`${done} of ${bonds} done`, partly && `${partly} in part`,
		notReached && `${notReached} not reached`].filter(Boolean).join(', ');
}

/** Sheets of paper: so many bonds each. */
export const sheetsOf = (bonds, each = 12) => Array.from(
	{ length: Math.ceil(bonds.length / each) }, (_, n) => bonds.slice(n * each, (n + 1) * each));

const QUANTITIES = ['end_to_end', 'contact_a', 'contact_b', 'rail_drop'];
const figure = (value) => value >= 100 ? value.toFixed(0) : value.toFixed(1);

/**
 * The last evidence of each quantity for the sheet, its limit beside it.
 *
 * @param {Record<string, object>|undefined} last  of what a tablet knows of a bond
 * @returns {{limit: string, value: string}[]}
 */
export const lastWords = (last) => QUANTITIES.filter((quantity) => last?.[quantity]?.day)
	.map((quantity) => {
		const { limit, value, day, verdict, open_circuit: open } = last[quantity];

		return { limit: limit === undefined ? 'not known' : figure(limit),
			value: [open ? 'open circuit' : figure(value), day, verdict === 'over' && 'over']
				.filter(Boolean).join(' ') };
	});

/** What to load for mending, if every bond were made anew at both ends; the unknown is said. */
export function loadWords(rows, bonds, words) {
	const known = new Map(bonds.map((bond) => [bond.bond_id, bond.known]));
	const cables = new Map();
	let ends = 0, unknown = 0;

	for (const { bond_id: id } of rows) {
		const { material, limit: { length_m: length, cables: count } = {} } = known.get(id) ?? {};

		if (!material || !length || !count) {
			unknown++;
			continue;
		}
		const what = `${words.material.get(material)}, ${length} m`;
		cables.set(what, (cables.get(what) ?? 0) + count);
		ends += 2 * count;
	}
	return ['To load, if all is made anew: ' + [...Array.from(cables, ([what, count]) =>
		`${count} cable${count === 1 ? '' : 's'} ${what}`),
	`${ends} lugs and as many pins`].join('; '),
	unknown && `${unknown} bond${unknown === 1 ? '' : 's'} ` +
		'whose cable is not known: look']
		.filter(Boolean).join('. ');
}
