/* A file goes in through the browser: read, confirmed, tried, mended, imported; a second time adds nothing. */
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';

import { begin } from './support/begin.mjs';
import { rest, wrongs } from './support/browser.mjs';
import { workbook } from './support/workbook.mjs';

const { api, open, railway } = await begin();

/* As a spreadsheet of the trade has it: other words, a constant kind, one row that is wrong. */
const right = 'Nr;Km;Gleis;Schiene\r\nIM 1;1+200;Up;L\r\nIM 2;1+300;Down;R\r\n';
const wrong = `${right}IM 3;99;Up;L\r\n`;

const give = async (page, text, kind = 'bonds') => {
	await page.check(`input[name="kind"][value="${kind}"]`);
	await page.setInputFiles('#file', { name: 'bridges.csv', mimeType: 'text/csv', buffer: Buffer.from(text) });
	await page.click('.read');
	await rest(page);
};

const map = async (page) => {
	await page.selectOption('#field-label', 'Nr');
	await page.selectOption('#field-a_chainage', 'Km');
	await page.selectOption('#field-a_track', 'Gleis');
	await page.selectOption('#field-a_rail', 'Schiene');
	for (const [field, value] of [['line', 'VAL'], ['kind', 'rail joint bond']]) {
		await page.selectOption(`#field-${field}`, { label: 'the same in every row …' });
		await page.locator(`tr:has(#field-${field}) input`).fill(value);
	}
	await page.click('.replace summary');
	for (const [i, [from, to]] of [['L', 'left'], ['R', 'right']].entries()) {
		await page.click('.add-replacement');
		const line = page.locator('.replacements > *').nth(i);
		await line.locator('.of').selectOption('a_rail');
		await line.locator('.from').fill(from);
		await line.locator('.to').fill(to);
	}
};

const tried = async (page, button) => {
	await page.click(button);
	await page.waitForFunction(() => document.querySelector('.verdict').textContent);
	await rest(page);
	return page.textContent('.verdict');
};

test('a file is proposed, confirmed, tried, mended and imported, and adds nothing the second time', async () => {
	const page = await open('/import', { who: 'manager' });
	const before = (await api.get(`/api/bonds?line=${railway.lines.VAL}&q=IM`)).rows.length;

	await give(page, wrong);
	assert.equal(await page.inputValue('#setting-separator'), 'semicolon');
	await page.click('.try');
	assert.match(await page.textContent('[data-step="tried"] .notice'), /Say where these come from: Line, Kind/);
	await map(page);
	assert.match(await tried(page, '.try'), /^1 row is wrong, so nothing would be imported/);
	assert.deepEqual((await page.locator('.wrong tbody td').allTextContents()).slice(0, 4), ['4', '4', 'Km', '99']);
	assert.ok(await page.locator('.import').isHidden(), 'nothing can be imported while a row is wrong');
	assert.deepEqual(await wrongs(page), []);

	await page.fill('#save', 'bridges of the vale');
	await page.click('.save');
	await page.waitForFunction(() => document.querySelector('.saved').textContent);
	await give(page, right);
	await page.selectOption('#load', 'bridges of the vale');
	await rest(page);
	assert.match(await tried(page, '.try'), /Nothing has been changed yet/);
	assert.equal((await api.get(`/api/bonds?line=${railway.lines.VAL}&q=IM`)).rows.length, before);
	assert.equal(await page.textContent('.import'), 'Import all 2 rows');
	assert.match(await tried(page, '.import'), /Everything is in the register/);
	const { rows } = await api.get(`/api/bonds?line=${railway.lines.VAL}&q=IM`);
	assert.deepEqual(rows.map(({ label, rail }) => [label, rail]), [['IM 1', 'left'], ['IM 2', 'right']]);
	assert.match(await tried(page, '.try'), /there is nothing to import/);
	assert.match(await page.textContent('.earlier tbody'), /bridges\.csv/);
});

