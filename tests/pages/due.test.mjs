import assert from 'node:assert/strict';
import { readFile } from 'node:fs/promises';
import { test } from 'node:test';

import { newUuid } from '../../static/js/logic/uuid.js';
import { begin } from './support/begin.mjs';
import { rest } from './support/browser.mjs';
import { ago, risingBond } from './support/railway.mjs';

const { open, api, railway } = await begin();
const STATES = ['overdue', 'due', 'soon', 'deferred', 'later'];

const labels = (page) => page.locator('tbody > tr td:nth-child(5)').allTextContents();
const column = (page, n) => page.locator(`tbody > tr td:nth-child(${n})`).allTextContents();
const search = (page) => new URL(page.url()).search;
const focused = (page) => page.evaluate('document.activeElement.textContent');

/** The labels of every page, by the key for the next one. */
async function toTheEnd(page) {
	const all = await labels(page);
	while (await page.isVisible('.pager > .next')) {
		await page.keyboard.press('n');
		await rest(page);
		all.push(...await labels(page));
	}
	return all;
}

test('pages to the end, each bond once, and back again', async () => {
	const page = await open('/due');
	const all = await toTheEnd(page);

	assert.equal(all.length, 252);
	assert.equal(new Set(all).size, 252);
	assert.match(await page.textContent('.shown'), /52 rows on this page, the last/);
	await page.keyboard.press('p');
	await rest(page);
	assert.deepEqual(await labels(page), all.slice(100, 200));
	await page.click('.pager > .first');
	await rest(page);
	assert.deepEqual(await labels(page), all.slice(0, 100));
});

test('the totals by state are the rows of each state', async () => {
	const page = await open('/due');
	let sum = 0;

	for (const state of STATES) {
		await page.click(`.totals.by-state [data-word="${state}"]`);
		await rest(page);
		const total = Number(await page.textContent(`.totals.by-state [data-word="${state}"] .count`));
		assert.equal((await toTheEnd(page)).length, total, state);
		assert.ok((await column(page, 1)).every((words) => words.endsWith(` ${state}`)), `only ${state} is shown`);
		await page.click(`.totals.by-state [data-word="${state}"]`);
		await rest(page);
		sum += total;
	}
	assert.equal(Number(await page.textContent('.totals.by-state [data-word=""] .count')), sum);
	assert.equal(sum, 252);
});

test('keeps the filters in the address, so that the view can be sent to a colleague', async () => {
	const page = await open('/due');

	await page.selectOption('#line', { label: 'Vale line' });
	await page.selectOption('#kind', 'structure');
	await page.selectOption('#criticality', 'normal');
	await page.fill('#days', '60');
	await page.press('#days', 'Tab');
	await page.click('.totals.by-state [data-word="overdue"]');
	await rest(page);
	assert.equal(search(page), `?line=${railway.lines.VAL}&state=overdue&kind=structure&criticality=normal&days=60`);
	assert.match(await page.title(), /^Due, Vale line · \d+ overdue$/);
	assert.match(await page.textContent('caption'), /Vale line; only overdue; structure bond; criticality normal; due within 60 days/);

	const colleague = await open(`/due${search(page)}`, { who: 'viewer' });
	assert.deepEqual(await labels(colleague), await labels(page));
	assert.equal(await colleague.inputValue('#days'), '60');
	assert.equal(await colleague.getAttribute('.totals.by-state [data-word="overdue"]', 'aria-pressed'), 'true');

	await page.goBack();
	await rest(page);
	assert.equal(await page.getAttribute('.totals.by-state [data-word="overdue"]', 'aria-pressed'), 'false');
	await page.click('.clear');
	await rest(page);
	assert.equal(search(page), '');
	assert.equal(await page.inputValue('#kind'), '');
});

