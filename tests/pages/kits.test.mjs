/* A kind of record from its table to its page: the form is the API's description of it. */
import assert from 'node:assert/strict';
import { test } from 'node:test';

import { begin } from './support/begin.mjs';
import { rest, TABLET } from './support/browser.mjs';
import { TODAY } from './support/railway.mjs';

const { open, api } = await begin();
const PARTS = ['Battery', 'Leads', 'Gun', 'Earthing clamp', 'Pins and ferrules', 'Eye shields'];
const checks = async () => (await api.get('/api/kit-checks')).rows;
const cells = (page, kit) => page.locator('.kits tbody > tr', { hasText: kit }).locator('td').allTextContents();

for (const [code, name] of [['T-1', 'Brazing kit 1'], ['T-2', 'Brazing kit 2']])
	await api.post('/api/kits', { code, name });

async function begun(kit) {
	const page = await open('/kits', { who: 'crew', size: TABLET, touch: true });

	await page.locator('.kits button', { hasText: `Check ${kit}` }).tap();
	return page;
}

async function find(page, part, found) {
	await page.locator('#check fieldset', { has: page.locator(`legend:text-is("${part}")`) })
		.locator('.choice', { hasText: new RegExp(`^${found}$`) }).tap();
}

test('nothing is chosen beforehand, and what is left out is asked for by its name', async () => {
	const page = await begun('T-1');

	assert.equal(await page.locator('#check input:checked').count(), 0);
	assert.deepEqual(await page.locator('#check legend').allTextContents(), PARTS);
	assert.match(await page.textContent('main > .caution'), /has not passed is not worked with/);
	for (const part of PARTS.slice(1))
		await find(page, part, 'good');
	await page.locator('#check .main').tap();
	assert.match(await page.textContent('#check'), /Choose under "Battery"/);
	assert.deepEqual(await checks(), []);
});

test('a kit of which all is good has passed, and the page and the lists say so', async () => {
	const page = await begun('T-1');

	for (const part of PARTS)
		await find(page, part, 'good');
	await page.locator('#check .main').tap();
	await page.waitForSelector('#check', { state: 'hidden' });
	await rest(page);
	assert.match(await page.textContent('main > .notice'), /T-1 has passed: saved/);
	assert.deepEqual((await cells(page, 'T-1')).slice(2, 4), [`${TODAY}: passed`, TODAY]);
	const [check] = await checks();
	assert.deepEqual([check.kit, check.passed, check.eye_shields, check.done_by], ['T-1', true, 'good', 'Colm Hart']);
});

test('one part that is missing stops the kit: what it is and what to do stand there', async () => {
	const page = await begun('T-2');

	for (const part of PARTS)
		await find(page, part, part === 'Leads' ? 'not good' : part === 'Eye shields' ? 'missing' : 'good');
	await page.fill('#check [name="note"]', 'Insulation cut.');
	await page.locator('#check .main').tap();
	await page.waitForSelector('#check', { state: 'hidden' });
	await rest(page);
	assert.match(await page.textContent('main > .notice'),
		/T-2 has not passed: Leads not good, Eye shields missing\. Saved\. Do not work with it/);
	assert.deepEqual((await cells(page, 'T-2')).slice(2, 4),
		[`${TODAY}: not passed: Leads not good, Eye shields missing`, 'never']);
});

test('a refusal of the server stands at its field, and nothing typed is lost', async () => {
	const page = await begun('T-1');

	for (const part of PARTS)
		await find(page, part, 'good');
	await page.fill('#check [name="checked_day"]', '2099-01-01');
	await page.locator('#check .main').tap();
	await page.waitForSelector('#check .field:has([name="checked_day"]) .problem');
	assert.equal(await page.locator('#check input:checked').count(), PARTS.length);
	assert.equal((await checks()).length, 2);
});
