import assert from 'node:assert/strict';
import { test } from 'node:test';

import { begin } from './support/begin.mjs';
import { rest } from './support/browser.mjs';
import { ago } from './support/railway.mjs';

const { open, api, railway } = await begin();
const number = (label) => railway.bonds.get(label);
const texts = (page, selector) => page.locator(selector).allTextContents();
const rows = async (list, label) => (await api.get(`/api/${list}?bond=${number(label)}&limit=500`)).rows;

/** Presses a dialog's button, and waits until it is closed and the bond shown anew. */
async function send(page, dialog) {
	await page.click(`${dialog} .main`);
	await page.waitForSelector(`${dialog}:not([open])`, { state: 'attached' });
	await rest(page);
}

test('shows what the API says of the bond, its ends and what is due', async () => {
	const page = await open(`/bonds/${number('V-0007')}`);
	const bond = await api.get(`/api/bonds/${number('V-0007')}`);

	assert.equal(await page.textContent('h1'), bond.label);
	assert.match(await page.title(), /^V-0007, Vale line · later, in \d+ days$/);
	assert.equal(await page.textContent('[data-f="reason"]'), bond.due.reason);
	assert.equal(await page.textContent('[data-f="place"]'), `structure bond · Vale line · ${bond.chainage}`);
	const facts = await page.textContent('.facts.bond');
	for (const fact of ['structure bond', 'normal', 'in service', bond.installed_day, 'VAL Vale line', 'copper, class 2, 95 mm², 1.2 m, 2 in parallel'])
		assert.ok(facts.includes(fact), `${fact} in ${facts}`);
	assert.deepEqual(await texts(page, '.ends h3'), ['End A, on rail', 'End B, on structure']);
	const [a, b] = await texts(page, '.ends .facts');
	assert.match(a, /Up, right rail \(six-foot\).*12\+723.*brazed pin with lug, J\. Pell, kit K-7, batch F1182, 120 mm from the mark/);
	assert.match(b, /Up, Mast 7.*brazed pin with lug, J\. Pell, kit K-7, batch F1230/);
	assert.match(await page.textContent('.former'), new RegExp(`End B.*drilled and bolted.*until ${ago(990)}`));
});

test('has a point for every reading, and the table and the chart agree', async () => {
	const page = await open(`/bonds/${number('V-0007')}`);
	const readings = await rows('readings', 'V-0007');

	assert.equal(readings.length, 18);
	assert.equal(await page.locator('.readings > tbody > tr').count(), readings.length);
	assert.equal(await page.locator('.chart circle.point').count(), readings.length);
	assert.deepEqual(await page.locator('.chart > svg').evaluateAll((svgs) => svgs.map((svg) => svg.querySelectorAll('.point').length)), [6, 6, 6]);
	// by hand, the newest: (1400 + 1380) / 2 / 100 A = 13.9 µΩ; 2300 / 1500 x 1 m = 1.53 m, less 0.6 m is 0.93 m
	const newest = await texts(page, '.readings > tbody > tr:nth-child(-n+3)');
	assert.ok(newest.some((text) => text.includes('contact at end A') && text.includes('13.90')), newest.join('\n'));
	assert.ok(newest.some((text) => text.includes('1.53') && text.includes('0.933')), newest.join('\n'));
	await page.hover('.chart:first-child .point:last-of-type');
	assert.match(await page.textContent('.tip:not([hidden])'), /four-wire\s+M-204/);
});

test('has a line of history for each inspection, failure, repair and deferral', async () => {
	const page = await open(`/bonds/${number('V-0007')}`);
	const [inspections, failures, repairs] = await Promise.all(['inspections', 'failures', 'repairs'].map((list) => rows(list, 'V-0007')));
	const days = await texts(page, '.history.all time');

	assert.equal(days.length, inspections.length + failures.length + repairs.length);
	assert.deepEqual(days, [...days].sort().reverse(), 'newest first');
	assert.match(await page.textContent('.history.all'), /Made good.*New brazed pin 40 mm on/);
});

test('a failure of a repeat place leads to the place', async () => {
	const page = await open(`/bonds/${number('V-9001')}`);

	await page.locator('.history.all a:not([hidden])').first().click();
	await page.waitForURL('**/repeat?place=*');
	await rest(page);
	assert.equal(await page.locator('.events tbody > tr').count(), 4);
});

