/* The strip, on the page of a line and beside the lists: what it draws, and by what it is moved. */
import assert from 'node:assert/strict';
import { test } from 'node:test';

import { begin } from './support/begin.mjs';
import { DESK, rest, TABLET, wrongs } from './support/browser.mjs';

const { open, api, railway } = await begin();
const VAL = railway.lines.VAL;
const links = (page) => page.locator('.strip .bonds > a');
const where = (page) => page.textContent('.strip .where');

/* 1+500 to 1+800 does not exist; the Siding counts for itself, from 1 km along the line. */
await api.post('/api/lines', { code: 'JMP', name: 'Jumping line', notation: 'km_m' });
for (const name of ['Main', 'Siding'])
	await api.post('/api/tracks', { line: 'JMP', name });
await api.post('/api/maps', { line: 'JMP', stretches: [{ distance_m: 0, start_m: 0, end_m: 1500 }, { distance_m: 1500, start_m: 1800, end_m: 3800 }] });
await api.post('/api/maps', { line: 'JMP', track: 'Siding', stretches: [{ distance_m: 1000, start_m: 0, end_m: 500 }] });
await api.post('/api/bonds', { line: 'JMP', label: 'J-1', kind: 'track_cross', a_track: 'Main', a_rail: 'right', a_chainage: '1+200', b_track: 'Siding', b_rail: 'left', b_chainage: '0+200' });
const JMP = (await api.get('/api/lines?q=JMP')).rows[0].id;

/** The page's zoom has settled and its question is answered. */
async function settled(page) {
	await page.waitForTimeout(160);
	await rest(page);
}

async function wheel(page, notches, at = 0.5) {
	const box = await page.locator('.strip .surface').boundingBox();
	await page.mouse.move(box.x + 110 + (box.width - 120) * at, box.y + 40);
	for (let i = 0; i < Math.abs(notches); i++)
		await page.mouse.wheel(0, notches > 0 ? -300 : 300);
	await settled(page);
}

async function view(page) {
	const address = new URL(page.url()).searchParams;
	return [Number(address.get('from_mm')), Number(address.get('to_mm'))];
}

test('from afar a line is counts that add up to the list, by track and stretch', async () => {
	const page = await open(`/lines/${VAL}`);
	const { totals } = await api.get(`/api/due?line=${VAL}&limit=1`);
	const sums = await page.locator('.strip .sum').allTextContents();
	const pressing = await page.locator('.strip .pressing').allTextContents();
	const sum = (texts) => texts.reduce((all, text) => all + Number(text), 0);

	assert.equal(sum(sums), 232);
	assert.equal(sum(pressing), totals.overdue);
	assert.equal(await page.title(), `Vale line · ${totals.overdue} overdue`);
	assert.deepEqual(await page.locator('.strip .name').allTextContents(), ['Up', 'Down']);
	assert.match(await where(page), new RegExp(`232 bonds, ${totals.overdue} overdue`));
	// rails have the railway's own words: left is the upper one, seen towards rising chainage
	assert.deepEqual(await page.locator('.strip .names .l').allTextContents(), ['cess', 'six-foot']);
});

test('each figure of the table leads to the list that it counts', async () => {
	const page = await open(`/lines/${VAL}`);
	const figure = page.locator('.counts-of-kinds tbody > tr', { hasText: 'structure bond' }).locator('a').first();
	const count = await figure.textContent();

	await figure.click();
	await rest(page);
	assert.match(page.url(), new RegExp(`/due\\?line=${VAL}&state=\\w+&kind=structure`));
	assert.equal(await page.locator('main > .scroll tbody > tr').count(), Number(count));
});

test('the wheel comes closer, to single bonds, each a link to its record', async () => {
	const page = await open(`/lines/${VAL}`);

	await wheel(page, 6, 0.3);
	const bonds = await links(page).count();
	assert.ok(bonds > 0 && bonds < 60, `${bonds} bonds`);
	const label = await links(page).first().getAttribute('aria-label');
	assert.match(label, /^V-\d{4}, .* bond, (Up|Down), .*\d\+\d{3}/);
	await links(page).first().click();
	await rest(page);
	assert.match(page.url(), /\/bonds\/\d+$/);
	assert.equal(await page.textContent('h1'), label.slice(0, 6));
	await page.goBack();
	await settled(page);
	assert.equal(await links(page).count(), bonds, 'the view stood in the address');
});

test('the wheel goes back as far as the whole line, and then moves the page', async () => {
	const page = await open(`/lines/${VAL}`, { size: { width: 1200, height: 500 } });
	const before = await where(page);

	await wheel(page, 3);
	assert.notEqual(await where(page), before);
	await wheel(page, -8);
	assert.equal(await where(page), before);
	await wheel(page, -2);
	assert.ok(await page.evaluate('scrollY') > 0);
});

