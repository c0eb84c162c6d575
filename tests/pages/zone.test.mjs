import assert from 'node:assert/strict';
import { test } from 'node:test';

import { begin } from './support/begin.mjs';
import { rest } from './support/browser.mjs';

const { open, api } = await begin({ zoneless: true });

test('a register without a time zone asks an administrator, and nobody else', async () => {
	for (const who of ['viewer', 'crew', 'planner', 'manager']) {
		const page = await open('/', { who });

		assert.equal(await page.locator('.zone').isVisible(), false, who);
		await page.context().close();
	}
	const page = await open('/', { who: 'administrator' });

	assert.equal(await page.locator('.zone').isVisible(), true);
	assert.match(await page.textContent('.zone .asked'), /until one is, days go by this machine's own, UTC\./);
	assert.equal(await page.inputValue('#zone'), 'UTC', 'the machine\'s own is proposed');
	await page.context().close();
});

test('says beside the field what is no time zone, keeps what was typed, and asks only once', async () => {
	const page = await open('/', { who: 'administrator' });

	await page.fill('#zone', 'Vilnius');
	await page.click('.zone button');
	await page.waitForSelector('.zone .problem');
	assert.match(await page.textContent('.zone .problem'), /has no time zone Vilnius: name one that it has, like Europe\/Vilnius/);
	assert.equal(await page.inputValue('#zone'), 'Vilnius');
	assert.equal((await api.get('/api/register')).zone, null);

	await page.fill('#zone', 'Pacific/Kiritimati');
	await page.keyboard.press('Enter');
	await page.waitForSelector('.zone .taken:not([hidden])');
	assert.match(await page.textContent('.zone .taken'), /days go by Pacific\/Kiritimati from now on/);
	assert.equal(await page.evaluate('document.activeElement.id'), 'zone-title');
	assert.equal((await api.get('/api/register')).zone, 'Pacific/Kiritimati');

	await page.reload();
	await rest(page);
	assert.equal(await page.locator('.zone').isVisible(), false);
	await page.context().close();
});
