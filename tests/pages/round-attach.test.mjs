/* A new attachment in a round, with the server really gone. */
import assert from 'node:assert/strict';
import { test } from 'node:test';

import { newUuid } from '../../static/js/logic/uuid.js';
import { begin } from './support/begin.mjs';
import { TABLET, wrongs } from './support/browser.mjs';
import { ago, TODAY } from './support/railway.mjs';
import { rounds, tooNear, tooSmall } from './support/round.mjs';

const LABELS = ['V-0001', 'V-0005', 'V-0007', 'V-0009'];
const program = await begin();
const { served, api } = program;
const { number, make, opened, tap, sent, tablet } = rounds(program, LABELS);
const { rulebook } = await api.get('/api/rulebook');
const clear = rulebook.spot_clearance_mm;

await api.put(`/api/attachments/${newUuid()}`, { bond_id: number('V-0009'), end: 'a', made_day: ago(400), method: 'brazed_pin', offset_mm: 120 });
await api.put(`/api/attachments/${newUuid()}`, { bond_id: number('V-0001'), end: 'a', made_day: ago(400), method: 'brazed_pin', offset_mm: 120 });
const choose = (page, name, value) => page.locator(`.choice:has(input[name="${name}"][value="${value}"])`).tap();
const spot = (page) => page.textContent('.spot > .result');
const attachments = async (label) => (await api.get(`/api/attachments?bond=${number(label)}`)).rows;

async function allGood(page) {
	for (const check of ['ground_bright', 'battery_charged', 'gun_flush', 'hammer_passed', 'solder_all_round'])
		await choose(page, check, 'yes');
	for (const [name, value] of [['arc_s', '2'], ['hold_s', '2'], ['stub_mm', '1,5']])
		await page.fill(`[name="${name}"]`, value);
}

const ready = (page) => page.waitForFunction(() => document.querySelector('.view form')?.inert === false);

test('without the server the spot and the checks are judged as the server judges them, and received once', async () => {
	const uuid = await make();
	const page = await opened(uuid, '#walk');

	await served.stop();
	await page.reload();
	await tap(page, 'New attachment');
	await ready(page);
	await choose(page, 'end', 'a');
	await page.fill('#offset', '130');
	assert.match(await spot(page), new RegExp(`Not here: this spot is spoilt.*Not at 130 mm: too near to the live attachment at 120 mm, clearance ${clear} mm`));
	assert.match(await page.textContent('.spot > .unknowns'), /Rail ends are not known here: look/);
	await tap(page, `Take the next free place: +${120 + clear} mm`);
	assert.match(await spot(page), /^Free/);
	await choose(page, 'method', 'brazed_pin');
	await allGood(page);
	await page.fill('#stub_mm', '2,1');
	assert.match(await page.textContent('.accept > .result'), /Not accepted yet: to be mended here/);
	await page.fill('#stub_mm', '2');
	assert.match(await page.textContent('.accept > .result .verdict'), /Good so far: the commissioning reading decides/);

	await page.waitForTimeout(1000);
	await page.reload();   // (what was typed is there)
	await ready(page);
	assert.equal(await page.inputValue('#offset'), String(120 + clear));
	assert.equal(await page.inputValue('#stub_mm'), '2');
	await page.fill('#batch', 'F-77');
	await tap(page, 'SAVE THE ATTACHMENT');
	await page.waitForSelector('.attached');
	assert.match(await page.textContent('.attached'), /Saved on this tablet: V-0001.*Good so far/s);

	/* the next one at this end keeps clear of it, too: no other place is as near */
	await tap(page, 'The other end');
	await ready(page);
	await choose(page, 'end', 'a');
	await page.fill('#offset', String(120 + clear + 10));
	assert.match(await spot(page), new RegExp(`too near to the live attachment at ${120 + clear} mm`));
	await page.fill('#offset', '110');
	assert.match(await spot(page), /too near to the spoilt spot at 120 mm/);

	await sent(page);
	const rows = (await attachments('V-0001')).filter(({ made_day: day }) => day === TODAY);
	assert.deepEqual(rows.map(({ end, offset_mm, batch, stub_mm, spot_taken }) => [end, offset_mm, batch, stub_mm, spot_taken]), [['a', 120 + clear, 'F-77', 2, false]]);
	await page.context().close();
});

test('the reading that follows is its commissioning, not compared with what was read before, and sent after it', async () => {
	const page = await opened(await make(), `#attach=${number('V-0007')}`);

	await ready(page);
	await served.stop();
	await choose(page, 'end', 'a');
	await choose(page, 'method', 'bolted');
	await tap(page, 'SAVE THE ATTACHMENT');
	await page.waitForSelector('.attached');
	await tap(page, 'KEY THE COMMISSIONING READING');
	await page.waitForSelector('.record');
	assert.match(await page.textContent('.record'), /no earlier evidence/);
	await page.locator('.record .both').tap();
	for (const key of ['1', '4', '0'])
		await page.locator(`.record [data-key="${key}"]`).tap();
	await page.waitForTimeout(1500);   // (a question waits for the typing to rest)
	await page.locator('.record > .save').tap();
	await page.waitForSelector('.record >> text=V-0007: saved on this tablet');
	await sent(page);
	const visits = (await api.get(`/api/inspections?bond=${number('V-0007')}`)).rows.filter(({ day }) => day === TODAY);
	assert.deepEqual(visits.map(({ purpose }) => purpose), ['commissioning']);
	assert.equal((await attachments('V-0007')).filter(({ made_day: day }) => day === TODAY).length, 1);
	await page.context().close();
});

