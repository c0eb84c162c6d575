import assert from 'node:assert/strict';
import { test } from 'node:test';

import { begin } from './support/begin.mjs';
import { rest, TABLET } from './support/browser.mjs';
import { ago } from './support/railway.mjs';

const { open, api, railway } = await begin();
const id = (label) => railway.bonds.get(label);

/** Saves a visit of this day on the inspect page; what became of it, in the page's words. */
async function visit(label, day, how) {
	const page = await open(`/bonds/${id(label)}/inspect`, { who: 'crew', ...how });

	await page.fill('#day', day);
	await page.locator('.choice:has(input[name="outcome"][value="partly"])').click();
	await page.click('form button.main');
	await rest(page);
	return page;
}
const rows = async (label) => (await api.get(`/api/inspections?bond=${id(label)}&sort=newest`)).rows.filter(({ days_ahead: ahead }) => ahead);

test('a visit dated one day ahead is taken at a desk, and marked on the bond page', async () => {
	const page = await visit('V-0020', ago(-1), {});

	await page.waitForSelector('.correct:not([hidden])');
	assert.deepEqual((await rows('V-0020')).map(({ day, days_ahead: ahead }) => [day, ahead]), [[ago(-1), 1]]);
	const bond = await open(`/bonds/${id('V-0020')}`);
	assert.match(await bond.textContent('.history.all'), /dated one day ahead of the register/);
});

test('a visit dated far ahead is refused at a desk, in words, and kept from a tablet', async () => {
	const desk = await visit('V-0021', ago(-40), {});

	await desk.waitForSelector('.problem');
	assert.match(await desk.textContent('.problem'), /more than one day after today/);
	assert.deepEqual(await rows('V-0021'), []);

	const tablet = await visit('V-0021', ago(-40), { size: TABLET, touch: true });
	await tablet.waitForSelector('.correct:not([hidden])');
	assert.deepEqual((await rows('V-0021')).map(({ days_ahead: ahead }) => ahead), [40]);
	const bond = await open(`/bonds/${id('V-0021')}`);
	assert.match(await bond.textContent('.history.all'), /dated 40 days ahead of the register: for due days it counts from when it arrived/);
});