test('a setting that the file does not show must be chosen, and a wrong separator is said', async () => {
	const page = await open('/import', { who: 'manager' });

	await give(page, 'line,label,kind,a_chainage,installed_day\r\nVAL,IN 1,rail_joint,2+100,03/04/2021\r\n');
	await page.selectOption('#setting-day_order', 'dmy');
	await rest(page);
	assert.match(await tried(page, '.try'), /Nothing has been changed yet/);
	await page.selectOption('#setting-separator', 'tab');
	await rest(page);
	assert.equal(await page.locator('.preview thead th').count(), 1);
});

test('the right rows go in without the wrong ones only when that is asked for', async () => {
	const page = await open('/import', { who: 'manager' });

	await give(page, 'line,label,kind,a_chainage\r\nVAL,LW 1,rail_joint,2+100\r\nVAL,LW 2,rail_joint,here\r\n');
	assert.match(await tried(page, '.try'), /1 row is wrong/);
	await page.check('#leave');
	await tried(page, '.try');
	assert.equal(await page.textContent('.import'), 'Import the 1 right rows');
	assert.match(await tried(page, '.import'), /The right rows are in the register; 1 wrong one was left out/);
});

const HEAD = 'Line;Plate;Km;Sort;Cable mm²;Installed;Remark';
const ROWS = ['VAL;X-1;50+100;SV;95,5;31.12.2019;at the fence', 'VAL;X-2;50+300;SV;70,0;01.02.2020;', 'VAL;X-3;50+500;rail_joint;70,0;02.02.2020;'];
const WRONG = ['VAL;X-4;50+7o0;rail_joint;70,0;02.02.2020;', 'VAL;X-5;50+900;rail_joint;70,0;31.02.2020;'];

/* As an office program of the region saves it: Windows-1252, semicolons, decimal commas. */
const bytes = (...rows) => Buffer.from([HEAD, ...rows, ''].join('\r\n'), 'latin1');

const texts = (page, selector) => page.locator(selector).allTextContents();
const outcome = async (page) => Object.fromEntries(await page.locator('.outcome > div').evaluateAll((all) =>
	all.map((el) => [el.querySelector('dt').textContent, Number(el.querySelector('dd').textContent)])));
const bonds = async () => (await api.get('/api/bonds?q=X-')).rows.map(({ label }) => label).sort();

/* Gives the notice that it came to; "" when there is an outcome. */
async function press(page, button) {
	await page.click(button);
	await page.waitForFunction(() => document.querySelector('progress').hidden && document.querySelector('.outcome > div, [data-step="tried"] .notice:not(:empty)'));
	await rest(page);
	return page.textContent('[data-step="tried"] .notice');
}

const mapColumns = async (page) => {
	for (const [field, column] of [['label', 'Plate'], ['a_chainage', 'Km'], ['kind', 'Sort'], ['area_mm2', 'Cable mm²']])
		await page.selectOption(`#field-${field}`, column);
};

test('proposes how the file is written, with its reasons, and shows the first rows', async () => {
	const page = await open('/import');

	await give(page, bytes(...ROWS));
	assert.deepEqual(await page.locator('.proposal select').evaluateAll((all) => all.map((el) => el.value)), ['semicolon', 'windows_1252', 'comma', 'dmy', 'headings']);
	assert.ok((await texts(page, '.proposal .help')).every((text) => text.length > 10), 'each proposal has its reason');
	assert.deepEqual(await texts(page, '.preview th'), HEAD.split(';'));
	assert.deepEqual(await texts(page, '.preview tbody > tr:first-child > td'), ROWS[0].split(';'));
	assert.equal(await page.inputValue('#field-line'), 'Line');
	assert.equal(await page.inputValue('#field-installed_day'), 'Installed');
	await page.selectOption('#setting-separator', 'comma');
	await rest(page);
	assert.equal((await texts(page, '.preview th')).length, 1, 'what the person states holds');
});