test('orders by due day and along the line', async () => {
	const page = await open('/due?sort=due');
	const days = await column(page, 3);
	assert.deepEqual(days, [...days].sort());

	await page.selectOption('#line', { label: 'Sandle branch' });
	await page.selectOption('#sort', 'place');
	await rest(page);
	assert.match(search(page), /sort=place/);
	// the branch's bonds were numbered along it
	const along = await labels(page);
	assert.deepEqual(along, [...along].sort());
	assert.equal(along.length, 20);
	assert.deepEqual((await column(page, 8)).slice(0, 2), ['3m 0ch', '3m 20ch']);
});

test('says what to do when nothing matches, and what is wrong with a filter', async () => {
	const page = await open('/due?q=nothing+begins+so');

	assert.match(await page.textContent('.empty'), /No bond matches this filter/);
	assert.equal(await page.isVisible('.rows'), false);
	await page.goto(page.url().replace(/\?.*/, '?line=abc'));
	await rest(page);
	assert.match(await page.textContent('main > .notice'), /[Ll]ine/);
});

test('is walked by the keyboard alone', async () => {
	const page = await open('/due');
	const all = await labels(page);

	await page.keyboard.press('ArrowDown');
	assert.equal(await focused(page), all[0]);
	await page.keyboard.press('ArrowDown');
	await page.keyboard.press('ArrowDown');
	await page.keyboard.press('ArrowUp');
	assert.equal(await focused(page), all[1]);
	await page.keyboard.press('End');
	assert.equal(await focused(page), all[99]);
	await page.keyboard.press('Home');
	assert.equal(await focused(page), all[0]);

	await page.focus('#q');
	await page.keyboard.type('V-001');
	await page.waitForURL('**/due?q=V-001');
	await rest(page);
	assert.equal((await labels(page)).length, 10, 'V-0010 to V-0019');
	await page.keyboard.press('Escape');
	const label = await focused(page);
	await page.keyboard.press('Enter');
	await page.waitForURL('**/bonds/*');
	await rest(page);
	assert.equal(await page.textContent('h1'), label);
	await page.goBack();
	await rest(page);
	assert.equal(search(page), '?q=V-001');
});

test('lets single keys be switched off', async () => {
	const page = await open('/due');

	await page.uncheck('.single-keys');
	await page.evaluate('document.activeElement.blur()');
	await page.keyboard.press('n');
	await page.keyboard.press('/');
	assert.equal(search(page), '');
	assert.equal(await page.evaluate('document.activeElement.matches(".find > input")'), false);
});

test('keeps the headings in sight while scrolling', async () => {
	const page = await open('/due');

	await page.keyboard.press('End');
	await page.evaluate('scrollTo(0, 2000)');
	const { top } = await page.evaluate('document.querySelector("thead th").getBoundingClientRect().toJSON()');
	assert.ok(top >= 0 && top < 5, `${top} px from the top`);
});

test('fits a small desk screen, down to the last button', async () => {
	const page = await open('/due', { size: { width: 1280, height: 720 } });

	assert.ok(await page.evaluate(() => document.documentElement.scrollWidth <= 1280));
});

test('gives the rows of the filter as CSV', async () => {
	const page = await open(`/due?line=${railway.lines.SAN}&sort=place`);
	const [download] = await Promise.all([page.waitForEvent('download'), page.click('.csv')]);
	const text = await readFile(await download.path(), 'utf8');
	const rows = text.replace(/^\ufeff/, '').trimEnd().split('\r\n').map((line) => line.split(','));
	const heads = rows.shift();

	assert.equal(download.suggestedFilename(), 'due.csv');
	const at = (head) => rows.map((row) => row[heads.indexOf(head)]);
	assert.deepEqual(at('what').map((what, i) => `${what} ${at('state')[i]}`), await column(page, 1));
	for (const [head, n] of [['label', 5], ['grade', 2], ['due_day', 3], ['chainage', 8]])
		assert.deepEqual(at(head), await column(page, n), head);
});