test('the mouse drags the line along', async () => {
	const page = await open(`/lines/${VAL}?from_mm=20000000&to_mm=22000000`);
	const box = await page.locator('.strip .surface').boundingBox();

	await page.mouse.move(box.x + 800, box.y + 40);
	await page.mouse.down();
	await page.mouse.move(box.x + 400, box.y + 45, { steps: 4 });
	await page.mouse.up();
	await settled(page);
	const [from, to] = await view(page);
	// 400 px of some 1,290 for 2 km: about 620 m along
	assert.ok(from > 20500000 && from < 20750000, `from ${from}`);
	assert.ok(Math.abs(to - from - 2000000) < 2000);
});

test('the keyboard moves, zooms, walks from bond to bond and opens one', async () => {
	const page = await open(`/lines/${VAL}`);
	const press = async (key) => {
		await page.keyboard.press(key);
		await settled(page);
	};

	await page.focus('.strip .surface');
	for (let i = 0; i < 6; i++)
		await press('+');
	const [from, to] = await view(page);
	await press('ArrowRight');
	const moved = await view(page);
	assert.ok(Math.abs(moved[0] - from - (to - from) / 4) <= 2, 'a quarter of the view');
	await press('Home');
	const home = await view(page);
	await press('End');
	const end = await view(page);
	assert.ok(home[0] < 12003000 && end[1] > 40000000, 'both ends of the line');
	await press('Home');
	await press('ArrowDown');
	const first = await page.evaluate('document.activeElement.getAttribute("aria-label")');
	assert.match(first, /^V-0001/);
	await press('ArrowDown');
	assert.notEqual(await page.evaluate('document.activeElement.getAttribute("aria-label")'), first);
	await press('ArrowUp');
	await page.keyboard.press('Enter');
	await page.waitForURL(/\/bonds\/\d+$/);
	await rest(page);
	assert.equal(await page.textContent('h1'), 'V-0001');
});

test('two fingers spread come closer, one drags', async () => {
	const page = await open(`/lines/${VAL}?from_mm=20000000&to_mm=24000000`, { size: TABLET, touch: true });
	const cdp = await page.context().newCDPSession(page);
	const box = await page.locator('.strip .surface > svg').boundingBox();
	const [x, y] = [box.x + box.width / 2, box.y + 50];
	const touch = (type, ...points) => cdp.send('Input.dispatchTouchEvent', { type, touchPoints: points.map(([px, py], id) => ({ x: px, y: py, id })) });

	await touch('touchStart', [x - 50, y], [x + 50, y]);
	for (let d = 60; d <= 100; d += 10)
		await touch('touchMove', [x - d, y], [x + d, y]);
	await touch('touchEnd');
	await settled(page);
	const [from, to] = await view(page);
	assert.ok(Math.abs(to - from - 2000000) < 60000, `twice as close: ${to - from}`);
	await touch('touchStart', [x, y]);
	for (let d = 0; d <= 100; d += 20)
		await touch('touchMove', [x - d, y + 1]);
	await touch('touchEnd');
	await settled(page);
	const dragged = await view(page);
	assert.ok(dragged[0] > from + 100000 && Math.abs(dragged[1] - dragged[0] - (to - from)) < 2000);
});

test('a finger opens a bond', async () => {
	const page = await open(`/lines/${VAL}?from_mm=12000000&to_mm=12300000`, { size: TABLET, touch: true });

	await links(page).first().tap();
	await page.waitForURL(/\/bonds\/\d+$/);
	await rest(page);
});

test('a stretch that is chosen is zoomed into, and the buttons do what the keys do', async () => {
	const page = await open(`/lines/${VAL}`);

	await links(page).first().click();
	await settled(page);
	const [from, to] = await view(page);
	assert.ok(to - from < 3000000);
	await page.click('.strip [data-key="-"]');
	await settled(page);
	const [wider, widerTo] = await view(page);
	assert.ok(widerTo - wider > (to - from) * 1.5);
	await page.click('.strip [data-key="0"]');
	await settled(page);
	assert.match(await where(page), /232 bonds/);
});

test('whatever is in view, the answer is a screenful', async () => {
	const page = await open(`/lines/${VAL}`);
	const sizes = [];

	page.on('response', async (response) => {
		if (/\/strip\?/.test(response.url())) {
			const { bonds, buckets } = await response.json();
			sizes.push((bonds ?? buckets).length);
		}
	});
	for (let i = 0; i < 4; i++)
		await wheel(page, 2);
	assert.ok(sizes.length >= 4);
	assert.ok(sizes.every((size) => size <= 400), String(sizes));
});

test('the filter of the page is the filter of the strip', async () => {
	const page = await open(`/lines/${VAL}?state=overdue`);
	const { totals } = await api.get(`/api/due?line=${VAL}&limit=1`);

	assert.match(await where(page), new RegExp(`${totals.overdue} bonds, ${totals.overdue} overdue`));
	await page.selectOption('#state', '');
	await page.selectOption('#kind', 'structure');
	await settled(page);
	assert.match(await where(page), /46 bonds/);   // 230 in five kinds by turns
	await page.click('.clear');
	await settled(page);
	assert.match(await where(page), /232 bonds/);
});

