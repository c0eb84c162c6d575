/* One's own account, and what an administrator does for others. */
import assert from 'node:assert/strict';
import { createHmac } from 'node:crypto';
import { test } from 'node:test';

import { begin } from './support/begin.mjs';
import { rest } from './support/browser.mjs';
import { PEOPLE } from './support/served.mjs';

const { open } = await begin();
const LETTERS = 'ABCDEFGHIJKLMNOPQRSTUVWXYZ234567';

/* RFC 6238, of a key in base32, so many steps on */
function figures(key, on = 0) {
	const bits = [...key.replaceAll(' ', '')].map((c) => LETTERS.indexOf(c).toString(2).padStart(5, '0')).join('');
	const secret = Buffer.from(bits.match(/.{8}/g).map((byte) => parseInt(byte, 2)));
	const step = Buffer.alloc(8);
	step.writeBigUInt64BE(BigInt(Math.floor(Date.now() / 30000) + on));
	const mac = createHmac('sha1', secret).update(step).digest();
	return String((mac.readUInt32BE(mac[19] & 15) & 0x7fffffff) % 1e6).padStart(6, '0');
}

async function signIn(page, login, password) {
	await page.fill('#login', login);
	await page.fill('#password', password);
	await page.click('button.main');
	await rest(page);
}

test('a person sees where they are signed in and ends a session elsewhere', async () => {
	const elsewhere = await open('/sign-in?to=/due', { who: null });
	await signIn(elsewhere, PEOPLE.crew.login, PEOPLE.crew.password);
	const page = await open('/due', { who: 'crew' });
	await page.click('.who > .name');
	await page.click('#own-password a[href="/account"]');
	await page.waitForSelector('.sessions > tbody > tr');
	const rows = page.locator('.sessions > tbody > tr');
	const before = await rows.count();
	assert.equal(await rows.filter({ hasText: ', here' }).count(), 1);
	const other = rows.filter({ hasText: 'Chrome on Linux' });
	await other.last().locator('button').click();
	await page.waitForFunction((n) => document.querySelectorAll('.sessions > tbody > tr').length === n, before - 1);
	await elsewhere.reload();
	await elsewhere.waitForURL('**/sign-in?to=*');
});

test('a second factor is set, asked for at sign-in, and taken away', async () => {
	const page = await open('/account', { who: 'planner' });
	await page.click('.begin');
	await page.waitForSelector('#set-factor[open]');
	const key = await page.textContent('#set-factor .key');
	await page.fill('#factor-password', PEOPLE.planner.password);
	await page.fill('#factor-code', figures(key));
	await page.click('#set-factor .main');
	await page.waitForSelector('#codes[open] li');
	const codes = await page.locator('#codes li').allTextContents();
	assert.equal(codes.length, 10);
	await page.click('#codes .main');
	assert.match(await page.textContent('.factor .said'), /^Set\. 10 recovery codes are left/);

	const other = await open('/sign-in?to=/due', { who: null });
	assert.equal(await other.isVisible('#code'), false);
	await signIn(other, PEOPLE.planner.login, PEOPLE.planner.password);
	assert.match(await other.textContent('.field:has(#code) .problem'), /six figures/);
	await other.fill('#code', figures(key, 1));
	await other.click('button.main');
	await other.waitForURL('**/due');

	await page.click('.drop');
	await page.fill('#drop-code', codes[0]);
	await page.click('#drop-factor .main');
	await page.waitForFunction(() => /^Not set/.test(document.querySelector('.factor .said').textContent));
});

test('an administrator adds somebody, hands a code over, and they choose a password', async () => {
	const boss = await open('/people', { who: 'administrator' });
	await boss.click('.add');
	await boss.fill('#person-name', 'Nils Berg');
	await boss.fill('#person-login', 'nils');
	await boss.selectOption('#person-role', 'crew');
	await boss.click('#person .main');
	const row = boss.locator('.people > tbody > tr', { hasText: 'Nils Berg' });
	await row.waitFor();
	assert.match(await row.textContent(), /none yet/);
	await row.locator('button', { hasText: 'Code' }).click();
	await boss.waitForSelector('#once[open]');
	const code = await boss.textContent('#once .secret');
	await boss.click('#once .main');

	const page = await open('/new-password', { who: null });
	await page.fill('#login', 'nils');
	await page.fill('#code', code);
	await page.fill('#new-password', 'nilsberg2026');
	await page.fill('#again', 'nilsberg2026');
	await page.click('button.main');
	await page.waitForSelector('.problem');
	assert.match(await page.textContent('.field:has(#new-password) .problem'), /guessed early/);
	for (const field of ['#new-password', '#again'])
		await page.fill(field, 'forty grey wagtails');
	await page.click('button.main');
	await page.waitForURL((url) => url.pathname === '/');
	await rest(page);
	assert.equal(await page.textContent('.who .name'), 'Nils Berg');
});

test('a token is shown once, and ended; who must have a second factor is asked for it', async () => {
	const boss = await open('/people', { who: 'administrator' });
	await boss.click('.make');
	await boss.fill('#token-name', 'Screen in the hall');
	await boss.selectOption('#token-scope', 'metrics');
	await boss.fill('#token-ends', new Date().toISOString().slice(0, 10));
	await boss.click('#token .main');
	await boss.waitForSelector('#once[open]');
	assert.match(await boss.textContent('#once .secret'), /^bondbook_/);
	await boss.click('#once .main');
	await boss.locator('.tokens button').first().click();
	await boss.waitForFunction(() => /ended/.test(document.querySelector('.tokens > tbody').textContent));

	await boss.check('.required input[name="viewer"]');
	await boss.click('.required .main');
	await boss.waitForFunction(() => document.querySelector('.required .notice').textContent === 'Saved.');
	const page = await open('/sign-in?to=/due', { who: null });
	await signIn(page, PEOPLE.viewer.login, PEOPLE.viewer.password);
	await page.waitForURL('**/account');
	await rest(page);
	assert.match(await page.textContent('.factor .said'), /Your railway requires one/);
});