test('what was made on a spoilt spot is recorded as it is, and mended by another that replaces it', async () => {
	const uuid = await make();
	const page = await opened(uuid, `#attach=${number('V-0005')}`);

	await ready(page);
	await served.stop();
	await choose(page, 'end', 'a');
	await page.fill('#offset', '300');
	await choose(page, 'method', 'brazed_pin');
	await allGood(page);
	await page.fill('#stub_mm', '3');
	await tap(page, 'SAVE THE ATTACHMENT');
	await page.waitForSelector('.attached');
	assert.match(await page.textContent('.attached'), /Not accepted yet: to be mended here/);
	assert.equal(await page.locator('.view >> text=COMMISSIONING').count(), 0);
	await tap(page, 'Record it again, mended');
	await ready(page);
	assert.match(await spot(page), /^Free/);   // (it does not stand in its own way)
	await page.fill('#stub_mm', '1');
	await tap(page, 'SAVE THE ATTACHMENT');
	await page.waitForSelector('.attached');
	await sent(page);
	const rows = (await attachments('V-0005')).filter(({ made_day: day }) => day === TODAY);
	assert.deepEqual(rows.map(({ stub_mm, replaced }) => [stub_mm, replaced]).sort(), [[1, false], [3, true]]);
	await page.context().close();
});

test('an attachment is taken out within ten seconds, and its spot is as it was', async () => {
	const page = await opened(await make(), `#attach=${number('V-0009')}`);

	await ready(page);
	await choose(page, 'end', 'a');
	await page.fill('#offset', '500');
	assert.match(await spot(page), /^Free/);
	await tap(page, 'SAVE THE ATTACHMENT');
	await page.waitForSelector('.attached');
	await tap(page, 'Undo');
	await ready(page);
	await choose(page, 'end', 'a');
	await page.fill('#offset', '500');
	assert.match(await spot(page), /^Free/);
	await page.locator('.send-now').tap();
	assert.equal((await attachments('V-0009')).filter(({ offset_mm: mm }) => mm === 500).length, 0);
	await page.context().close();
});

test('what the server refuses is mended where it was made', async () => {
	const uuid = await make();
	const page = await opened(uuid, `#attach=${number('V-0009')}`);

	await ready(page);
	await choose(page, 'end', 'b');
	await choose(page, 'method', 'bolted');
	await page.route('**/api/attachments/*', (route) => route.fulfill({ status: 422, contentType: 'application/json',
		body: JSON.stringify({ detail: 'No.', errors: [{ field: 'batch', detail: 'Batch F-1 was called back.' }] }) }));
	await page.fill('#batch', 'F-1');
	await tap(page, 'SAVE THE ATTACHMENT');
	await page.waitForSelector('.attached');
	await page.goto(`${served.url}/queue`);
	await page.waitForSelector('#refused li', { timeout: 45000 });
	await page.unroute('**/api/attachments/*');
	await page.locator('#refused .go-on').tap();
	await ready(page);
	assert.match(await page.textContent('.view form'), /Batch F-1 was called back/);
	await page.fill('#batch', 'F-2');
	await tap(page, 'SAVE THE ATTACHMENT');
	await page.waitForSelector('.attached');
	await page.goto(`${served.url}/queue`);
	await page.waitForFunction(() => document.querySelector('#received li'), null, { timeout: 45000 });
	assert.deepEqual((await attachments('V-0009')).filter(({ made_day: day }) => day === TODAY).map(({ batch }) => batch), ['F-2']);
	await page.context().close();
});

for (const [dark, size] of [[false, TABLET], [true, { width: 320, height: 700 }], [true, { width: 1180, height: 820 }]]) {
	test(`targets, gaps and colours are right: ${dark ? 'dark' : 'light'}, ${size.width} px`, async () => {
		const page = await tablet(`/round/${await make()}#attach=${number('V-0001')}`, { size, dark });

		await ready(page);
		await choose(page, 'end', 'a');
		await page.fill('#offset', '130');
		assert.deepEqual(await page.evaluate(tooSmall, 64), []);
		assert.deepEqual(await page.evaluate(tooNear, 12), []);
		assert.ok(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth), 'does not scroll sideways');
		assert.deepEqual(await wrongs(page), []);
		if (process.env.PICTURES)
			await page.screenshot({ path: `${process.env.PICTURES}/attach-${size.width}-${dark ? 'dark' : 'light'}.png`, fullPage: true });
		await page.goto(page.url().replace(/#.*/, '#walk'));
		await tap(page, 'Tick bonds: other acts');
		await page.locator('.tick').nth(1).tap();
		await page.locator('.tick').nth(2).tap();
		assert.match(await page.textContent('.ticked h2'), /2 bonds/);
		assert.deepEqual(await page.evaluate(tooSmall, 64), []);
		assert.deepEqual(await page.evaluate(tooNear, 12), []);
		assert.deepEqual(await wrongs(page), []);
		if (process.env.PICTURES)
			await page.screenshot({ path: `${process.env.PICTURES}/ticked-${size.width}-${dark ? 'dark' : 'light'}.png` });
		await page.context().close();
	});
}
