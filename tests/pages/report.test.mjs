import assert from 'node:assert/strict';
import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { test } from 'node:test';

import { newUuid } from '../../static/js/logic/uuid.js';
import { begin } from './support/begin.mjs';
import { rest } from './support/browser.mjs';
import { ago, TODAY } from './support/railway.mjs';

const { open, api, railway } = await begin();

/* What the small railway lacks: a bond to be surveyed, one without a rail, a line without bonds. */
await api.post('/api/bonds', { line: 'SAN', label: '? 5m', kind: 'not_known', a_track: 'Single', a_chainage: '5m 0ch', surveyed: false });
await api.post('/api/bonds', { line: 'VAL', label: 'V-0900', kind: 'rail_joint', a_chainage: '20+001', installed_day: ago(100) });
await api.post('/api/lines', { code: 'EMP', name: 'Empty line', notation: 'km_m' });
for (const day of [700, 330])   // 12 months and 14 days after the one before: on time, then five days late
	await api.put(`/api/inspections/${newUuid()}`, { bond_id: railway.bonds.get('S-0001'), day: ago(day), purpose: 'routine', outcome: 'complete', inspector: 'R. Olver', seen_a: 'good', seen_b: 'good', readings: [] });

const sum = (rows, name) => rows.reduce((total, row) => total + row[name], 0);
const cells = (page, rows) => page.locator(rows).evaluateAll((all) => all.map((tr) => Array.from(tr.cells, (cell) => cell.textContent.trim())));
const counts = (page) => page.locator('.counts > a').evaluateAll((all) => Object.fromEntries(all.map((a) => [a.children[1].textContent, a.children[0].textContent])));

test('shows the figures of the API', async () => {
	const page = await open('/report');
	const report = await api.get('/api/report');
	const { groups } = report.overdue;

	const top = await counts(page);
	const total = (what, figure) => groups.reduce((all, group) => all + group[what][figure], 0);
	assert.equal(top['inspections overdue'], String(total('inspections', 'overdue')));
	assert.equal(top['mendings overdue'], String(total('mendings', 'overdue')));
	assert.equal(top['wait for an answer'], String(report.asked.bonds));
	assert.equal(top['corrections wait'], '0');
	assert.equal(top.deferred, String(sum(groups, 'deferred')));
	assert.equal(top['still to be surveyed'], '1');
	assert.equal(top['data that look wrong'], String(sum(report.odd.rows, 'count')));
	assert.equal(top['repeat places'], '1');
	assert.equal(await page.title(), `Report, every line, ${TODAY} · ${sum(groups, 'overdue')} overdue`);
	assert.match(await page.textContent('.summary'), new RegExp(`^${TODAY}: .* of ${sum(groups, 'bonds')} bonds; rulebook version 1$`));

	const told = (await cells(page, '.overdue tbody > tr:not(.group)')).map((row) => row.slice(2));
	assert.deepEqual(told, groups.filter(({ inspections: i, mendings: m }) => i.overdue || i.deferred || m.overdue || m.deferred)
		.map(({ bonds, inspections: i, mendings: m }) => [bonds, m.overdue, m.oldest_due_day ?? '', m.deferred, i.overdue, ...i.by_band, i.oldest_due_day ?? '', i.deferred].map(String)));
	assert.ok(total('mendings', 'overdue') > 0 && total('inspections', 'overdue') > 0);
	assert.match(await page.textContent('.summary'), new RegExp(`${total('inspections', 'overdue')} inspections and ${total('mendings', 'overdue')} mendings overdue`));
	const months = (await cells(page, '.months tbody > tr:not(.group)')).map((row) => row.slice(2, 7).map(Number)).reverse();
	assert.deepEqual(months, report.on_time.months.map((m) => [m.on_time, m.late, m.not_done, m.deferred, m.not_judged]));
	assert.equal(months.length, 24);
	assert.deepEqual(await cells(page, '.odd tbody > tr'), [
		['no track or rail stated', 'Vale line', '1'],
		...['no_installation_day', 'ends_alike'].flatMap((odd) => report.odd.rows.filter(({ what }) => what === odd)).map(({ what, line, count }) => [what === 'ends_alike' ? 'ends not told apart' : 'no installation day', line === 'VAL' ? 'Vale line' : 'Sandle branch', String(count)])
	]);
});

test('a date of the overdue table stands on one line, and its heading above it', async () => {
	for (const size of [{ width: 1280, height: 800 }, { width: 820, height: 1180 }]) {
		const page = await open('/report', { size });
		const days = await page.locator('.overdue tbody td.day').evaluateAll((all) => all.filter((td) => td.textContent)
			.map((td) => { const range = new Range(); range.selectNodeContents(td); return range.getClientRects().length; }));

		assert.ok(days.length > 4);
		assert.deepEqual([...new Set(days)], [1], `at ${size.width} px`);
		const [head, cell] = await page.evaluate(() => ['.overdue thead th.day', '.overdue tbody td.day'].map((one) => document.querySelector(one))
			.map((one) => one.getBoundingClientRect().left + parseFloat(getComputedStyle(one).paddingLeft)));
		assert.ok(Math.abs(head - cell) < 1);
		await page.context().close();
	}
});

