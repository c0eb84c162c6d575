/*
 * A small invented railway, sent to the API: what the page tests count on. Days are relative to
 * today, so that the due states are the same on every day.
 */
import { webcrypto } from 'node:crypto';

import { addDays, dayOf } from '../../../static/js/logic/day.js';
import { newUuid } from '../../../static/js/logic/uuid.js';

globalThis.crypto ??= webcrypto;   // Node 18

export const TODAY = dayOf(new Date());
export const ago = (days) => addDays(TODAY, -days);

/* Kinds in turn; each is inspected once, so many days ago, and installed a good while before. */
const KINDS = ['rail_joint', 'structure', 'track_cross', 'rail_joint', 'protective_earth'];
const INSPECTED = [20, 400, 355, 800, 150, 340, 90, 375, 10, 500];

/* An error names the row that was refused. */
async function each(rows, send, atOnce = 16) {
	const left = rows.entries();
	const work = async () => {
		for (const [i, row] of left)
			await send(row, i);
	};
	await Promise.all(Array.from({ length: atOnce }, work));
}

/**
 * Fills a register through the API.
 *
 * @param {{post, put, get}} api  signed in as a manager
 * @returns {Promise<{lines: object, bonds: Map<string, number>}>} bonds: label -> number
 */
export async function fillRegister(api) {
	await api.post('/api/lines', { code: 'VAL', name: 'Vale line', notation: 'km_m', electrification: 'dc' });
	await api.post('/api/lines', { code: 'SAN', name: 'Sandle branch', notation: 'miles_chains' });
	await api.post('/api/tracks', { line: 'VAL', name: 'Up', left_label: 'cess', right_label: 'six-foot' });
	await api.post('/api/tracks', { line: 'VAL', name: 'Down', left_label: 'six-foot', right_label: 'cess' });
	await api.post('/api/tracks', { line: 'SAN', name: 'Single' });
	await api.post('/api/instruments', { serial: 'M-204', name: 'micro-ohmmeter', calibrated_day: ago(100), calibration_due_day: ago(-265), uncertainty_percent: 0.5, uncertainty_uohm: 0.3 });
	await api.post('/api/instruments', { serial: 'M-311', name: 'micro-ohmmeter, spare', calibrated_day: ago(200), calibration_due_day: ago(-165), uncertainty_percent: 1, uncertainty_uohm: 1 });
	await api.post('/api/kits', { code: 'K-7', name: 'night kit' });
	await api.post('/api/kits', { code: 'K-9', name: 'day kit' });

	const bonds = new Map();
	const rows = [...valeBonds(), ...sandleBonds()];
	await each(rows, async (row) => bonds.set(row.label, (await api.post('/api/bonds', row)).id));
	await each(rows.filter((_, i) => i % 17 !== 4), async (row, i) => inspect(api, bonds.get(row.label), INSPECTED[i % INSPECTED.length]));
	await longHistory(api, bonds.get('V-0007'));
	await repeatPlace(api, bonds);
	const [overdue] = (await api.get('/api/due?state=overdue&limit=1')).rows;
	const { to_mend: names } = await api.get(`/api/bonds/${overdue.bond_id}/judgement`);
	await api.put(`/api/deferrals/${newUuid()}`, { bond_id: overdue.bond_id, until_day: ago(-200), reason: 'No possession before the bridge works.', names: names.map(({ key }) => ({ key })) });
	return { bonds, lines: Object.fromEntries((await api.get('/api/lines')).rows.map((line) => [line.code, line.id])) };
}

function valeBonds() {
	return Array.from({ length: 230 }, (_, i) => {
		const kind = KINDS[i % KINDS.length];
		const place = { a_track: i % 2 ? 'Down' : 'Up', a_rail: i % 4 < 2 ? 'left' : 'right', a_chainage: `${12 + Math.floor(i / 8)}+${String((i % 8) * 120 + 3).padStart(3, '0')}` };
		return {
			line: 'VAL', label: `V-${String(i + 1).padStart(4, '0')}`, kind, ...place,
			criticality: ['normal', 'normal', 'high', 'normal', 'safety'][i % 5], installed_day: i % 23 === 4 ? undefined : ago(3300 - i),
			material: 'copper', conductor_class: 2, area_mm2: 95, length_m: 1.2, cables: 2,
			...(kind === 'track_cross' ? { b_track: i % 2 ? 'Up' : 'Down', b_rail: 'left' } : {}),
			...(kind === 'structure' ? { b_on: 'structure', b_structure: `Mast ${i + 1}` } : {})
		};
	});
}

