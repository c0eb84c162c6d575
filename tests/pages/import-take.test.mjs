/* A file that says otherwise of known bonds: shown field by field, and what is chosen is taken. */
import assert from 'node:assert/strict';
import { test } from 'node:test';

import { begin } from './support/begin.mjs';
import { DESK, rest, TABLET, wrongs } from './support/browser.mjs';

const { api, open } = await begin();

const HEAD = 'line,label,kind,a_chainage,a_track,a_rail,criticality,length_m';
const csv = (...rows) => [HEAD, ...rows].join('\r\n') + '\r\n';
const of = (label) => api.get(`/api/bonds?q=${encodeURIComponent(label)}`).then(({ rows }) => api.get(`/api/bonds/${rows[0].id}`));

const give = async (page, text) => {
	await page.check('input[name="kind"][value="bonds"]');
	await page.setInputFiles('#file', { name: 'survey.csv', mimeType: 'text/csv', buffer: Buffer.from(text) });
	await page.click('.read');
	await rest(page);
};

const tried = async (page, button) => {
	await page.evaluate(() => { document.querySelector('.verdict').textContent = ''; });
	await page.click(button);
	await page.waitForFunction(() => document.querySelector('.verdict').textContent);
	await rest(page);
	return page.textContent('.verdict');
};

test('what differs is shown field by field, and what is ticked is taken', async () => {
	const page = await open('/import', { size: DESK });

	await give(page, csv('VAL,TK 1,rail_joint,1+100,Up,left,normal,0.5', 'VAL,TK 2,rail_joint,1+200,Up,left,normal,0.6'));
	await tried(page, '.try');
	assert.equal(await page.locator('.differences').isVisible(), false);
	await tried(page, '.import');

	await give(page, csv('VAL,TK 1,rail_joint,1+150,Up,left,high,0.7', 'VAL,TK 2,rail_joint,1+200,Up,left,normal,0.8'));
	assert.match(await tried(page, '.try'), /2 rows are wrong, so nothing would be imported/);
	assert.deepEqual(await page.locator('.differences tbody tr').allTextContents(), [
		'2TK 1Criticalitynormalhigh', '2TK 1Chainage of end A1+1001+150', '2TK 1Length of one cable0.5 m0.7 m',
		'3TK 2Length of one cable0.6 m0.8 m']);
	assert.equal(await page.locator('.import').isVisible(), false);
	assert.deepEqual(await wrongs(page), []);

	await page.check('[name="known"][value="takes"]');
	await page.check('[name="take"][value="length_m"]');
	await page.uncheck('[name="take-row"][value="3"]');
	assert.match(await tried(page, '.again'), /Nothing has been changed yet/);
	assert.match(await page.textContent('.outcome'), /of them would be changed1/);
	assert.deepEqual(await wrongs(page), []);
	const tablet = await open('/import', { size: TABLET });
	assert.deepEqual(await wrongs(tablet), []);
	await tried(page, '.import');

	const [one, two] = [await of('TK 1'), await of('TK 2')];
	assert.deepEqual([one.version, one.length_m, one.criticality, one.chainage], [2, 0.7, 'normal', '1+100']);
	assert.equal(one.reason, 'As survey.csv has it.');
	assert.deepEqual([two.version, two.length_m], [1, 0.6]);
});