test('shows what was deferred as deferred, with the reason, and keeps it on the list', async () => {
	const page = await open('/due?state=overdue');
	const before = Number(await page.textContent('.totals.by-state [data-word="deferred"] .count'));

	await page.keyboard.press('ArrowDown');
	const label = await focused(page);
	await page.keyboard.press('d');
	assert.equal(await page.textContent('#defer [data-f="label"]'), label);
	await page.fill('#defer-until', ago(-90));
	await page.fill('#defer-reason', 'The possession was given up.');
	await page.press('#defer-reason', 'Tab');
	await page.keyboard.press('Enter');
	await rest(page);
	assert.equal(await page.isVisible('#defer'), false);
	assert.equal((await labels(page)).includes(label), false, 'no longer overdue');
	assert.equal(Number(await page.textContent('.totals.by-state [data-word="deferred"] .count')), before + 1);

	await page.goto(page.url().replace(/\?.*/, `?q=${label}`));
	await rest(page);
	assert.match(await page.textContent('tbody .state'), /^(inspection|mending) deferred$/);
	assert.match(await page.textContent('tbody .wraps'), new RegExp(`deferred to ${ago(-90)}: The possession was given up`));
	assert.equal((await api.get(`/api/due?q=${label}`)).rows[0].state, 'deferred');
});

test('says beside the field why a deferral is refused, and keeps what was typed', async () => {
	const page = await open('/due?state=overdue');

	await page.click('tbody > tr:nth-child(2) .defer');
	await page.fill('#defer-until', ago(3));
	await page.fill('#defer-reason', 'Too late for that.');
	await page.click('#defer .main');
	await rest(page);
	assert.equal(await page.locator('.field:has(#defer-until) .problem').count(), 1);
	assert.equal(await page.inputValue('#defer-reason'), 'Too late for that.');
	await page.click('#defer .cancel');
	assert.equal(await page.evaluate('document.activeElement.className'), 'defer', 'the opener has the focus again');
});

test('prints every row of the filter, with the filter and the day above them', async () => {
	const page = await open(`/due?line=${railway.lines.VAL}`);

	await page.evaluate('window.print = () => { window.printed = [document.querySelectorAll("tbody > tr").length, document.querySelector("caption").textContent]; }');
	await page.click('.print');
	await page.waitForFunction(() => window.printed);
	const [rows, caption] = await page.evaluate('window.printed');
	assert.equal(rows, 232);
	assert.match(caption, new RegExp(`Due, Vale line. Printed ${ago(0)}. 232 rows`));
	await page.emulateMedia({ media: 'print' });
	assert.equal(await page.isVisible('.filters'), false);
	assert.equal(await page.evaluate('getComputedStyle(document.querySelector("thead")).display'), 'table-header-group');
});

test('shows each grade with its sign, and filters by grade, verdict and forecast', async () => {
	const bond_id = railway.bonds.get('V-0050');
	await risingBond(api, bond_id);
	const { grade } = await api.get(`/api/bonds/${bond_id}`);
	const page = await open(`/due?grade=${grade.grade}`);

	assert.ok((await labels(page)).includes('V-0050'));
	assert.ok((await column(page, 2)).every((word) => word === grade.grade));
	assert.equal(await page.locator('tbody .grade svg').count(), (await labels(page)).length);
	assert.equal(await page.getAttribute(`.totals.by-grade [data-word="${grade.grade}"]`, 'aria-pressed'), 'true');
	const counts = await page.locator('.totals.by-grade .count').allTextContents();
	assert.equal(counts.reduce((sum, count) => sum + Number(count), 0), 252, 'every bond has a grade');

	await page.click(`.totals.by-grade [data-word="${grade.grade}"]`);
	await page.fill('#crosses_before', grade.crosses_day);
	await page.press('#crosses_before', 'Tab');
	await rest(page);
	assert.equal(search(page), `?crosses_before=${grade.crosses_day}`);
	assert.deepEqual(await labels(page), ['V-0050']);
	assert.match((await column(page, 12))[0], new RegExp(`may cross its limit from ${grade.early_day}`));
	assert.match(await page.textContent('caption'), new RegExp(`may cross its limit before ${grade.crosses_day}`));
	await page.selectOption('#verdict', 'over');
	await rest(page);
	assert.match(await page.textContent('.empty'), /No bond matches/);
	await page.selectOption('#verdict', 'within');
	await rest(page);
	assert.deepEqual(await labels(page), ['V-0050']);

	await page.goto(page.url().replace(/\?.*/, '?sort=early'));
	await rest(page);
	assert.equal((await labels(page))[0], 'V-0050');
});