test('a month is a bar of what was on time, late and not done, to one scale', async () => {
	const page = await open('/report');
	const { months } = (await api.get('/api/report')).on_time;
	const most = Math.max(...months.map((m) => m.on_time + m.late + m.not_done));
	const bars = await page.locator('.months tbody .bar').evaluateAll((all) => all.map((svg) => ({
		of: svg.getBoundingClientRect().width, parts: Array.from(svg.children, (rect) => rect.getBoundingClientRect().width)
	})));

	assert.equal(bars.length, 24);
	bars.reverse().forEach(({ of, parts }, i) => [months[i].on_time, months[i].late, months[i].not_done].forEach((count, k) =>
		assert.ok(Math.abs(parts[k] - of * count / most) < 1.5, `${months[i].from}: ${parts[k]} of ${of} for ${count} of ${most}`)));
});

for (const query of ['', `?day=${ago(200)}&lines=SAN,VAL`])
	test(`every figure opens a list of as many rows${query && ', of another day too'}`, async () => {
		const page = await open(`/report${query}`);
		const links = await page.locator('.report a[href^="/list"]').evaluateAll((all) => all.map((a) => [a.getAttribute('href'), parseInt(a.querySelector('.count')?.textContent ?? a.textContent, 10), a.textContent]));
		const list = await open('/list?of=bonds');

		assert.ok(links.length > 30, `${links.length} links`);
		for (const [href, count, text] of new Map(links.map((link) => [link[0], link])).values()) {
			if (text.includes('%'))
				continue;   // the share leads to all that it is of
			await list.goto(new URL(href, list.url()).href);
			await rest(list);
			assert.equal(await list.locator('main > .scroll > .rows > tbody > tr').count(), count, href);
			assert.match(await list.textContent('.summary'), new RegExp(`^${count} rows?$`), href);
		}
	});

test('the day and the lines stand in the address, and Back goes back', async () => {
	const page = await open('/report');

	await page.selectOption('#add', 'SAN');
	await rest(page);
	assert.equal(new URL(page.url()).search, '?lines=SAN');
	assert.equal(await page.textContent('h1'), 'Report, Sandle branch');
	await page.fill('#day', ago(100));
	await rest(page);
	assert.equal(new URL(page.url()).search, `?day=${ago(100)}&lines=SAN`);
	assert.match(await page.textContent('.summary'), new RegExp(`^${ago(100)}: `));
	assert.match(await page.textContent('.odd .said'), new RegExp(`As of today, ${TODAY}`));
	await page.goBack();
	await rest(page);
	assert.equal(await page.inputValue('#day'), TODAY);
	await page.fill('#lines', 'SAN, NONE');
	await page.press('#lines', 'Enter');
	await rest(page);
	assert.match(await page.textContent('.filters .problem'), /There is no line NONE/);
	assert.equal(await page.inputValue('#lines'), 'SAN, NONE', 'what was typed stays');
	await page.click('.clear');
	await rest(page);
	assert.equal(new URL(page.url()).search, '');
	assert.equal(await page.locator('.problem').count(), 0);
});

test('what there is none of is said in words', async () => {
	const page = await open('/report?lines=EMP');
	const said = await page.locator('.said').allTextContents();

	assert.deepEqual(said, ['No bond was in service on these lines on the day.', 'No inspection was due or made in these two years.',
		'No correction has made a bond of these lines better.', 'No place on these lines has failed repeatedly.', 'None: every bond in service has been seen.', 'Nothing looks wrong.']);
	assert.equal(await page.locator('.report table:visible').count(), 0);
});

test('the lists come as files, with the report\'s lines and day', async () => {
	const page = await open(`/report?lines=SAN&day=${ago(10)}`);
	const cookie = { headers: { cookie: (await page.context().cookies()).map(({ name, value }) => `${name}=${value}`).join('; ') } };
	const files = await page.locator('.sheet .actions a').evaluateAll((all) => all.map((a) => a.href));

	assert.equal(files.length, 12);
	for (const file of files) {
		assert.match(file, /lines=SAN/);
		const answer = await fetch(file, cookie);
		assert.equal(answer.status, 200, file);
		const bytes = Buffer.from(await answer.arrayBuffer());
		assert.equal(bytes.subarray(0, file.includes('.xlsx') ? 2 : 3).toString('latin1'), file.includes('.xlsx') ? 'PK' : '\xef\xbb\xbf');
	}
	const overdue = await (await fetch(files[0], cookie)).text();
	const { groups } = (await api.get(`/api/report?lines=SAN&day=${ago(10)}`)).overdue;
	assert.equal(overdue.trim().split('\r\n').length - 1, sum(groups, 'overdue') + sum(groups, 'deferred'));
});