test('a word is given its meaning once, and what was said holds for the mended file', async () => {
	const page = await open('/import');

	await give(page, bytes(...ROWS, ...WRONG));
	await mapColumns(page);
	assert.equal(await page.inputValue('#field-note'), 'Remark', 'a word of the trade is proposed');
	await page.selectOption('#field-note', '');
	assert.match(await page.textContent('.unused'), /Not used from the file: Remark/);
	// one date in five is none, so no order was proposed
	assert.match(await press(page, '.try'), /State how the dates are written/);
	await page.selectOption('#setting-day_order', 'dmy');
	await rest(page);
	assert.equal(await page.inputValue('#field-kind'), 'Sort', 'what was mapped holds');
	assert.equal(await press(page, '.try'), '');
	assert.deepEqual(await outcome(page), { 'rows read': 5, 'would be new': 1, 'already there': 0, 'left out': 0, wrong: 4 });
	assert.match(await page.textContent('.verdict'), /4 rows are wrong, so nothing would be imported/);
	assert.equal(await page.isVisible('.import'), false);
	const wrong = await page.locator('.wrong tbody > tr').evaluateAll((all) => all.map((tr) => [...tr.cells].slice(0, 4).map((td) => td.textContent)));
	assert.deepEqual(wrong, [['2', '2', 'Sort', 'SV'], ['3', '3', 'Sort', 'SV'], ['5', '5', 'Km', '50+7o0'], ['6', '6', 'Installed', '31.02.2020']]);
	assert.deepEqual(await bonds(), []);

	await page.selectOption('#word-kind-0', 'structure');
	await press(page, '.try');
	assert.equal((await outcome(page)).wrong, 2, 'the word has its meaning now');

	await page.setInputFiles('#file', { name: 'mended.csv', mimeType: 'text/csv', buffer: bytes(...ROWS, WRONG[0].replace('7o0', '700'), WRONG[1].replace('31.02', '29.02')) });
	await page.click('.read');
	await page.waitForSelector('[data-step="mapping"]:not([hidden])');
	await rest(page);
	assert.equal(await page.inputValue('#word-kind-0'), 'structure', 'what was said of the file holds for the mended one');
	await press(page, '.try');
	assert.deepEqual(await outcome(page), { 'rows read': 5, 'would be new': 5, 'already there': 0, 'left out': 0, wrong: 0 });
	assert.deepEqual(await bonds(), [], 'a trial changes nothing');
	await press(page, 'button.import');
	assert.deepEqual(await outcome(page), { 'rows read': 5, new: 5, 'already there': 0, 'left out': 0, wrong: 0 });
	assert.match(await page.textContent('.verdict'), /Everything is in the register/);
	assert.deepEqual(await bonds(), ['X-1', 'X-2', 'X-3', 'X-4', 'X-5']);
	const [first] = (await api.get('/api/bonds?q=X-1')).rows;
	assert.deepEqual([first.kind, first.chainage, (await api.get(`/api/bonds/${first.id}`)).area_mm2], ['structure', '50+100', 95.5]);
	assert.match((await texts(page, '.earlier tbody > tr'))[0], /bonds\s*mended\.csv\s*5\s*5\s*0\s*0\s*Pia Noor/);

	await press(page, '.try');
	assert.deepEqual(await outcome(page), { 'rows read': 5, 'would be new': 0, 'already there': 5, 'left out': 0, wrong: 0 });
	assert.match(await page.textContent('.verdict'), /Nothing is new/);
	assert.equal(await page.isVisible('button.import'), false);
});

test('says in words that a file is no table', async () => {
	const page = await open('/import');

	await page.check('input[name="kind"][value="bonds"]');
	await page.setInputFiles('#file', { name: 'empty.csv', mimeType: 'text/csv', buffer: Buffer.alloc(0) });
	await page.click('.read');
	await rest(page);
	assert.notEqual(await page.textContent('.sheet .notice'), '');
	assert.equal(await page.isVisible('[data-step="mapping"]'), false);
});