test('jumps are breaks on the tracks of their map, and told in words', async () => {
	const page = await open(`/lines/${JMP}`);

	const breaks = await page.locator('.strip .break > text').allTextContents();
	assert.deepEqual(breaks, ['1+500 ▸ 1+800']);
	assert.match(await page.textContent('.jumps'), /On the other tracks.*From 1\+500 the chainage jumps on to 1\+800: 300 m of chainage do not exist/);
	assert.match(await page.textContent('.jumps'), /On Siding.*Nowhere/);
	// the siding's 0+000 lies below the line's 1+000
	const at = (text, n) => page.locator('.strip .ticks text', { hasText: text }).nth(n).evaluate((el) => el.getBoundingClientRect().x + el.getBoundingClientRect().width / 2);
	const ones = await page.locator('.strip .ticks text').allTextContents();
	assert.ok(ones.filter((text) => text === '0+000').length === 2, String(ones));
	assert.ok(await at('0+000', 1) > await at('0+000', 0) + 100 || await at('0+000', 0) > await at('0+000', 1) + 100);
});

test('a cross bond reaches from its rail to the other track', async () => {
	const page = await open(`/lines/${JMP}?from_mm=1100000&to_mm=1300000`);
	const rails = await page.locator('.strip .tracks line').evaluateAll((all) => all.map((line) => Number(line.getAttribute('y1'))));
	const [, y1, y2] = (await page.getAttribute('.strip .cable', 'd')).match(/^M\S+ (\S+)L\S+ (\S+)$/).map(Number);

	assert.deepEqual([y1, y2], [rails[1], rails[2]], 'right rail of the first track, left rail of the second');
	assert.match(await links(page).getAttribute('aria-label'), /^J-1, track-to-track cross bond, Main, right rail, to Siding, left rail, 1\+200/);
});

test('what is in view stands in a table too, for who does not see it', async () => {
	const page = await open(`/lines/${VAL}?from_mm=12000000&to_mm=12300000`);

	await page.click('.strip summary');
	await settled(page);
	const rows = page.locator('.strip .in-view tbody > tr');
	assert.equal(await rows.count(), await links(page).count());
	assert.match(await rows.first().textContent(), /^V-0001/);
	await page.click('.strip [data-key="0"]');
	await settled(page);
	assert.match(await page.textContent('.strip .in-view thead'), /Stretch.*overdue/);
});

test('the due list of a line has its strip, by the same filters, and it can be folded away', async () => {
	const page = await open(`/due?line=${VAL}&kind=structure`);

	assert.match(await where(page), /46 bonds/);
	await page.click('.totals.by-state > button[data-word="overdue"]');
	await settled(page);
	const overdue = await page.locator('main > .scroll tbody > tr').count();
	assert.match(await where(page), new RegExp(`: ${overdue} bond`));
	await page.click('.fold > summary');
	await settled(page);
	await page.reload();
	await rest(page);
	assert.equal(await page.isVisible('.strip'), false);
	await page.click('.fold > summary');
	await page.selectOption('#line', '');
	await rest(page);
	assert.equal(await page.isVisible('.fold'), false, 'no strip of every line');
});

test('the page of a bond shows it among its neighbours, that of a repeat place the place', async () => {
	const page = await open(`/bonds/${railway.bonds.get('V-0007')}`);

	assert.match(await page.getAttribute('.strip a[aria-current]', 'aria-label'), /V-0007/);
	await page.goto(page.url().replace(/\/bonds.*/, `/repeat?line=${VAL}`));
	await rest(page);
	assert.equal(await page.textContent('.fold .mark-labels'), '4 failures');
	await page.locator('main > .scroll tbody a').first().click();
	await settled(page);
	assert.equal(await page.textContent('.place-detail .mark-labels'), '4 failures');
});

test('a line with nothing on it says so', async () => {
	await api.post('/api/lines', { code: 'NIL', name: 'New line', notation: 'km' });
	const page = await open(`/lines/${(await api.get('/api/lines?q=NIL')).rows[0].id}`);

	assert.match(await where(page), /New line has no tracks and no bonds yet/);
	assert.ok(await page.isVisible('.sheet .none'));
});

for (const dark of [false, true])
	for (const [name, path] of [['counts', `/lines/${VAL}`], ['bonds', `/lines/${VAL}?from_mm=12000000&to_mm=12400000`], ['jumps', `/lines/${JMP}`]])
		test(`axe finds nothing wrong, ${name}, ${dark ? 'dark' : 'light'}`, async () => {
			const page = await open(path, { dark, size: dark ? TABLET : DESK });
			await page.click('.strip summary');
			assert.deepEqual(await wrongs(page), []);
		});