test('counts inspections and mendings apart, each figure the way to its rows, and lists both together', async () => {
	const page = await open('/due');
	const { totals } = await api.get('/api/due?limit=1');
	const parts = { inspections_overdue: ['inspection', 'overdue'], inspections_due: ['inspection', 'due'], mendings_overdue: ['mending', 'overdue'], mendings_due: ['mending', 'due'] };

	for (const [name, [what, state]] of Object.entries(parts)) {
		const link = page.locator(`[data-part="${name}"]`);
		assert.equal(await link.locator('.count').textContent(), String(totals[name]));
		await link.click();
		await rest(page);
		assert.equal(search(page), `?what=${what}&state=${state}`);
		assert.equal((await toTheEnd(page)).length, totals[name], name);
		assert.ok((await column(page, 1)).every((words) => words === `${what} ${state}`), name);
		assert.equal(await link.getAttribute('aria-current'), 'true');
		assert.equal(await page.title(), `Due, every line · ${state === 'overdue' ? totals[name] : totals[`${what}s_overdue`]} ${what}s overdue`);
		await page.locator(`[data-part="${name}"]`).click();   // and back
		await rest(page);
		assert.equal(search(page), '');
	}
	assert.ok(totals.mendings_overdue > 0 && totals.inspections_overdue > 0);
	assert.match(await page.textContent('.summary'), new RegExp(`${totals.overdue} of 25\\d bonds overdue: ${totals.inspections_overdue} inspections, ${totals.mendings_overdue} mendings`));
});

test('stands worst first unless it is asked otherwise', async () => {
	const page = await open('/due');
	const worst = (await api.get('/api/due?sort=worst&limit=100')).rows.map(({ label }) => label);

	assert.deepEqual(await labels(page), worst);
	assert.equal(await page.locator('#sort > option:checked').textContent(), 'worst first');
});

test('a bond to be mended that was inspected lately is late with its mending alone, and says so', async () => {
	const row = (await api.get('/api/due?what=mending&state=overdue')).rows.find(({ failures_open: open_ }) => open_ > 0);
	await api.put(`/api/inspections/${newUuid()}`, { bond_id: row.bond_id, day: ago(0), purpose: 'routine', outcome: 'complete', inspector: 'R. Olver',
		seen_a: 'good', seen_b: 'good', cables_whole: 1, readings: ['contact_a', 'contact_b', 'end_to_end'].map((quantity) => ({ quantity, method: 'four_wire', shown_uohm: quantity === 'end_to_end' ? 130 : 5, temp_c: 15, instrument: 'M-204' })) });
	const { due } = await api.get(`/api/bonds/${row.bond_id}`);
	const page = await open(`/due?q=${row.label}`);

	assert.equal(due.what, 'mending', 'no visit moves it');
	assert.ok(due.inspect_day > ago(0));
	assert.equal((await column(page, 1))[0], 'mending overdue');
	assert.match((await column(page, 12))[0], new RegExp(`next inspection ${due.inspect_day}$`));
	assert.doesNotMatch((await column(page, 12))[0], /may cross/);
	assert.equal((await api.get(`/api/due?q=${row.label}&what=inspection&state=overdue`)).rows.length, 0);
	await page.goto(page.url().replace(/\/due.*/, `/bonds/${row.bond_id}`));
	await rest(page);
	assert.equal(await page.textContent('.due-next'), `Mending overdue ${due.days_over} days \u00b7 next inspection ${due.inspect_day}`);
});