test('an engineer withdraws what a file brought, and the corrected file comes in', async () => {
	const bond_id = railway.bonds.get('V-0024');
	const { label } = await api.get(`/api/bonds/${bond_id}`);
	const send = (page, csv) => page.evaluate(async ([query, body]) => {
		const response = await fetch(`/api/imports?${query}`, { method: 'POST', body, headers: { 'content-type': 'text/csv' } });
		if (!response.ok)
			throw new Error(await response.text());
	}, [new URLSearchParams({ kind: 'failures', file_name: 'reports.csv', settings: JSON.stringify({ separator: 'comma', encoding: 'utf_8', decimal: 'point', day_order: 'ymd', columns: csv.split('\n')[0].split(',').map((field) => ({ field, column: field })) }) }).toString(), csv]);
	const state = async () => (await api.get(`/api/bonds/${bond_id}`)).grade.grade;
	const until = async (is) => {
		for (let i = 0; i < 200 && !is(await state()); i++)   // the server judges anew in the background
			await new Promise((later) => setTimeout(later, 50));
	};
	const before = await state();
	const planner = await open('/import');
	await send(planner, `line,bond,found_day,mode\nVAL,${label},2024-05-05,cable_broken\n`);
	assert.equal(await state(), 'act');
	await planner.reload();
	await rest(planner);
	const row = (page) => page.locator('.earlier tbody tr', { hasText: 'reports.csv' }).first();
	assert.equal(await row(planner).locator('button', { hasText: 'Withdraw' }).count(), 0);

	const page = await open('/import', { who: 'manager' });
	await row(page).locator('button', { hasText: 'Withdraw' }).click();
	await page.waitForSelector('#withdraw-import[open] .main:enabled');
	assert.match(await page.textContent('#withdraw-import'), /Withdraw reports\.csv.*counts for nothing.*Nothing was recorded since/s);
	assert.deepEqual(await wrongs(page), []);
	await page.fill('#withdraw-import-reason', 'Another line\'s file.');
	await page.click('#withdraw-import .main');
	await page.waitForSelector('#withdraw-import:not([open])', { state: 'attached' });
	await rest(page);
	assert.match(await row(page).textContent(), /withdrawn/);
	await until((grade) => grade === before);
	assert.equal(await state(), before);
	await send(planner, `line,bond,found_day,mode\nVAL,${label},2024-05-05,cable_broken\n`);
	assert.equal(await state(), 'act');
});

test('an engineer states once what the readings of a file were measured with', async () => {
	const { label } = await api.get(`/api/bonds/${railway.bonds.get('V-0023')}`);
	const csv = `line,bond,day,quantity,method,shown_uohm,temp_c\nVAL,${label},2024-05-05,end_to_end,four_wire,140,20\n`;
	const settings = { separator: 'comma', encoding: 'utf_8', decimal: 'point', day_order: 'ymd', columns: csv.split('\n')[0].split(',').map((field) => ({ field, column: field })) };
	const planner = await open('/import');
	await planner.evaluate(async ([query, body]) => {
		const response = await fetch(`/api/imports?${query}`, { method: 'POST', body, headers: { 'content-type': 'text/csv' } });
		if (!response.ok)
			throw new Error(await response.text());
	}, [new URLSearchParams({ kind: 'inspections', file_name: 'old.csv', settings: JSON.stringify(settings) }).toString(), csv]);
	await planner.reload();
	await rest(planner);
	const cell = (page) => page.locator('.earlier tbody tr', { hasText: 'old.csv' }).locator('td').last();
	assert.equal((await cell(planner).textContent()).trim(), 'not stated');
	assert.equal(await cell(planner).locator('button').count(), 0);

	const page = await open('/import', { who: 'manager' });
	await cell(page).locator('button').click();
	await page.fill('#meter-percent', '1');
	await page.fill('#meter-uohm', '0,5x');
	await page.fill('#meter-reason', 'Two meters of one kind.');
	await page.click('#meter .main');
	assert.match(await page.textContent('#meter .field:has(#meter-uohm) .problem'), /is not a number/);
	await page.fill('#meter-uohm', '0,5');
	assert.deepEqual(await wrongs(page), []);
	await page.click('#meter .main');
	await page.waitForSelector('#meter:not([open])', { state: 'attached' });
	await rest(page);
	assert.match(await cell(page).textContent(), /1\.00 % \+ 0\.500 µΩ, by Mona Field/);
	const read = async () => (await api.get(`/api/readings?bond=${railway.bonds.get('V-0023')}`)).rows[0];
	for (let i = 0; i < 200 && (await read()).meter !== 'stated'; i++)   // the server judges anew in the background
		await new Promise((later) => setTimeout(later, 50));
	assert.deepEqual([(await read()).meter, (await read()).verdict], ['stated', 'within']);
});

