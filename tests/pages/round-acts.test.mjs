/* Failures, what made them good, and temporary bridges in a round, with the server really gone. */
import assert from 'node:assert/strict';
import { test } from 'node:test';

import { newUuid } from '../../static/js/logic/uuid.js';
import { begin } from './support/begin.mjs';
import { TABLET, wrongs } from './support/browser.mjs';
import { ago, TODAY } from './support/railway.mjs';
import { rounds, tooNear, tooSmall } from './support/round.mjs';

const LABELS = ['V-0001', 'V-0005', 'V-0009', 'V-0013'];
const program = await begin();
const { served, api } = program;
const { number, make, opened, tap, sent, tablet } = rounds(program, LABELS);
const choose = (page, name, value) => page.locator(`.choice:has(input[name="${name}"][value="${value}"])`).tap();
const failures = async (label) => (await api.get(`/api/failures?bond=${number(label)}`)).rows;
const ready = (page) => page.waitForFunction(() => document.querySelector('.view form')?.inert === false);
const walked = (page) => page.waitForSelector('.walk');
const row = (label) => `.walk > li[data-bond="${number(label)}"]`;
const old = newUuid();

await api.put(`/api/failures/${old}`, { bond_id: number('V-0013'), end: 'a', found_day: ago(30), mode: 'burnt' });

test('a theft is one act for the person and an entry for each bond, saved together and received once each', async () => {
	const uuid = await make();
	const page = await opened(uuid, '#walk');

	await served.stop();
	await page.reload();
	await walked(page);
	await tap(page, 'Tick bonds: other acts');
	for (const label of ['V-0001', 'V-0005', 'V-0013'])
		await page.locator(`${row(label)} .tick`).tap();
	await tap(page, 'One failure of all');
	await ready(page);
	assert.match(await page.textContent('.view form'), /One failure of 3 bonds.*V-0001.*V-0005.*V-0013.*On record already.*V-0013: burnt/s);
	await tap(page, 'SAVE FOR 3 BONDS');
	assert.match(await page.textContent('.view form'), /Say what failed/);
	await choose(page, 'mode', 'cut_or_stolen');
	await page.fill('#act-note', 'cut flush, all three');
	await page.waitForTimeout(1000);
	await page.reload();
	await ready(page);
	assert.equal(await page.inputValue('#act-note'), 'cut flush, all three', 'a draft is at most a second behind');
	await tap(page, 'SAVE FOR 3 BONDS');
	await walked(page);
	assert.match(await page.textContent('.undo'), /V-0001 and 2 more: saved on this tablet/);
	await tap(page, 'Undo');
	await page.waitForFunction((of) => !document.querySelector(`${of} .became`)?.textContent.includes('failure'), row('V-0001'));
	assert.equal(await page.evaluate(() => new Promise((done) => { const asked = indexedDB.open('bondbook'); asked.onsuccess = () => {
		const all = asked.result.transaction('entries').objectStore('entries').count(); all.onsuccess = () => { asked.result.close(); done(all.result); }; }; })), 0, 'none is left of it');

	await tap(page, 'Tick bonds: other acts');
	for (const label of ['V-0001', 'V-0005', 'V-0013'])
		await page.locator(`${row(label)} .tick`).tap();
	await tap(page, 'One failure of all');
	await ready(page);
	await choose(page, 'mode', 'cut_or_stolen');
	await tap(page, 'SAVE FOR 3 BONDS');
	await walked(page);
	assert.match(await page.textContent(`${row('V-0005')} .became`), /1 failure recorded/);
	await sent(page);
	for (const label of ['V-0001', 'V-0005', 'V-0013'])
		assert.deepEqual((await failures(label)).filter(({ found_day: day }) => day === TODAY).map(({ mode, end }) => [mode, end]), [['cut_or_stolen', null]], label);
	await page.context().close();
});

test('a failure of the tablet\'s own is made good before the server has either', async () => {
	const page = await opened(await make(), '#walk');

	await served.stop();
	await page.goto(page.url().replace(/#.*/, `#failed=${number('V-0009')}`));
	await ready(page);
	await choose(page, 'mode', 'detached');
	await choose(page, 'end', 'b');
	await tap(page, 'SAVE THE FAILURE');
	await walked(page);
	await page.goto(page.url().replace(/#.*/, `#mend=${number('V-0009')}`));
	await ready(page);
	await tap(page, 'SAVE: MADE GOOD');
	assert.match(await page.textContent('.view form'), /Say how it was made good/);
	await page.fill('#act-how', 'lug brazed anew');
	await tap(page, 'SAVE: MADE GOOD');
	await walked(page);
	await page.goto(page.url().replace(/#.*/, `#mend=${number('V-0009')}`));
	await page.waitForSelector('.view >> text=no open failure');
	await sent(page);
	const [failure] = await failures('V-0009');
	assert.deepEqual([failure.mode, failure.end, failure.made_good_day, failure.made_good_how], ['detached', 'b', TODAY, 'lug brazed anew']);
	await page.context().close();
});

test('an old failure of the package is there to be made good', async () => {
	const page = await tablet(`/round/${await make()}#mend=${number('V-0013')}`);

	await ready(page);
	assert.equal(await page.locator(`input[name="failure"][value="${old}"]`).count(), 1);
	await page.context().close();
});

test('a bridge put on stands in the handover, and is taken off, all without the server', async () => {
	const page = await opened(await make(), `#bridge=${number('V-0005')}`);

	await ready(page);
	await served.stop();
	await tap(page, 'SAVE: BRIDGE ON');
	assert.match(await page.textContent('.view form'), /Say from where to where/);
	await page.fill('#act-place', 'over both lugs');
	await tap(page, 'SAVE: BRIDGE ON');
	await walked(page);
	await page.goto(page.url().replace(/#.*/, '#handover'));
	await page.waitForSelector('.view .bridge');
	assert.match(await page.textContent('.view .bridge'), /STILL ON.*V-0005: over both lugs/);
	await page.goto(page.url().replace(/#.*/, `#bridge=${number('V-0005')}`));
	await ready(page);
	await tap(page, 'It is off, now');
	await walked(page);
	await sent(page);
	assert.deepEqual((await api.get(`/api/bridges?bond=${number('V-0005')}`)).rows.map(({ place, on, off_day: day }) => [place, on, day]), [['over both lugs', false, TODAY]]);
	await page.context().close();
});

for (const [dark, size] of [[false, TABLET], [true, { width: 320, height: 700 }]]) {
	test(`targets, gaps and colours are right: ${dark ? 'dark' : 'light'}, ${size.width} px`, async () => {
		for (const [name, of] of [['failed', `${number('V-0001')},${number('V-0013')}`], ['mend', number('V-0013')], ['bridge', number('V-0005')]]) {
			const page = await tablet(`/round/${await make()}#${name}=${of}`, { size, dark });

			await ready(page);
			assert.deepEqual(await page.evaluate(tooSmall, 64), [], name);
			assert.deepEqual(await page.evaluate(tooNear, 12), [], name);
			assert.ok(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth), 'does not scroll sideways');
			assert.deepEqual(await wrongs(page), [], name);
			if (process.env.PICTURES)
				await page.screenshot({ path: `${process.env.PICTURES}/${name}-${size.width}-${dark ? 'dark' : 'light'}.png` });
			await page.context().close();
		}
	});
}
