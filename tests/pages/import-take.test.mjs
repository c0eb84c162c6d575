/* A file that says otherwise of known bonds: shown field by field, and what is chosen is taken. */
import assert from 'node:assert/strict';
import { test } from 'node:test';

import { begin } from './support/begin.mjs';
import { DESK, rest, TABLET, wrongs } from './support/browser.mjs';

const { api, open } = await begin();

const HEAD = 'line,label,kind,a_chainage,a_track,a_rail,criticality,length_m';
const csv = (...rows) => [HEAD, ...rows].join('\r\n') + '\r\n';
const of = (label) => api.get(`/api/bonds?q=${encodeURIComponent(label)}`).then(({ rows }) => api.get(`/api/bonds/${rows[0].id}`));

const give = async (page, text, kind = 'bonds') => {
	await page.check(`input[name="kind"][value="${kind}"]`);
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

test('a log that says otherwise of a known visit is shown reading by reading, and what is ticked is a correction', async () => {
	const HEADS = 'line,bond,day,seen_a,seen_b,quantity,method,shown_uohm,note';
	const log = (...rows) => [HEADS, ...rows].join('\r\n') + '\r\n';
	const page = await open('/import', { size: DESK, who: 'manager' });

	await give(page, csv('VAL,TK 7,rail_joint,1+700,Up,left,normal,0.5'));
	await tried(page, '.try');
	await tried(page, '.import');
	await give(page, log('VAL,TK 7,2023-05-01,good,good,contact_a,four_wire,250,'), 'inspections');
	await tried(page, '.try');
	await tried(page, '.import');

	await give(page, log('VAL,TK 7,2023-05-01,good,good,contact_a,four_wire,25,wet'), 'inspections');
	assert.match(await tried(page, '.try'), /1 row is wrong, so nothing would be imported/);
	assert.deepEqual(await page.locator('.differences tbody tr').allTextContents(), [
		'2TK 7, 2023-05-01Notenot knownwet',
		'2TK 7, 2023-05-01contact at end A: Resistance that the meter showed250 µΩ25 µΩ']);
	assert.deepEqual(await wrongs(page), []);
	await page.check('[name="known"][value="takes"]');
	await page.check('[name="take"][value="shown_uohm"]');
	assert.match(await tried(page, '.again'), /Nothing has been changed yet/);
	assert.deepEqual(await wrongs(page), []);
	await tried(page, '.import');

	const { rows: [{ id }] } = await api.get('/api/bonds?q=TK%207');
	const visits = (await api.get(`/api/inspections?bond=${id}`)).rows;
	assert.deepEqual(visits.map(({ replaced, reason, note }) => [replaced, reason, note]).sort(), [
		[false, 'As survey.csv has it.', null], [true, null, null]]);
	assert.deepEqual((await api.get(`/api/readings?bond=${id}`)).rows.map(({ shown_uohm: shown }) => shown), [25]);
});