test('an engineer states what the rows of a file meant that lies there, and its visits are complete by it', async () => {
	const page = await open('/import', { who: 'manager' });
	const meant = page.locator('.earlier tbody tr', { hasText: 'old.csv' }).locator('td').nth(-3);
	const visit = async () => (await api.get(`/api/inspections?bond=${railway.bonds.get('V-0023')}`)).rows.find(({ day }) => day === '2024-05-05');

	assert.match(await meant.textContent(), /not stated/);
	assert.equal((await visit()).outcome, 'partly');
	await meant.locator('button').click();
	await page.click('#meant .main');
	assert.match(await page.textContent('#meant'), /Fill in/);
	await page.selectOption('#meant-row', 'both_seen');
	await page.fill('#meant-reason', 'The form had a tick for both.');
	assert.deepEqual(await wrongs(page), []);
	await page.click('#meant .main');
	await page.waitForSelector('#meant:not([open])', { state: 'attached' });
	await rest(page);
	assert.match(await meant.textContent(), /both ends were seen/);
	assert.deepEqual([(await visit()).outcome, (await visit()).came_as], ['complete', 'partly']);
	const planner = await open('/import');
	assert.equal(await planner.locator('.earlier tbody tr', { hasText: 'old.csv' }).locator('td').nth(-3).locator('button').count(), 0);
});

test('a column of numbers that nothing takes is left out only by its name, and a first row of data is no heading', async () => {
	const page = await open('/import');

	await give(page, 'line,label,kind,a_chainage,Pole\r\nVAL,LO 1,rail_joint,2+100,17\r\n');
	assert.match(await press(page, '.try'), /The column Pole has numbers, as "17", and nothing takes it/);
	assert.deepEqual(await texts(page, '.left-out label'), ['Pole, as 17']);
	assert.deepEqual(await wrongs(page), []);
	await page.check('.left-out input');
	assert.equal(await press(page, '.try'), '');
	assert.equal((await outcome(page))['would be new'], 1);

	await give(page, 'LO 2,2+100\r\nLO 3,2+200\r\n');
	assert.equal(await page.inputValue('#setting-first_row'), '');
	assert.match(await page.textContent('.proposal .field:has(#setting-first_row) .help'), /"2\+100" looks like data/);
	assert.deepEqual(await wrongs(page), []);
	await page.selectOption('#setting-first_row', 'data');
	await rest(page);
	assert.deepEqual(await texts(page, '.preview th'), ['Column 1', 'Column 2']);
	for (const [field, column] of [['label', 'Column 1'], ['a_chainage', 'Column 2']])
		await page.selectOption(`#field-${field}`, column);
	for (const [field, value] of [['line', 'VAL'], ['kind', 'rail joint bond']]) {
		await page.selectOption(`#field-${field}`, { label: 'the same in every row …' });
		await page.locator(`tr:has(#field-${field}) input`).fill(value);
	}
	assert.equal(await press(page, '.try'), '');
	assert.equal((await outcome(page))['would be new'], 2, 'the first row is a bond too');
});

