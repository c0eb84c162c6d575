/* The browser is killed: what was called saved is there, and a draft that rested for a second. */
import assert from 'node:assert/strict';
import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { after, test } from 'node:test';

import { chromium } from 'playwright-core';

import { newUuid } from '../../static/js/logic/uuid.js';
import { fillRegister, TODAY } from './support/railway.mjs';
import { client, PEOPLE, serve } from './support/served.mjs';

const TIMES = process.env.BONDBOOK_LONG ? 100 : 10;
const CHROMIUM = process.env.CHROMIUM ?? '/usr/bin/chromium-headless-shell';
const profile = mkdtempSync(join(tmpdir(), 'bondbook-profile-'));
const served = await serve();
const api = await client(served, 'manager');
const { bonds } = await fillRegister(api);
const cookie = await sessionCookie();
const running = new Set();

after(async () => {
	running.forEach(kill);
	await served.end();
	rmSync(profile, { recursive: true, maxRetries: 5 });
});

async function sessionCookie() {
	const { login, password } = PEOPLE.crew;
	const response = await fetch(`${served.url}/api/session`, { method: 'POST', body: JSON.stringify({ login, password }), headers: { 'content-type': 'application/json' } });
	const [name, value] = response.headers.get('set-cookie').split(';')[0].split('=');
	return { name, value, url: served.url };
}

/** All of its processes at once, as when the battery is pulled; a child of this test alone. */
function kill(child) {
	running.delete(child);
	try {
		process.kill(-child.pid, 'SIGKILL');
	} catch { /* it is gone */ }
}

/** A browser on the one profile, as a tablet is started again. */
async function start() {
	const child = spawn(CHROMIUM, ['--headless', '--no-sandbox', '--disable-gpu', '--no-first-run', '--remote-debugging-port=0', `--user-data-dir=${profile}`, 'about:blank'],
		{ detached: true, stdio: ['ignore', 'ignore', 'pipe'] });
	running.add(child);
	let said = '', address;
	while (!address) {
		said += (await once(child.stderr, 'data'))[0];
		address = said.match(/ws:\/\/\S+/)?.[0];
	}
	child.stderr.resume();
	const browser = await chromium.connectOverCDP(address);
	const [context] = browser.contexts();
	await context.addCookies([cookie]);
	const page = await context.newPage();
	return { page, context, async killed() {
		const ended = once(child, 'exit');
		kill(child);
		await ended;
		await browser.close().catch(() => {});
	} };
}

async function openForm(page, id) {
	await page.goto(`${served.url}/bonds/${id}/inspect`);
	await page.waitForSelector('form:not([data-state])');
}

const numbers = [...bonds.values()].slice(0, 60);

test(`killed at once after "saved", ${TIMES} times: each is there, and is received once`, async () => {
	for (let i = 0; i < TIMES; i++) {
		const { page, context, killed } = await start();

		await context.route('**/api/inspections/*', (route) => route.abort());
		await openForm(page, numbers[i % numbers.length]);
		await page.click('.choice:has(input[name="outcome"][value="partly"])');
		await page.fill('#note', `killed ${i}`);
		const word = new Promise((resolve) => page.on('console', (said) => said.text() === 'the word' && resolve()));
		await page.evaluate(() => new MutationObserver(([{ target }]) => target.textContent.startsWith('Saved on this') && console.log('the word'))
			.observe(document.querySelector('.result h2'), { childList: true }));
		page.click('button.save').catch(() => {});
		await word;
		await killed();
	}
	const { page, killed } = await start();
	await page.goto(`${served.url}/queue`);
	await page.waitForFunction((times) => document.querySelectorAll('#received .kept > li').length === times, TIMES, { timeout: 60000 });
	await killed();
	const notes = (await api.get('/api/inspections?limit=500&sort=newest')).rows.map(({ note }) => note).filter((note) => /^killed/.test(note));
	assert.deepEqual(notes.sort(), Array.from({ length: TIMES }, (_, i) => `killed ${i}`).sort());
});

test('a draft that rested for a second is there after the browser was killed', async () => {
	const id = bonds.get('V-0070');
	const first = await start();

	await openForm(first.page, id);
	await first.page.click('.choice:has(input[name="seen_a"][value="loose"])');
	await first.page.locator('#note').pressSequentially('half a sentence about the lug');
	await first.page.waitForTimeout(1000);
	await first.killed();
	const { page, killed } = await start();
	await openForm(page, id);
	assert.equal(await page.inputValue('#note'), 'half a sentence about the lug');
	assert.ok(await page.isChecked('input[name="seen_a"][value="loose"]'));
	await killed();
});

test('bonds of a round without the server, killed at once after "saved": each is there, and is received once as the tablet judged it', async () => {
	const uuid = newUuid(), labels = ['V-0083', 'V-0098', 'V-0113'];
	const page_ = (hash) => `${served.url}/round/${uuid}#${hash}`;
	await api.put(`/api/rounds/${uuid}`, { work: 'inspect', crew: 'Night crew', persons: ['Colm Hart'], shift_day: TODAY, begins: '23:40', ends: '03:40', bonds: labels.map((label) => bonds.get(label)) });
	const first = await start();
	await first.page.goto(page_('depot'));
	await first.page.click('.view button:text-is("M-204")');
	await first.page.waitForFunction(async () => (await navigator.serviceWorker.getRegistration())?.active?.state === 'activated');
	await first.page.waitForTimeout(5000);   // (the browser writes its own books when it likes)
	await first.killed();
	await served.stop();

	const told = [];
	for (const [i, label] of labels.entries()) {
		const { page, killed } = await start();
		await page.goto(page_(`record=${bonds.get(label)}`));
		await page.waitForSelector(`.record[aria-label="${label}"]`);
		await page.click('.both');
		for (const digit of `10${i}`)
			await page.click(`[data-key="${digit}"]`);
		told.push(await page.getAttribute('.record > .verdict [data-verdict]', 'data-verdict'));
		const word = new Promise((resolve) => page.on('console', (said) => said.text() === 'the word' && resolve()));
		await page.evaluate(() => new MutationObserver(() => /saved on this tablet/.test(document.body.textContent) && console.log('the word'))
			.observe(document.body, { childList: true, subtree: true, characterData: true }));
		await page.waitForTimeout(700);
		page.click('.record > .save').catch(() => {});
		await word;
		await killed();
	}
	const last = await start();
	await last.page.goto(page_('walk'));
	await last.page.waitForFunction(() => document.querySelectorAll('.walk > [data-stands="done"]').length === 3);
	await served.start();
	await last.page.goto(`${served.url}/queue`);
	await last.page.waitForFunction(() => document.querySelector('#saved .none:not([hidden])'), null, { timeout: 60000 });
	await last.killed();
	for (const [i, label] of labels.entries()) {
		const { rows } = await api.get(`/api/readings?bond=${bonds.get(label)}&limit=100`);
		assert.deepEqual(rows.filter(({ day }) => day === TODAY).map(({ shown_uohm: shown, verdict }) => [shown, verdict]), [[100 + i, told[i]]]);
	}
});
