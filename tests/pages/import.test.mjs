/* A file goes in through the browser: read, confirmed, tried, mended, imported; a second time adds nothing. */
import assert from 'node:assert/strict';
import { test } from 'node:test';

import { begin } from './support/begin.mjs';
import { rest, wrongs } from './support/browser.mjs';

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
	assert.match(await page.textContent('[data-step="tried"] .notice'), /Say where these come from: .*Label/);
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