test('the unit of a column is proposed by its heading, asked where nothing says it, and converted', async () => {
	const { label } = await api.get(`/api/bonds/${railway.bonds.get('V-0024')}`);
	const rows = (heading, value) => `Line;Bond;Day;Quantity;Method;${heading}\r\nVAL;${label};2024-05-06;end_to_end;four_wire;${value}\r\n`;
	const page = await open('/import');

	await give(page, rows('R (m\u03a9)', '0,14'), 'inspections');
	assert.equal(await page.inputValue('#field-shown_uohm'), 'R (m\u03a9)');
	assert.equal(await page.inputValue('tr:has(#field-shown_uohm) .in'), 'mohm');
	assert.match(await page.textContent('tr:has(#field-shown_uohm) .unit-of .help'), /its heading says m\u03a9/);
	await give(page, rows('R', '0,14'), 'inspections');
	await page.selectOption('#field-shown_uohm', 'R');
	assert.equal(await page.inputValue('tr:has(#field-shown_uohm) .in'), '');
	assert.deepEqual(await wrongs(page), []);
	await page.click('.try');
	assert.match(await page.textContent('[data-step="tried"] .notice'), /Say in which unit the file has these: Resistance that the meter showed/);
	await page.selectOption('tr:has(#field-shown_uohm) .in', 'mohm');
	assert.equal(await press(page, '.try'), '');
	await press(page, 'button.import');
	const [reading] = (await api.get(`/api/readings?bond=${railway.bonds.get('V-0024')}&sort=newest`)).rows;
	assert.equal(reading.r_uohm, 140);
});

test('a trial tells what can hardly be right, and an engineer states what the log was with the file', async () => {
	const { label } = await api.get(`/api/bonds/${railway.bonds.get('V-0025')}`);
	const rows = `line;bond;day;quantity;method;shown_uohm\r\nVAL;${label};2024-05-07;end_to_end;four_wire;0,14\r\n`;
	const planner = await open('/import');

	await give(planner, rows, 'inspections');
	assert.deepEqual(await planner.locator('#row-meant option').evaluateAll((all) => all.map(({ value }) => value)), ['', 'measured_only', 'not_known']);
	assert.equal(await planner.isVisible('#stated-percent'), false);
	await press(planner, '.try');
	const told = (await texts(planner, '.findings li')).join(' ');
	assert.match(told, /1 reading lies far below what the cable alone, or a good contact, can have\. Is the unit of the column right\?/);
	assert.match(told, /1 visit comes in as done in part/);
	assert.deepEqual(await wrongs(planner), []);

	const page = await open('/import', { who: 'manager' });
	await give(page, rows.replace('0,14', '140'), 'inspections');
	await page.selectOption('#row-meant', 'both_seen');
	await page.fill('#stated-percent', '1');
	await page.fill('#stated-uohm', '0,5');
	assert.match(await press(page, '.try'), /Give the reason/);
	await page.fill('#stated-reason', 'One meter; the form asked for both ends.');
	assert.equal(await press(page, '.try'), '');
	assert.doesNotMatch((await texts(page, '.findings li')).join(' '), /done in part|no instrument/);
	assert.deepEqual(await wrongs(page), []);
	await press(page, 'button.import');
	const first = page.locator('.earlier tbody tr').first();
	await first.waitFor();
	assert.match(await first.textContent(), /both ends were seen.*1\.00 % \+ 0\.500 µΩ/);
});

test('the wrong rows come as a file, are mended there, and go in with the same settings', async () => {
	const page = await open('/import');

	await give(page, 'line,label,kind,a_chainage\r\nVAL,WR 1,rail_joint,2+100\r\nVAL,WR 2,rail_joint,here\r\nVAL,"WR, 3",rail_joint,=there\r\n');
	await press(page, '.try');
	assert.deepEqual(await wrongs(page), []);
	const [download] = await Promise.all([page.waitForEvent('download'), page.click('.save-wrong')]);
	assert.equal(download.suggestedFilename(), 'bridges-wrong.csv');
	const wrong = readFileSync(await download.path(), 'utf8').split('\n');
	assert.equal(wrong[0], 'line,label,kind,a_chainage,wrong: row,wrong: column,wrong: value,wrong: why');
	assert.match(wrong[1], /^VAL,WR 2,rail_joint,here,3,a_chainage,here,/);
	assert.match(wrong[2], /^VAL,"WR, 3",rail_joint,"'=there",4,a_chainage,"'=there",/);
	assert.equal(wrong.length, 4);

	await give(page, wrong.join('\n').replace(',here,', ',2+200,').replace(',"\'=there",', ',2+300,'));
	await press(page, '.try');
	assert.deepEqual(await outcome(page), { 'rows read': 2, 'would be new': 2, 'already there': 0, 'left out': 0, wrong: 0 });
});

