/* What is no entry of a crew's is taken back where it is read, by an engineer. */
import assert from 'node:assert/strict';
import { test } from 'node:test';

import { begin } from './support/begin.mjs';
import { DESK, rest, TABLET, wrongs } from './support/browser.mjs';

const { open, api } = await begin();

const withdraw = async (page, reason) => {
	await page.waitForSelector('#withdraw[open]');
	await page.fill('#withdraw-reason', reason);
	await page.click('#withdraw .main');
	await page.waitForSelector('#withdraw:not([open])', { state: 'attached' });
	await rest(page);
};

test('a wrong calibration day is taken back from the list of calibrations', async () => {
	await api.post('/api/instruments', { serial: 'M-900', name: 'Microhmmeter', calibrated_day: '2024-01-01', calibration_due_day: '2030-01-01', uncertainty_percent: 1, uncertainty_uohm: 0.5 });
	const planner = await open('/list?of=calibrations');
	assert.equal(await planner.locator('tbody button').count(), 0);

	for (const size of [DESK, TABLET]) {
		const page = await open('/list?of=calibrations', { who: 'manager', size });
		const row = page.locator('tbody tr', { hasText: 'M-900' });
		if (size === DESK) {
			await row.locator('button').click();
			assert.match(await page.textContent('#withdraw'), /M-900/);
			assert.deepEqual(await wrongs(page), []);
			await page.click('#withdraw .main');
			assert.match(await page.textContent('#withdraw .problem'), /Fill in "Reason"/);
			await withdraw(page, 'The sheet is of another meter.');
		}
		assert.equal(await row.locator('button').count(), 0);
		assert.match(await row.textContent(), /yesMona Field.*The sheet is of another meter\./);
		assert.deepEqual(await wrongs(page), []);
		await page.context().close();
	}
	const [{ entry, what, entered_by }] = (await api.get('/api/withdrawals?entry=calibration')).rows;
	assert.deepEqual([entry, what], ['calibration', 'M-900']);
	assert.ok(entered_by);
});

test('a bond entered by mistake is withdrawn on its own page, and says so from then on', async () => {
	const { id } = await api.post('/api/bonds', { line: 'VAL', label: 'V-9777', kind: 'rail_joint', a_track: 'Up', a_rail: 'left', a_chainage: '16+777' });
	const planner = await open(`/bonds/${id}`);
	assert.equal(await planner.locator('.history.all .withdraw:visible').count(), 0);

	const page = await open(`/bonds/${id}`, { who: 'manager' });
	await page.locator('.history.all > li', { hasText: 'Registered' }).locator('.withdraw').click();
	await withdraw(page, 'It stands on no drawing.');
	assert.match(await page.textContent('.withdrawn'), /Withdrawn on \d{4}-\d\d-\d\d by .+: It stands on no drawing\. It is in no list/);
	assert.equal(await page.locator('.sheets').isVisible(), false);
	assert.deepEqual(await wrongs(page), []);
	assert.match(await page.title(), /V-9777.*withdrawn/);

	const tablet = await open(`/bonds/${id}`, { size: TABLET });
	assert.match(await tablet.textContent('.withdrawn'), /It stands on no drawing/);
	assert.deepEqual(await wrongs(tablet), []);
	await tablet.locator('.withdrawn a').click();
	await rest(tablet);
	assert.match(await tablet.textContent('tbody'), /bond.*V-9777/);
	assert.equal((await api.get('/api/bonds?q=V-9777')).rows.length, 0);
	const { id: again } = await api.post('/api/bonds', { line: 'VAL', label: 'V-9777', kind: 'rail_joint', a_track: 'Up', a_rail: 'left', a_chainage: '16+700' });
	assert.notEqual(again, id);
});

test('a bond that something was recorded of names what is to be withdrawn first', async () => {
	const { id } = await api.post('/api/bonds', { line: 'VAL', label: 'V-9778', kind: 'rail_joint', a_track: 'Up', a_rail: 'left', a_chainage: '16+778' });
	await api.put('/api/failures/00000000-0000-7000-8000-000000000778', { bond_id: id, found_day: '2024-05-01', mode: 'burnt' });
	const page = await open(`/bonds/${id}`, { who: 'manager' });

	await page.locator('.history.all > li', { hasText: 'Registered' }).locator('.withdraw').click();
	await page.fill('#withdraw-reason', 'None there.');
	await page.click('#withdraw .main');
	await page.waitForSelector('#withdraw .problem, #withdraw .notice:not(:empty)');
	assert.match(await page.textContent('#withdraw'), /Something stands on that bond\. Withdraw first/);
	assert.equal((await api.get(`/api/bonds/${id}`)).withdrawn, null);
});

test('a wrong chainage map is taken back on the page of its line, and the one before it holds again', async () => {
	const { id } = await api.post('/api/lines', { code: 'TBM', name: 'Twice mapped', notation: 'km_m' });
	for (const end_m of [1500, 2500])
		await api.post('/api/maps', { line: 'TBM', stretches: [{ distance_m: 0, start_m: 0, end_m }, { distance_m: end_m, start_m: 3000, end_m: 9000 }] });
	const planner = await open(`/lines/${id}`);
	await planner.waitForSelector('.maps tbody tr');
	assert.equal(await planner.locator('.maps button').count(), 0);

	const page = await open(`/lines/${id}`, { who: 'manager' });
	const rows = page.locator('.maps tbody tr');
	await rows.first().locator('button').click();
	assert.match(await page.textContent('#withdraw'), /chainage map of TBM, tracks without a map of their own, recorded on/);
	assert.deepEqual(await wrongs(page), []);
	await withdraw(page, 'Of another line.');
	await page.waitForSelector('.maps tbody tr:nth-child(2)');
	await page.waitForFunction(() => document.querySelector('.maps tbody')?.textContent.includes('withdrawn by'));
	assert.match(await rows.nth(0).textContent(), /withdrawn by Mona Field.*: Of another line\./);
	assert.match(await rows.nth(1).textContent(), /in force/);
	assert.equal(await rows.nth(0).locator('button').count(), 0);
	assert.match(await page.textContent('.jumps'), /1\+500/);
	assert.deepEqual(await wrongs(page), []);

	const list = await open('/list?of=maps', { who: 'manager' });
	assert.equal(await list.locator('tbody tr', { hasText: 'TBM' }).locator('button').count(), 1);
	assert.deepEqual(await wrongs(list), []);
});
