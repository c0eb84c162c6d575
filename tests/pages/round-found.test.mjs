/* A bond that is not in the book: found without the server, and a bond only when a planner says so. */
import assert from 'node:assert/strict';
import { test } from 'node:test';

import { begin } from './support/begin.mjs';
import { rest, TABLET, wrongs } from './support/browser.mjs';
import { TODAY } from './support/railway.mjs';
import { rounds, tooNear, tooSmall } from './support/round.mjs';

const program = await begin();
const { served, api, open } = program;
const { number, make, opened, tap, sent, tablet } = rounds(program, ['V-0001', 'V-0005', 'V-0009']);
const choose = (page, name, value) => page.locator(`.choice:has(input[name="${name}"][value="${value}"])`).first().click();
const ready = (page) => page.waitForFunction(() => document.querySelector('.view form')?.inert === false);
const bonds = async () => (await api.get('/api/bonds?line=1&limit=500')).rows;

async function find(page, place) {
	await ready(page);
	await page.selectOption('#act-near', { label: 'V-0005, 12+483, VAL' });
	await page.fill('#act-place', place);
	await choose(page, 'track', 'Up');
	await choose(page, 'rail', 'left');
	await choose(page, 'kind', 'structure');
	await page.fill('#act-joins', 'rail to mast 12');
	await page.fill('#act-seen', 'lug loose at the mast');
	await tap(page, 'SAVE: NOT IN THE BOOK');
	await page.waitForSelector('.walk');
}

test('what was found without the server is received once, and is no bond of the register', async () => {
	const before = await bonds();
	const page = await opened(await make(), '#walk');

	await served.stop();
	await page.reload();
	await tap(page, 'A bond not in the book');
	await ready(page);
	await page.selectOption('#act-near', { label: 'V-0005, 12+483, VAL' });
	assert.match(await page.textContent('.like'), /V-0005 12\+483.*Is it one of these\?.*not of this round are not known here/);
	await tap(page, 'SAVE: NOT IN THE BOOK');
	assert.match(await page.textContent('.view form'), /Say where it is.*Say of what kind.*Say what it joins.*Say what was seen/s);
	await page.fill('#act-measured_uohm', '4x');
	await page.fill('#act-place', '12+490');
	await page.waitForTimeout(1000);
	await page.reload();
	await ready(page);
	assert.equal(await page.inputValue('#act-place'), '12+490', 'a draft is at most a second behind');
	await tap(page, 'SAVE: NOT IN THE BOOK');
	assert.match(await page.textContent('.view form'), /"4x" is not a number/);
	await page.fill('#act-measured_uohm', '465,5');
	await find(page, '12+490');
	assert.match(await page.textContent('.view'), /Not in the book: 1.*12\+490: rail to mast 12, saved/s);
	await sent(page);
	const { rows } = await api.get('/api/found-bonds');
	assert.deepEqual(rows.map(({ place, near, measured_uohm: value, found_day: day, crew, open: waits }) => [place, near, value, day, crew, waits]),
		[['12+490', 'V-0005', 465.5, TODAY, 'Night crew', true]]);
	assert.deepEqual(await bonds(), before);
	await page.context().close();
});

test('a planner says which bond it is, registers it, or says why it is none', async () => {
	const uuid = await make();

	for (const place of ['12+600', '12+610']) {
		const page = await tablet(`/round/${uuid}#found`);
		await find(page, place);
		await page.waitForFunction(() => document.querySelector('[data-state="received"]'), null, { timeout: 45000 });
		await page.context().close();
	}
	const page = await open('/rounds', { who: 'planner' });
	const row = (place) => page.locator(`.found tr:has-text("${place}")`);
	const ask = async (place, how) => {
		await row(place).locator('button').click();
		await page.waitForSelector('#found-answer[open]');
		await choose(page, 'how', how);
	};
	const answered = async () => {
		await page.click('#found-answer .main');
		await page.waitForSelector('#found-answer:not([open])', { state: 'attached' });
		await rest(page);
	};

	assert.match(await row('12+490').textContent(), /near V-0005 \(12\+483\).*rail to mast 12.*lug loose at the mast.*465\.5 µΩ/);
	await ask('12+490', 'is');
	await page.click('#found-answer .main');
	assert.match(await page.textContent('#found-answer'), /Say which bond it is/);
	await page.selectOption('#found-bond', String(number('V-0005')));
	await answered();
	assert.equal(await row('12+490').count(), 0);

	await ask('12+600', 'new');
	await page.fill('#found-label', 'V-0001');   // a label in use makes no second bond, and no answer
	await page.click('#found-answer .main');
	await page.waitForSelector('#found-answer :is(.problem, .notice:not(:empty))');
	await page.fill('#found-label', 'V-7777');
	await page.fill('#found-chainage', '12+600');
	await choose(page, 'b_on', 'structure');
	await page.fill('#found-structure', 'Mast 12');
	await answered();
	const [made] = (await bonds()).filter(({ label }) => label === 'V-7777');
	assert.deepEqual([made.kind, made.track, made.rail], ['structure', 'Up', 'left']);

	await ask('12+610', 'none');
	await page.click('#found-answer .main');
	await page.waitForSelector('#found-answer .problem');
	await page.fill('#found-said', 'an earth wire of the signal');
	await answered();
	assert.ok(await page.locator('.found-open').isHidden());
	const { rows } = await api.get('/api/found-bonds?sort=oldest');
	assert.deepEqual(rows.map(({ place, bond, said }) => [place, bond, said]),
		[['12+490', 'V-0005', null], ['12+600', 'V-7777', null], ['12+610', null, 'an earth wire of the signal']]);
	await page.context().close();
});

for (const [dark, size] of [[false, TABLET], [true, { width: 320, height: 700 }]]) {
	test(`targets, gaps and colours are right: ${dark ? 'dark' : 'light'}, ${size.width} px`, async () => {
		const page = await tablet(`/round/${await make()}#found`, { size, dark });

		await ready(page);
		assert.deepEqual(await page.evaluate(tooSmall, 64), []);
		assert.deepEqual(await page.evaluate(tooNear, 12), []);
		assert.ok(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth), 'does not scroll sideways');
		assert.deepEqual(await wrongs(page), []);
		if (process.env.PICTURES)
			await page.screenshot({ path: `${process.env.PICTURES}/found-${size.width}-${dark ? 'dark' : 'light'}.png`, fullPage: true });
		await page.context().close();
	});
}
