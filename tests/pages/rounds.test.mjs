/* Rounds: made of ticked rows of the due list, followed by the planner, taken by a crew, printed. */
import assert from 'node:assert/strict';
import { test } from 'node:test';

import { begin } from './support/begin.mjs';

const { open, api } = await begin();
const rounds = async () => (await api.get('/api/rounds')).rows;

test('ticked rows of the due list become a round, its bonds along the line', async () => {
	const page = await open('/due', { who: 'planner' });

	assert.equal(await page.isVisible('.ticked'), false);
	for (const n of [1, 0])
		await page.locator('.tick > input').nth(n).check();
	assert.equal(await page.textContent('.ticked [role="status"]'), '2 ticked');
	await page.click('.ticked .to-round');
	await page.fill('#round-crew', 'Crew 2');
	await page.fill('#round-persons', 'Jo Fern, Al Moss');
	assert.match(await page.textContent('#make-round .nights'), /2 bonds, 8 min of work in a shift of 5 h/);
	await page.click('#make-round .main');
	await page.waitForURL(/\/rounds\/[0-9a-f-]{36}$/);
	await page.waitForSelector('.bonds tbody tr');
	assert.equal(await page.locator('.bonds tbody tr').count(), 2);
	assert.match(await page.textContent('h1'), /^Crew 2, night of /);
	const [made] = await rounds();
	assert.deepEqual([made.crew, made.persons, made.bonds], ['Crew 2', 'Jo Fern, Al Moss', 2]);
});

test('of an inspection and a mending together nobody says beforehand what the round is for', async () => {
	const page = await open('/due?what=mending', { who: 'planner' });

	await page.locator('.tick > input').first().check();
	await page.selectOption('[name="what"]', 'inspection');
	await page.waitForSelector('tbody tr .state:has-text("inspection")');
	await page.locator('.tick > input').nth(5).check();
	await page.click('.ticked .to-round');
	await page.waitForSelector('#make-round[open]');
	assert.match(await page.textContent('#make-round h2'), /2 bonds, 1 of them to be mended/);
	assert.equal(await page.locator('#make-round [name="work"]:checked').count(), 0);
	assert.match(await page.textContent('#make-round .nights'), /Give the work/);
	await page.click('#make-round .main');
	assert.match(await page.textContent('#make-round'), /Choose under "Work"/);
});

test('a crew takes it, and withdraws nothing', async () => {
	const [{ uuid }] = await rounds();
	const page = await open(`/rounds/${uuid}`, { who: 'crew' });

	assert.equal(await page.isVisible('.withdraw-it'), false);
	await page.click('.take');
	await page.waitForSelector('.steps-said li');
	assert.equal((await rounds())[0].state, 'taken');
	assert.equal(await page.isVisible('.take'), false);
});

test('the planner sees how far it is, and a bridge still on with its age', async () => {
	const [{ uuid }] = await rounds();
	const { bond_rows: [{ bond_id: bond }] } = await api.get(`/api/rounds/${uuid}`);
	const day = new Date(Date.now() - 3 * 86400000).toISOString().slice(0, 10);

	await api.put(`/api/bridges/${crypto.randomUUID()}`, { bond_id: bond, on_day: day, round: uuid,
		place: 'rail to rail' });
	for (const path of ['/rounds', '/']) {
		const page = await open(path, { who: 'viewer' });
		await page.waitForSelector('.bridges tbody tr');
		assert.equal(await page.locator('.bridges tbody td').first().textContent(), '3');
		if (path === '/rounds')
			assert.match(await page.textContent('.rounds tbody tr'), /taken.*0 of 2 done/s);
	}
});

test('a withdrawal has its reason, which stands on the round', async () => {
	const [{ uuid }] = await rounds();
	const page = await open(`/rounds/${uuid}`, { who: 'planner' });

	await page.click('.withdraw-it');
	await page.click('#say .main');
	assert.match(await page.textContent('#say'), /Fill in/);
	await page.fill('#said', 'no possession');
	await page.click('#say .main');
	await page.waitForSelector('.on-round .wish-it', { state: 'hidden' });
	assert.match(await page.textContent('.round-facts'), /no possession/);
});

test('the sheet is on paper alone, with cautions and a row for each bond', async () => {
	const [{ uuid }] = await rounds();
	const page = await open(`/rounds/${uuid}`, { who: 'crew' });

	await page.emulateMedia({ media: 'print' });
	assert.equal(await page.isVisible('.round-screen'), true, 'no empty paper before they are asked for');
	await page.emulateMedia({ media: 'screen' });
	await page.evaluate(() => { window.print = () => { window.printed = true; }; });
	await page.click('.print');
	await page.waitForFunction(() => window.printed);
	assert.equal(await page.isVisible('.paper'), false);
	await page.emulateMedia({ media: 'print' });
	assert.equal(await page.isVisible('.paper'), true);
	assert.equal(await page.locator('.paper li').count(), 2);
	assert.match(await page.textContent('.paper .caution'), /hands off the open end/);
	assert.match(await page.textContent('.paper .load'), /Temporary bridges still on: .*3 days/);
	if (process.env.SHOTS)
		await page.screenshot({ path: `${process.env.SHOTS}/paper.png`, fullPage: true });
});