const BOOK_TYPES = { xlsx: 'application/vnd.openxmlformats-officedocument.spreadsheetml.sheet', ods: 'application/vnd.oasis.opendocument.spreadsheet' };

for (const [kind, type] of Object.entries(BOOK_TYPES))
	test(`a workbook (.${kind}) goes in from its sheet, and its days and numbers are as they are`, async () => {
		const page = await open('/import', { who: 'manager' });
		const rows = [['line', 'label', 'kind', 'a_chainage', 'installed_day', 'length_m'],
			['VAL', `WB ${kind} 1`, 'rail_joint', '3+100', '2020-03-04', 0.85], ['VAL', `WB ${kind} 2`, 'rail_joint', '3+120', '2021-12-13', 1.5]];

		await page.check('input[name="kind"][value="bonds"]');
		await page.setInputFiles('#file', { name: `book.${kind}`, mimeType: type, buffer: workbook(kind, { 'Read me': [['Bonds of the vale']], Bonds: [['Bonds of the vale'], [], ...rows, ['Total', 2]] }) });
		await page.click('.read');
		await rest(page);
		assert.deepEqual(await texts(page, '#setting-sheet option'), ['Read me', 'Bonds']);
		assert.equal(await page.locator('#setting-separator').count(), 0);
		await page.selectOption('#setting-sheet', 'Bonds');
		await rest(page);
		assert.deepEqual(await texts(page, '.preview tbody tr:first-child td'), rows[1].map(String));
		assert.deepEqual([await page.inputValue('#begins-row'), await page.inputValue('#ends-row')], ['3', '5']);
		assert.equal(await press(page, '.try'), '');
		assert.deepEqual(await wrongs(page), []);
		assert.deepEqual(await outcome(page), { 'rows read': 3, 'would be new': 2, 'already there': 0, 'left out': 1, wrong: 0 });
		await press(page, 'button.import');
		const { rows: [bond] } = await api.get(`/api/bonds?q=WB%20${kind}%201`);
		const { installed_day: day, length_m: length } = await api.get(`/api/bonds/${bond.id}`);
		assert.deepEqual([day, length], ['2020-03-04', 0.85]);
	});

test('where a table stands, what an empty cell means and a reading per column are said beside the first rows', async () => {
	const page = await open('/import', { who: 'manager' });

	await give(page, 'Log of the vale;;;\nline;bond;day;R A;R B\nVAL;V-0001;2023-05-01;12,5;13,1\n;V-0001;2023-06-01;;14,2\n', 'inspections');
	assert.equal(await page.inputValue('#begins-row'), '2');
	await page.click('.as-above summary');
	await page.check('.as-above input[value="line"]');
	await rest(page);
	assert.equal(await page.locator('.preview tbody tr:nth-child(2) td').first().textContent(), 'VAL');
	await page.click('.in-rows summary');
	await page.check('.in-rows input[value="R A"]');
	await page.check('.in-rows input[value="R B"]');
	await rest(page);
	assert.deepEqual(await texts(page, '.preview tbody tr td:last-child'), ['12,5', '13,1', '14,2']);
	assert.deepEqual(await wrongs(page), []);
	await page.fill('#begins-row', '1');
	await page.press('#begins-row', 'Tab');
	await rest(page);
	assert.equal((await texts(page, '.preview thead th'))[0], 'Log of the vale');
});
