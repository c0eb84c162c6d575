import assert from 'node:assert/strict';
import { test } from 'node:test';

import { newUuid } from '../../static/js/logic/uuid.js';
import { begin } from './support/begin.mjs';
import { rest, wrongs } from './support/browser.mjs';
import { ago } from './support/railway.mjs';

const { open, api, railway } = await begin();
const places = (page) => page.locator('main > .scroll > .rows > tbody > tr:not(.detail)');

/* A second place, with two failures, on the branch. */
for (const [label, daysAgo] of [['S-0003', 500], ['S-0003', 400]])
	await api.put(`/api/failures/${newUuid()}`, { bond_id: railway.bonds.get(label), found_day: ago(daysAgo), mode: 'corroded' });

test('lists the places with what the register says of each', async () => {
	const page = await open('/repeat');

	assert.equal(await page.title(), 'Repeat places, every line · 2');
	assert.equal(await places(page).count(), 2);
	assert.deepEqual(await places(page).nth(0).locator('td').allTextContents(),
		// by hand: four failures from 1500 to 90 days ago
		['4', '15+604 to 15+608', 'Vale line', 'Down, left rail', '4.0', ago(1500), ago(90), '1410']);
});

test('filters by line, by number and by the last failure, in the address', async () => {
	const page = await open('/repeat');

	await page.fill('#least', '3');
	await page.press('#least', 'Tab');
	await rest(page);
	assert.equal(new URL(page.url()).search, '?least=3');
	assert.equal(await places(page).count(), 1);
	await page.goto(page.url().replace('least=3', `since=${ago(450)}`));
	await rest(page);
	assert.equal(await page.inputValue('#since'), ago(450));
	assert.equal(await places(page).count(), 2);
	await page.selectOption('#line', { label: 'Sandle branch' });
	await rest(page);
	assert.equal(await places(page).count(), 1);
	assert.equal(await page.title(), 'Repeat places, Sandle branch · 1');
	assert.match(await page.getAttribute('.csv', 'href'), /^\/api\/repeat-places\.csv\?line=\d+&since=/);
	await page.fill('#least', '9');
	await page.press('#least', 'Tab');
	await rest(page);
	assert.match(await page.textContent('.empty'), /No repeat place matches this filter/);
	await page.click('.clear');
	await rest(page);
	assert.equal(await places(page).count(), 2);
	assert.equal(new URL(page.url()).search, '');
});

test('opens a place to its events in place and time, by the keyboard', async () => {
	const page = await open('/repeat');

	await page.keyboard.press('ArrowDown');
	await page.keyboard.press('Enter');
	await rest(page);
	const place = await api.get(`/api/repeat-places/${new URL(page.url()).searchParams.get('place')}`);
	assert.equal(place.failures.length, 4);
	const dots = await page.locator('.place-detail .point').evaluateAll((all) => all.map((dot) => {
		const { x, y } = dot.getBoundingClientRect();
		return { x, y, open: dot.matches('.open') };
	}));
	assert.equal(dots.length, 4);
	// numbered in time: each later one stands higher; 1 and 3 at one bond, 2 and 4 at the other
	assert.ok(dots.every((dot, i) => i === 0 || dot.y < dots[i - 1].y), 'in time');
	assert.ok(Math.abs(dots[0].x - dots[2].x) < 1 && Math.abs(dots[1].x - dots[3].x) < 1 && dots[1].x > dots[0].x + 50, 'in place');
	assert.deepEqual(dots.map((dot) => dot.open), [false, false, false, true], 'a ring is not made good');
	assert.deepEqual(await page.locator('.events tbody > tr').evaluateAll((all) => all.map((tr) => [tr.cells[1].textContent, tr.cells[2].textContent, tr.cells[7].textContent])), [
		[ago(1500), 'V-9001', ago(1488)], [ago(1100), 'V-9002', ago(1088)], [ago(640), 'V-9001', ago(628)], [ago(90), 'V-9002', 'not yet']
	]);
	assert.match(await page.textContent('.involved'), /2 × attachment detached/);
	await page.keyboard.press('Enter');
	assert.equal(await page.locator('.place-detail').count(), 0);
	assert.equal(new URL(page.url()).search, '');
});

test('an address with a place opens it', async () => {
	const page = await open('/repeat');
	await page.locator('tbody a').first().click();
	await rest(page);
	const again = await open(new URL(page.url()).search.replace(/^/, '/repeat'), { who: 'viewer' });
	assert.equal(await again.locator('.events tbody > tr').count(), 4);
});

test('a place is explained in words, with the numbers behind', async () => {
	const page = await open('/repeat');

	await page.locator('tbody a').first().click();
	await rest(page);
	const { explained } = await api.get(`/api/repeat-places/${new URL(page.url()).searchParams.get('place')}`);
	const words = page.locator('.explained');
	assert.deepEqual(await words.locator('.facts > dd').allTextContents(), [explained.chance.words, explained.laplace.words, explained.mean_days_between.words]);
	// by hand: the line's record begins 1500 days ago; they come at 0, 400, 860 and 1410, on average at 667.5;
	// U = (667.5 / 1500 - 1/2) sqrt(48)
	assert.equal(explained.laplace.events, 4);
	assert.ok(Math.abs(explained.laplace.u - (667.5 / 1500 - 0.5) * Math.sqrt(48)) < 1e-9);
	assert.match(explained.laplace.words, /^No trend that could not be chance/);
	// it is more than chance and has no trend: 1500 days and four events; chi-square 20.4832 and 2.17973
	// (published, 10 and 8 degrees)
	assert.equal(explained.chance.more, true);
	assert.match(explained.mean_days_between.words, /^From one event to the next 375 days on average .* from 150 to 1,400 days \(95 %\)/);
	assert.equal(await words.locator('.common').isVisible(), false);
	assert.equal(await words.locator('.shares').isVisible(), false);
	await words.locator('summary').click();
	assert.match(await words.locator('.measures').textContent(), /4 events in 1,500 days of record/);
	assert.deepEqual(await wrongs(page), []);
});

test('other settings than the rulebook\'s are tried in the address', async () => {
	const page = await open('/repeat');

	assert.equal(await page.isVisible('.trial'), false);
	// 1 m instead of 10: the place of two bonds 4 m apart becomes two, each failed twice
	await page.fill('#window_m', '1,0');
	await page.press('#window_m', 'Tab');
	await rest(page);
	assert.equal(new URL(page.url()).search, '?window_m=1.0');
	assert.deepEqual(await places(page).locator('td:first-child').allTextContents(), ['2', '2', '2']);
	assert.equal(await page.isVisible('.trial'), true);
	await places(page).first().locator('a').click();
	await rest(page);
	assert.equal(await page.locator('.events tbody > tr').count(), 2);
	await page.fill('#period_months', '700');
	await page.press('#period_months', 'Tab');
	await rest(page);
	assert.match(await page.textContent('.filters .problem'), /from 1 to 600/);
	await page.click('.clear');
	await rest(page);
	assert.equal(await places(page).count(), 2);
	assert.equal(await page.locator('.problem').count(), 0);
});
