/* A round's pages with the server really gone: what is on the tablet, saved, and received once. */
import assert from 'node:assert/strict';
import { test } from 'node:test';

import { newUuid } from '../../static/js/logic/uuid.js';
import { begin } from './support/begin.mjs';
import { rest, TABLET, wrongs } from './support/browser.mjs';
import { TODAY } from './support/railway.mjs';

const HEAD_MOST = 64, TARGET_LEAST = 64, GAP_LEAST = 12, OPENS_WITHIN_BYTES = 60000, WITH_RULES_BYTES = 130000;
const { served, api, railway, open } = await begin();
const LABELS = ['V-0001', 'V-0005', 'V-0009', 'V-0013'];
const number = (label) => railway.bonds.get(label);

async function makeRound(more = {}) {
	const uuid = newUuid();

	await api.put(`/api/rounds/${uuid}`, { work: 'inspect', crew: 'Night crew', persons: ['Colm Hart'], shift_day: TODAY,
		begins: '23:40', ends: '03:40', bonds: LABELS.map(number), ...more });
	return uuid;
}

const tablet = (path, more = {}) => open(path, { who: 'crew', size: TABLET, touch: true, ...more });
const kept = (page) => page.waitForFunction(async () => (await navigator.serviceWorker.getRegistration())?.active?.state === 'activated' &&
	document.querySelector('.view')?.children.length > 0);
/* (a tap within 0.6 s of another counts as the same) */
const tap = async (page, text) => {
	await page.waitForTimeout(650);
	await page.locator(`.view :is(a, button):text-is("${text}")`).tap();
};
const became = (page, label) => page.locator(`.walk > li[data-bond="${number(label)}"] .became`).textContent();
const inspectionsOf = async (label) => (await api.get(`/api/inspections?bond=${number(label)}&limit=500`)).rows.filter(({ outcome }) => outcome === 'not_reached');

async function opened(uuid, hash = '') {
	const page = await tablet(`/round/${uuid}${hash}`);

	await kept(page);
	return page;
}

test('a round that was opened once is complete without the server: walked, left out, reopened, and received once', async () => {
	const uuid = await makeRound();
	const page = await opened(uuid);
	assert.match(await page.textContent('.view'), /On this tablet: 4\/4 · \d+ KB · ready/);

	await served.stop();
	await page.reload();
	await page.waitForSelector('.view h2');
	assert.match(await page.textContent('.view'), /On this tablet: 4\/4/);
	await page.getByLabel('Why it begins all the same').fill('the kit comes to site');
	await tap(page, 'START WITH THIS REASON');
	await page.waitForSelector('.next');
	assert.match(await page.textContent('.next h2'), /V-0001/);
	await tap(page, 'buried');
	await page.waitForSelector('.undo:not([hidden])');
	assert.match(await page.textContent('.next h2'), /V-0005/);
	assert.equal(await became(page, 'V-0001'), 'not reached: buried');

	await page.reload();
	await page.waitForSelector('.walk');
	assert.equal(await became(page, 'V-0001'), 'not reached: buried');
	await page.goto(`${served.url}/round`);
	await page.waitForSelector('.view a');
	assert.match(await page.textContent('.view'), /Night crew: 4 bonds, \d+ KB, ready/);
	await page.goto(`${served.url}/queue`);
	await page.waitForSelector('#saved li');

	await served.start();
	await page.goto(`${served.url}/round/${uuid}`);
	await page.waitForFunction(() => document.querySelector('[data-state="received"]')?.textContent.startsWith('2'), null, { timeout: 45000 });
	assert.equal((await inspectionsOf('V-0001')).length, 1);
	const { rows } = await api.get(`/api/round-steps?round=${uuid}`);
	assert.deepEqual(rows.map(({ step, said }) => [step, said]), [['begun', 'the kit comes to site']]);
	await page.context().close();
});

test('a second tap in the same moment says nothing of the next bond', async () => {
	const page = await opened(await makeRound(), '#walk');
	const spot = await page.locator('.view button:text-is("buried")').boundingBox();
	const [x, y] = [spot.x + spot.width / 2, spot.y + spot.height / 2];

	await page.touchscreen.tap(x, y);
	await page.waitForFunction(() => document.querySelector('.next h2')?.textContent.includes('V-0005'),
		null, { polling: 5 });
	await page.touchscreen.tap(x, y);
	await page.waitForTimeout(800);
	assert.match(await page.textContent('.next h2'), /V-0005/);
	assert.equal(await became(page, 'V-0001'), 'not reached: buried');
	await page.context().close();
});

test('within ten seconds what was saved is taken out, and the server never has it', async () => {
	const page = await opened(await makeRound(), '#walk');

	await tap(page, 'train');
	await page.locator('.undo:not([hidden]) button').tap();
	await page.waitForFunction(() => document.querySelector('.next h2').textContent.includes('V-0001'));
	await page.waitForTimeout(200);
	assert.equal(await page.locator('.walk .became:text("train")').count(), 0);
	await page.locator('.send-now').tap();
	await rest(page);
	assert.equal((await inspectionsOf('V-0001')).filter(({ note }) => note === 'train').length, 0);
	await page.context().close();
});