test('a figure is reached and opened by the keyboard', async () => {
	const page = await open('/report?lines=VAL');

	await page.locator('.overdue tbody a').nth(2).focus();
	await page.keyboard.press('Enter');
	await page.waitForURL(/\/list/);
	await rest(page);
	assert.equal(new URL(page.url()).searchParams.get('state'), 'overdue');
	await page.keyboard.press('ArrowDown');
	await page.keyboard.press('Enter');
	await page.waitForURL(/\/bonds\/\d+$/);
});

test('a list is filtered in the address, and its files with it', async () => {
	const page = await open('/list?of=bond-states&lines=VAL');

	await page.selectOption('#filter-kind', 'structure');
	await rest(page);
	assert.equal(new URL(page.url()).search, '?of=bond-states&lines=VAL&kind=structure');
	assert.equal(await page.locator('main tbody > tr').count(), 46);   // one in five of 230
	assert.equal(await page.getAttribute('.xlsx', 'href'), '/api/bond-states.xlsx?lines=VAL&kind=structure');
	assert.equal(await page.locator('.geojson').count(), 0);
	const bonds = await open(`/list?of=bonds&line=${railway.lines.SAN}`);
	assert.equal(await bonds.isVisible('#filter-line'), true);
	assert.equal(await bonds.isVisible('#filter-track'), false, 'a number that nobody types');
	assert.equal(await bonds.getAttribute('.geojson', 'href'), `/api/bonds.geojson?line=${railway.lines.SAN}`);
	assert.equal(await bonds.locator('main tbody > tr').count(), 21);
	await page.fill('#filter-over_from', 'many');
	await page.press('#filter-over_from', 'Tab');
	await rest(page);
	assert.match(await page.textContent('.filters .problem'), /At least so many days over must be a whole number/);
});

test('every list is found from the first page, and an empty one says so', async () => {
	const page = await open('/');

	await page.click('.to-lists a');
	await page.waitForSelector('.lists a');
	await page.locator('.lists a', { hasText: /^Conductors$/ }).click();
	await page.waitForURL('**/list?of=conductors');
	await rest(page);
	assert.equal(await page.isVisible('.empty.bare'), true);
	assert.doesNotMatch(await page.locator('main').innerText(), /Take a filter away|Clear/, 'there is no filter');
	const none = await open('/list?of=bonds&q=nonesuch');
	assert.match(await none.locator('main').innerText(), /Take a filter away/);
});

/* The pages of what would be printed: their sizes in points and their text. */
async function pdfOf(page) {
	const folder = mkdtempSync(join(tmpdir(), 'bondbook-print-'));

	try {
		const path = join(folder, 'report.pdf');
		writeFileSync(path, await page.pdf({ preferCSSPageSize: true }));
		const sizes = [...readFileSync(path, 'latin1').matchAll(/\/MediaBox\s*\[\s*0 0 ([\d.]+) ([\d.]+)\s*\]/g)].map(([, width, height]) => [Math.round(width), Math.round(height)]);
		const text = execFileSync('pdftotext', ['-layout', path, '-'], { encoding: 'utf8' });
		return { sizes, pages: text.split('\f').filter((one) => one.trim()) };
	} finally {
		rmSync(folder, { recursive: true });
	}
}

test('prints on A4, each page with its head and number, no table cut at the side', async () => {
	const page = await open('/report');
	const { sizes, pages } = await pdfOf(page);

	// A4 is 210 x 297 mm: 595 x 842 points of 1/72 inch
	assert.ok(sizes.length > 0 && sizes.every(([width, height]) => Math.abs(width - 595) < 2 && Math.abs(height - 842) < 2), JSON.stringify(sizes));
	assert.ok(pages.length >= 2);
	pages.forEach((text, i) => {
		assert.match(text, new RegExp(`Report of ${TODAY}, every line, by rulebook version 1. Printed ${TODAY}.`), `page ${i + 1}`);
		assert.match(text, new RegExp(`page ${i + 1} of ${pages.length}`));
	});
	assert.match(pages[0], /Rulebook\s+version 1, in force from 1900-01-01/);
	assert.match(pages[0], /Oldest due/);
	assert.doesNotMatch(pages.join(''), /Spreadsheet|Sign out|Find:/);
	const months = pages.find((text) => text.includes('by month'));
	assert.ok(months.includes('Two years'), 'the months stand on one page');
	await page.emulateMedia({ media: 'print' });
	await page.setViewportSize({ width: 703, height: 1000 });   // 186 mm between the margins
	const cut = await page.locator('.report .scroll:visible').evaluateAll((all) => all.filter((el) => el.scrollWidth > el.clientWidth + 1).map((el) => el.closest('section').className));
	assert.deepEqual(cut, []);
});
