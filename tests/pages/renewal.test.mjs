import assert from 'node:assert/strict';
import { test } from 'node:test';

import { newUuid } from '../../static/js/logic/uuid.js';
import { begin } from './support/begin.mjs';
import { rest } from './support/browser.mjs';
import { ago, TODAY } from './support/railway.mjs';

const { open, api, railway } = await begin();
const VAL = railway.lines.VAL;
const near = { line: 'VAL', kind: 'structure', a_track: 'Up', a_rail: 'left', b_on: 'structure', b_structure: 'Mast 1', installed_day: ago(900) };
const bonds = {};
for (const [label, a_chainage] of [['V-9500', '70+000'], ['V-9501', '70+050'], ['V-9502', '70+120']])
	bonds[label] = (await api.post('/api/bonds', { ...near, label, a_chainage })).id;
const attach = (label, made_day) => api.put(`/api/attachments/${newUuid()}`, { bond_id: bonds[label], end: 'a', made_day, method: 'bolted', offset_mm: 0 });
for (const label of Object.keys(bonds))
	await attach(label, ago(800));

const rows = async (page) => (await page.locator('.renewals tbody > tr').allTextContents());

test('a planner records a renewal by keyboard, and is shown every bond that needs an answer', async () => {
	const page = await open(`/lines/${VAL}`);

	assert.match(await page.textContent('.renewals'), /No renewal is on record/);
	await page.focus('.renew');
	await page.keyboard.press('Enter');
	assert.match(await page.textContent('#renewal .caution'), /first, and off last.*never bridge it by hand.*signalling engineer/);
	await page.click('#renewal .main');
	assert.match(await page.textContent('#renewal'), /Fill in "From chainage"/);
	await page.selectOption('#renewal-track', 'Up');
	await page.selectOption('#renewal-rails', 'left');
	await page.fill('#renewal-from', '70+000');
	await page.fill('#renewal-to', '70+1x');
	await page.fill('#renewal-reason', 'Worn.');
	assert.equal(await page.inputValue('#renewal-day'), TODAY);
	await page.keyboard.press('Tab');
	await page.focus('#renewal .main');
	await page.keyboard.press('Enter');
	await page.waitForSelector('.field:has(#renewal-to) .problem');
	await page.fill('#renewal-to', '70+100');
	await page.focus('#renewal .main');
	await page.keyboard.press('Enter');
	await page.waitForSelector('.renewals tbody > tr');
	await rest(page);
	assert.match(await page.textContent('.renewals summary'), new RegExp(`${TODAY}: Up, left rail, 70\\+000 to 70\\+100 2 of 2 ends without an answer`));
	assert.deepEqual((await rows(page)).map((text) => text.match(/V-\d+/)[0]), ['V-9500', 'V-9501']);
	assert.match((await rows(page))[0], /70\+000no answer yet: not attachedAttach/);
	assert.equal(await page.getAttribute('.renewals tbody a[aria-label]', 'href'), `/bonds/${bonds['V-9500']}/attach?end=a`);

	await attach('V-9501', TODAY);
	const again = await open(`/lines/${VAL}`);
	assert.match(await again.textContent('.renewals summary'), /1 of 2 ends without an answer/);
	await again.click('.renewals summary');
	await again.waitForSelector('.renewals tbody > tr');
	assert.match((await rows(again))[1], new RegExp(`attached to the new rail, ${TODAY}`));
	const bond = await open(`/bonds/${bonds['V-9500']}`);
	assert.match(await bond.textContent('.ends > [data-end="a"]'), /nothing recorded/, 'what has ended holds nothing');
	assert.match(await bond.textContent('.former'), new RegExp(`until ${TODAY}`));
});

test('a crew sees the renewals, and records none', async () => {
	const page = await open(`/lines/${VAL}`, { who: 'crew' });

	assert.match(await page.textContent('.renewals summary'), /70\+000 to 70\+100/);
	assert.equal(await page.isVisible('.renew'), false);
});