test('half a package is none: the page says that the round is not on this tablet', async () => {
	const uuid = await makeRound();
	const page = await tablet('/round');

	await page.route('**/api/rounds/*/tablet', async (route) => {
		const whole = await (await route.fetch()).text();
		await route.fulfill({ status: 200, contentType: 'application/json', body: whole.slice(0, whole.length / 2) });
	});
	await page.goto(`${served.url}/round/${uuid}`);
	await page.waitForSelector('.says:has-text("not on this tablet")');
	assert.equal(await page.locator('text=ready').count(), 0);
	await page.unroute('**/api/rounds/*/tablet');
	await page.locator('.says button').tap();
	await page.waitForSelector('.view >> text=4/4');
	await page.context().close();
});

test('a bridge that is on stands first in the handover until it is off, and handing over with one needs words', async () => {
	const uuid = await makeRound();

	await api.put(`/api/bridges/${newUuid()}`, { bond_id: number('V-0009'), on_day: TODAY, place: 'over the joint' });
	const page = await opened(uuid, '#handover');
	assert.match(await page.textContent('.view > :first-child'), /BRIDGE STILL ON.*V-0009/);
	await tap(page, 'HAND OVER: say to whom, or why');
	assert.equal((await api.get(`/api/round-steps?round=${uuid}`)).rows.length, 0);
	await tap(page, 'It is off, now');
	await page.waitForFunction(() => !document.querySelector('.view .bridge'));
	await page.getByLabel('To whom').fill('to the day crew');
	await tap(page, 'HAND OVER');
	await page.waitForSelector('.view >> text=Handed over');
	await page.waitForFunction(() => /The server has it/.test(document.querySelector('.view').textContent));
	assert.deepEqual((await api.get(`/api/round-steps?round=${uuid}`)).rows.map(({ step, said }) => [step, said]), [['done', 'to the day crew']]);
	assert.equal((await api.get('/api/bridges?on=yes')).rows.length, 0);
	await page.context().close();
});

const tooSmall = (least) => Array.from(document.querySelectorAll('a, button, input')).filter((el) => el.offsetParent &&
	!el.closest('.skip')).map((el) => [el.textContent || el.id, el.getBoundingClientRect()])
	.filter(([, box]) => box.height < least - .5 || box.width < least - .5).map(([words, { width, height }]) => `${words}: ${width} x ${height}`);

function tooNear(least) {
	const boxes = Array.from(document.querySelectorAll('.view a, .view button, .view input')).filter((el) => el.offsetParent)
		.map((el) => [el.textContent, el.getBoundingClientRect()]);
	const gap = (a, b) => Math.max(a.left - b.right, b.left - a.right, a.top - b.bottom, b.top - a.bottom);

	return boxes.flatMap(([name, a], i) => boxes.slice(i + 1).filter(([, b]) => gap(a, b) < least - .5).map(([other, b]) => `${name} | ${other}: ${gap(a, b)}`));
}

for (const [dark, size] of [[false, TABLET], [true, TABLET], [false, { width: 320, height: 700 }], [true, { width: 1180, height: 820 }]]) {
	test(`targets, gaps, head and colours are right: ${dark ? 'dark' : 'light'}, ${size.width} px`, async () => {
		const uuid = await makeRound();

		for (const hash of ['#depot', '#walk', '#handover']) {
			const page = await tablet(`/round/${uuid}${hash}`, { size, dark });
			await kept(page);
			assert.ok((await page.locator('.bar').boundingBox()).height <= HEAD_MOST);
			assert.deepEqual(await page.evaluate(tooSmall, TARGET_LEAST), [], hash);
			assert.deepEqual(await page.evaluate(tooNear, GAP_LEAST), [], hash);
			assert.ok(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth), `${hash} does not scroll sideways`);
			assert.deepEqual(await wrongs(page), [], hash);
			if (process.env.PICTURES)
				await page.screenshot({ path: `${process.env.PICTURES}/${hash.slice(1)}-${size.width}-${dark ? 'dark' : 'light'}.png` });
			await page.context().close();
		}
	});
}

test('all pages of the round are at most 60 KB at their first load, and 130 KB with the rules', async () => {
	const page = await tablet('/round');
	const loads = await page.evaluate(() => performance.getEntries().filter(({ initiatorType, entryType }) => entryType === 'navigation' ||
		['script', 'link', 'css', 'img'].includes(initiatorType)).map(({ name, encodedBodySize: size }) => [name, size]));
	const sum = (some) => some.reduce((all, [, size]) => all + size, 0);
	const bytes = sum(loads.filter(([name]) => !name.endsWith('.wasm')));

	assert.ok(bytes > 5000 && bytes <= OPENS_WITHIN_BYTES, `${bytes} bytes`);
	assert.ok(sum(loads) <= WITH_RULES_BYTES, `${sum(loads)} bytes`);
	await page.context().close();
});

/* (last: it ends the session that the others have) */
test('signing out leaves no round on the tablet; a stranger\'s page keeps none', async () => {
	const page = await opened(await makeRound());

	await page.goto(`${served.url}/due`);
	await rest(page);
	await page.click('.sign-out');
	if (await page.locator('.sign-out-now').isVisible())
		await page.click('.sign-out-now');
	await page.waitForURL('**/sign-in*');
	const names = await page.evaluate(async () => (await indexedDB.databases()).map(({ name }) => name));
	assert.ok(!names.includes('bondbook-rounds'), names.join());
	await page.context().close();
});