test('records a failure that is then shown first, until it is made good', async () => {
	const page = await open(`/bonds/${number('V-0040')}`, { who: 'crew' });

	assert.equal(await page.isDisabled('.acts > .repair'), true);
	await page.click('.acts > .report');
	await page.check('#report [name="end"][value="a"]');
	await page.check('#report [name="mode"][value="lug_cracked"]');
	await page.fill('#cause', 'ballast tamping');
	await send(page, '#report');
	assert.match(await page.textContent('.open-failures'), new RegExp(`Not made good: lug cracked, end A, found ${ago(0)}`));
	assert.equal(await page.textContent('.said'), 'The failure is on record.');
	const [failure] = await rows('failures', 'V-0040');
	assert.deepEqual([failure.mode, failure.end, failure.cause, failure.made_good_day], ['lug_cracked', 'a', 'ballast tamping', null]);

	await page.click('.acts > .repair');
	await page.fill('#how', 'New lug brazed.');
	await send(page, '#repair');
	assert.equal(await page.textContent('.open-failures'), '');
	assert.match(await page.textContent('.history.all'), /Made good lug cracked\s*New lug brazed/);
	assert.equal((await rows('failures', 'V-0040'))[0].made_good_day, ago(0));
});

test('records a new attachment with its acceptance; the one before becomes former', async () => {
	const page = await open(`/bonds/${number('V-0007')}`, { who: 'crew' });

	await page.click('.acts > .attach');
	await page.check('#attach [name="end"][value="b"]');
	await page.selectOption('#kit', { label: 'K-9 day kit' });
	await page.fill('#batch', 'F2001');
	await page.fill('#offset', '160');
	await page.check('#attach [name="hammer_passed"][value="yes"]');
	await page.check('#attach [name="solder_all_round"][value="no"]');
	await page.fill('#arc', '2,1');
	await send(page, '#attach');
	assert.match((await texts(page, '.ends .facts'))[1], new RegExp(`Attached${ago(0)}.*kit K-9, batch F2001, 160 mm`));
	assert.equal(await page.locator('.former > li').count(), 2);
	const live = (await rows('attachments', 'V-0007')).find((row) => row.live && row.end === 'b');
	assert.deepEqual([live.kit, live.hammer_passed, live.solder_all_round, live.ground_bright, live.arc_s], ['K-9', true, false, null, 2.1]);

	await page.click('.acts > .attach');
	assert.equal(await page.inputValue('#kit'), 'K-9', 'the kit used last is filled in');
});

test('says beside each field what is wrong with it, and keeps what was typed', async () => {
	const page = await open(`/bonds/${number('V-0008')}`, { who: 'crew' });

	await page.click('.acts > .attach');
	await page.fill('#offset', '12,x');
	await page.fill('#batch', 'F77');
	await page.click('#attach .main');
	assert.match(await page.textContent('.field:has(#offset) .problem'), /not a number/);
	await page.fill('#offset', '120');
	await page.fill('#made', ago(-5));
	await page.click('#attach .main');
	await page.waitForSelector('.field:has(#made) .problem');
	assert.equal(await page.locator('#attach .problem').count(), 1);
	assert.equal(await page.inputValue('#batch'), 'F77');
	assert.equal(await page.evaluate('document.activeElement.id'), 'made');
});

test('records once when the answer is lost and it is sent again', async () => {
	const page = await open(`/bonds/${number('V-0041')}`);
	let lost = 0;

	await page.route('**/api/failures/*', async (route) => {
		if (lost++ === 0) {
			await route.fetch();
			await route.abort();
		} else {
			await route.continue();
		}
	});
	await page.click('.acts > .report');
	await page.check('#report [name="mode"][value="burnt"]');
	await page.click('#report .main');
	await page.waitForSelector('#report .notice:not(:empty)');
	assert.match(await page.textContent('#report .notice'), /did not answer/);
	await send(page, '#report');
	assert.equal(lost, 2);
	assert.equal((await rows('failures', 'V-0041')).length, 1);
});

test('defers with a reason, and the page says so', async () => {
	const page = await open(`/bonds/${number('V-0039')}`);

	await page.click('.acts > .put-off');
	await page.fill('#defer-until', ago(-120));
	await page.fill('#defer-reason', 'Embankment closed.');
	await send(page, '#defer');
	assert.match(await page.title(), new RegExp(`V-0039, Vale line · deferred to ${ago(-120)}`));
	assert.match(await page.textContent('[data-f="deferral"]'), /Embankment closed/);
	assert.match(await page.textContent('.history.all'), /Deferred.*Embankment closed\. · Pia Noor/);
});

test('says that there is no such bond', async () => {
	const page = await open('/bonds/999999');

	assert.match(await page.textContent('main > .notice'), /no bond|no such/i);
	assert.equal(await page.isVisible('.sheets'), false);
});