function sandleBonds() {
	return Array.from({ length: 20 }, (_, i) => ({
		line: 'SAN', label: `S-${String(i + 1).padStart(4, '0')}`, kind: 'rail_joint', criticality: 'normal',
		a_track: 'Single', a_rail: 'left', a_chainage: `${3 + Math.floor(i / 4)}m ${(i % 4) * 20}ch`, installed_day: ago(2000), material: 'aluminium', area_mm2: 120
	}));
}

const inspect = (api, bond_id, daysAgo, more = {}) => api.put(`/api/inspections/${newUuid()}`, {
	bond_id, day: ago(daysAgo), purpose: 'routine', outcome: 'complete', inspector: 'R. Olver', seen_a: 'good', seen_b: 'good', readings: [], ...more
});

/** Six years of readings, two new attachments, a failure made good. */
async function longHistory(api, bond_id) {
	await api.put(`/api/attachments/${newUuid()}`, { bond_id, end: 'a', made_day: ago(3200), method: 'brazed_pin', kit: 'K-7', batch: 'F1182', offset_mm: 120, person: 'J. Pell' });
	await api.put(`/api/attachments/${newUuid()}`, { bond_id, end: 'b', made_day: ago(3200), method: 'bolted', offset_mm: 80, person: 'J. Pell' });
	for (let i = 0; i < 6; i++) {
		const daysAgo = 2300 - i * 365;
		await inspect(api, bond_id, daysAgo, {
			purpose: i ? 'routine' : 'commissioning', seen_b: i > 3 ? 'corroded' : 'good', note: i === 4 ? 'Ballast up to the lug at B.' : undefined,
			readings: [
				{ quantity: 'end_to_end', method: 'four_wire', shown_uohm: 140 + i * i * 2, temp_c: 12 + i, instrument: 'M-204' },
				{ quantity: 'contact_a', method: 'four_wire', forward_uv: 1200 + i * 40, reverse_uv: -1180 - i * 40, current_a: 100, temp_c: 12 + i, instrument: 'M-204' },
				{ quantity: 'rail_drop', method: 'voltage_drop', forward_uv: 2000 + i * 60, reverse_uv: -2000 - i * 60, rail_uv: 1500, rail_m: 1, joint_m: 0.6, temp_c: 12 + i }
			]
		});
	}
	const failure = newUuid();
	await api.put(`/api/failures/${failure}`, { bond_id, end: 'b', found_day: ago(1000), mode: 'detached', cause: 'tamping' });
	await api.put(`/api/repairs/${newUuid()}`, { failure, day: ago(990), how: 'New brazed pin 40 mm on.' });
	await api.put(`/api/attachments/${newUuid()}`, { bond_id, end: 'b', made_day: ago(990), method: 'brazed_pin', kit: 'K-7', batch: 'F1230', offset_mm: 120, person: 'J. Pell' });
}

/** Four failures within the rulebook's window on one rail: at V-0030, and two bonds beside it. */
async function repeatPlace(api, bonds) {
	const near = { line: 'VAL', kind: 'rail_joint', a_track: 'Down', a_rail: 'left', installed_day: ago(3000), material: 'copper' };
	bonds.set('V-9001', (await api.post('/api/bonds', { ...near, label: 'V-9001', a_chainage: '15+604' })).id);
	bonds.set('V-9002', (await api.post('/api/bonds', { ...near, label: 'V-9002', a_chainage: '15+608' })).id);
	for (const [label, daysAgo, mode] of [['V-9001', 1500, 'detached'], ['V-9002', 1100, 'lug_cracked'], ['V-9001', 640, 'detached'], ['V-9002', 90, 'cable_broken']]) {
		const uuid = newUuid();
		await api.put(`/api/failures/${uuid}`, { bond_id: bonds.get(label), end: 'a', found_day: ago(daysAgo), mode });
		if (daysAgo > 100)
			await api.put(`/api/repairs/${newUuid()}`, { failure: uuid, day: ago(daysAgo - 12), how: 'Brazed anew.' });
	}
}

/** Five readings by an instrument in calibration that rise towards the limit of a bond of 95 mm². */
export async function risingBond(api, bond_id) {
	await api.post('/api/instruments', { serial: 'M-500', name: 'micro-ohmmeter', calibrated_day: ago(1600), calibration_due_day: ago(-100), uncertainty_percent: 0.5, uncertainty_uohm: 0.3 });
	for (const [daysAgo, shown_uohm] of [[1500, 100], [1200, 108], [900, 117], [600, 124], [300, 133]])
		await inspect(api, bond_id, daysAgo, {
			purpose: daysAgo === 1500 ? 'commissioning' : 'routine',
			readings: [{ quantity: 'end_to_end', method: 'four_wire', shown_uohm, temp_c: 20, instrument: 'M-500' }]
		});
}
