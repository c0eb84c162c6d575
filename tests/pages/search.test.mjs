/* The search box in the head of every desk page. */
import assert from 'node:assert/strict';
import { test } from 'node:test';

import { begin } from './support/begin.mjs';
import { DESK, rest, TABLET, wrongs } from './support/browser.mjs';

const { open, api, railway } = await begin();
const box = '.find > input';
const options = (page) => page.locator('.find [role="option"]').allTextContents();
const bond = (label) => `/bonds/${railway.bonds.get(label)}`;

/* 1+500 to 1+800 does not exist, 3+700 to 3+800 exists twice. */
await api.post('/api/lines', { code: 'JMP', name: 'Jumping line', notation: 'km_m' });
await api.post('/api/tracks', { line: 'JMP', name: 'Main' });
await api.post('/api/maps', { line: 'JMP', stretches: [
	{ distance_m: 0, start_m: 0, end_m: 1500 }, { distance_m: 1500, start_m: 1800, end_m: 3800 }, { distance_m: 3500, start_m: 3700, end_m: 5000 }] });
await api.post('/api/bonds', { line: 'JMP', label: 'J-1', kind: 'rail_joint', a_track: 'Main', a_rail: 'left', a_chainage: '1+490' });
await api.post('/api/bonds', { line: 'JMP', label: 'J-2', kind: 'rail_joint', a_track: 'Main', a_rail: 'left', a_chainage: '1+810' });

async function find(page, text) {
	await page.fill(box, '');
	await page.focus(box);
	await page.keyboard.type(text);
	await page.waitForTimeout(170);
	await rest(page);
}

test('"/" comes to the box from anywhere, a label and Enter lead to its record', async () => {
	const page = await open('/repeat');

	await page.keyboard.press('/');
	await page.keyboard.type('V-0042');
	await page.keyboard.press('Enter');
	await page.waitForURL(`**${bond('V-0042')}`);
	await rest(page);
	assert.equal(await page.textContent('h1'), 'V-0042');
});

test('arrows walk what is found and Enter opens it', async () => {
	const page = await open('/due');

	await find(page, 'v-004');
	assert.equal((await options(page)).length, 8, 'a screenful');
	assert.equal(await page.getAttribute(box, 'aria-expanded'), 'true');
	assert.equal(await page.getAttribute(box, 'aria-activedescendant'), null);
	for (const key of ['ArrowDown', 'ArrowDown', 'ArrowDown', 'ArrowUp'])
		await page.keyboard.press(key);
	const chosen = page.locator('.find [aria-selected="true"]');
	assert.match(await chosen.textContent(), /^V-0041/);
	assert.equal(await chosen.getAttribute('id'), await page.getAttribute(box, 'aria-activedescendant'));
	await page.keyboard.press('ArrowUp');
	await page.keyboard.press('ArrowUp');
	assert.match(await chosen.textContent(), /^V-0047/, 'round to the last');
	await page.keyboard.press('Enter');
	await page.waitForURL(`**${bond('V-0047')}`);
	await rest(page);
});

test('a line and a chainage lead to the place on the strip, with the bonds on either side', async () => {
	const page = await open('/');

	await find(page, 'val 12+130');
	const found = await options(page);
	assert.match(found[0], /^VAL 12\+130 Vale line/);
	// V-0002 stands at 12+123, V-0003 at 12+243
	assert.ok(found.some((text) => /^V-0002 7\.0 m before: /.test(text)), String(found));
	assert.ok(found.some((text) => /^V-0003 113\.0 m beyond: /.test(text)), String(found));
	await page.keyboard.press('Enter');
	await page.waitForURL('**/lines/*');
	await rest(page);
	assert.equal(await page.textContent('.strip .mark-labels'), 'here');
	assert.match(await page.textContent('.strip .where'), /12\+\d+ to 12\+\d+/);
});

test('a chainage in a gap says so, one that exists twice gives both', async () => {
	const page = await open('/');

	await find(page, 'JMP 1+600');
	const gap = await options(page);
	assert.match(gap[0], /does not exist.*1\+500 to 1\+800/);
	assert.match(gap[1], /^J-1 10\.0 m before/);
	assert.match(gap[2], /^J-2 10\.0 m beyond/);
	await find(page, 'JMP 3+750');
	assert.deepEqual((await options(page)).filter((text) => text.startsWith('JMP')).map((text) => text.slice(0, 12)), ['JMP 3+750 #1', 'JMP 3+750 #2']);
});

test('people are found by who may plan, and lead nowhere', async () => {
	const page = await open('/due');

	await find(page, 'noor');
	assert.deepEqual(await options(page), ['Pia Noor planner, signs in as pia']);
	await page.keyboard.press('ArrowDown');
	await page.keyboard.press('Enter');
	assert.equal(new URL(page.url()).pathname, '/due');
	const crew = await open('/due', { who: 'crew' });
	await find(crew, 'noor');
	assert.match(await crew.textContent('.find .none'), /Nothing begins so/);
});

test('Escape closes the list and keeps what was typed, leaving the box closes it too', async () => {
	const page = await open('/due');

	await find(page, 'M-2');
	assert.match((await options(page))[0], /^M-204 micro-ohmmeter, calibration due/);
	await page.keyboard.press('Escape');
	assert.equal(await page.isVisible('.find .found'), false);
	assert.equal(await page.inputValue(box), 'M-2');
	await page.keyboard.press('ArrowDown');
	await rest(page);
	assert.ok(await page.isVisible('.find .found'));
	await page.keyboard.press('Tab');
	assert.equal(await page.isVisible('.find .found'), false);
});

test('"/" stays a sign where something is typed', async () => {
	const page = await open('/due');

	await page.focus('#q');
	await page.keyboard.press('/');
	assert.equal(await page.inputValue('#q'), '/');
	await find(page, 'a/b');
	assert.equal(await page.inputValue(box), 'a/b');
});

test('a mouse opens what it clicks', async () => {
	const page = await open('/due');

	await find(page, 'vale');
	await page.click('.find a.option');
	await page.waitForURL('**/lines/*');
	await rest(page);
	assert.equal(await page.textContent('h1'), 'Vale line');
});

for (const dark of [false, true])
	test(`axe finds nothing wrong with what is found, ${dark ? 'dark' : 'light'}`, async () => {
		const page = await open('/due', { dark, size: dark ? TABLET : DESK });

		await find(page, 'v');
		await page.keyboard.press('ArrowDown');
		assert.deepEqual(await wrongs(page), []);
		await find(page, 'nothing of the sort');
		assert.deepEqual(await wrongs(page), []);
	});
