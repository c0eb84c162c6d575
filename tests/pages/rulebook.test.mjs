import assert from 'node:assert/strict';
import { test } from 'node:test';

import { begin } from './support/begin.mjs';
import { rest } from './support/browser.mjs';
import { TODAY } from './support/railway.mjs';

const { open, api } = await begin();
const cell = (page, value) => page.locator('.singles tr', { hasText: value }).locator('td');
const figure = (page, path) => page.locator(`[name="${path}"]`);

async function type(page, path, text) {
	await figure(page, path).fill(text);
	await figure(page, path).press('Tab');
}

test('reads as a document: each value with its unit, and what it rests on', async () => {
	const page = await open('/rulebook');

	assert.equal(await page.title(), 'Rulebook, version 1 · from 1900-01-01');
	assert.deepEqual(await cell(page, 'Grace after the due day').allTextContents(),
		['14', 'days', 'example', 'An example: the railway decides how late an inspection may be, 0 for not at all.']);
	assert.deepEqual((await cell(page, 'Failures that make a repeat').allTextContents()).slice(0, 3), ['2', '', 'common practice']);
	assert.equal(await page.locator('.grid').count(), 3);
	const structure = page.locator('.grid').nth(0).locator('tr', { hasText: 'Structure bond' });
	assert.deepEqual(await structure.locator('td').allTextContents(), ['24', '12', '6']);
	assert.match(await page.textContent('.bases >> nth=1'), /Share of the rail between two joints\s*standard: 5 % of the rail between joints: EN 50122-2/);
	assert.match(await page.textContent('.owned'), /^\d+ values are still the program’s example/);
	assert.ok(await page.isHidden('.edit'), 'a planner reads it');
	// by hand: the eleven sections of the rulebook
	assert.equal(await page.locator('.contents a').count(), 11);
});

test('a new version: what is refused stands beside its value, all at once, and nothing typed is lost', async () => {
	const page = await open('/rulebook', { who: 'manager' });

	await page.click('.edit');
	await type(page, 'interval_months.structure.high', '30');
	await type(page, 'watch_percent', '82,5');
	await type(page, 'grace_days', 'ten');
	await page.click('.adopt');
	assert.match(await page.locator('tr', { has: figure(page, 'grace_days') }).locator('.problem').textContent(), /"ten" is not a number/);
	// straight from the field to the button, which has not moved away
	await page.fill('[name="act_days"]', 'soon');
	await page.click('.try');
	assert.match(await page.locator('tr', { has: figure(page, 'act_days') }).locator('.problem').textContent(), /"soon" is not a number/);
	await type(page, 'act_days', '14');
	await type(page, 'grace_days', '400');
	await page.click('.adopt');
	assert.match(await page.textContent('#adopt'), /You change 3 values/);
	await page.click('#adopt .main');
	await rest(page);
	// the bounds come first: what goes together is only asked of values that are possible
	assert.match(await page.locator('tr', { has: figure(page, 'grace_days') }).locator('.problem').textContent(), /Grace after the due day must be a whole number from 0 to 365 days/);
	assert.match(await page.locator('.changes .problem').textContent(), /^Fill in "Why this version/);
	await type(page, 'grace_days', '10');
	await page.fill('#reason', 'Too many were late.');
	await page.click('.adopt');
	await page.click('#adopt .main');
	await rest(page);
	assert.match(await page.locator('td', { has: figure(page, 'interval_months.structure.high') }).textContent(), /cannot have a longer interval/);
	await page.reload();
	await rest(page);
	assert.equal(await figure(page, 'watch_percent').inputValue(), '82.5');
	assert.equal(await page.inputValue('#reason'), 'Too many were late.');
	await page.click('.leave');
	await page.reload();
	await rest(page);
	assert.equal(await page.locator('.singles input').count(), 0);
});

test('adopting asks once more; then the version, its changes and reasons stand in the document', async () => {
	const page = await open('/rulebook', { who: 'manager' });

	await page.click('.edit');
	await type(page, 'interval_months.structure.high', '8');
	await type(page, 'limits.rail_joint.joint_percent', '');
	await page.fill('[data-path="interval_months.structure.high"]', 'Masts rust faster by the sea.');
	await page.selectOption('#stays', 'grace_days');
	await page.click('.add-stays');
	await page.fill('[data-path="grace_days"]', 'Agreed with the region.');
	assert.equal(await page.textContent('#changes-title'), 'You change 2 values');
	assert.deepEqual(await page.locator('.differences > li > p').allTextContents(), [
		'Months between inspections, Structure bond, High: 12 months → 8 months',
		'Limits of resistance, Rail joint bond, Share of the rail between two joints: 5 % → not used',
		'Grace after the due day: 14 days → stays'
	]);
	await page.fill('#reason', 'The yearly review.');
	await page.click('.adopt');
	await page.click('#adopt .cancel');
	assert.equal((await api.get('/api/rulebook')).version, 1, 'nothing was adopted');
	await page.click('.adopt');
	await page.click('#adopt .main');
	await page.waitForFunction(() => document.querySelector('h1').textContent === 'Rulebook, version 2');
	await page.waitForFunction(() => scrollY === 0);   // what was adopted is in sight
	await page.waitForSelector('.following', { state: 'hidden' });
	const kept = await api.get('/api/rulebooks/2');
	assert.equal(kept.rulebook.interval_months.structure.high, 8);
	assert.equal(kept.rulebook.limits.rail_joint.joint_percent, undefined);
	assert.equal(kept.rulebook.from_day, TODAY);
	assert.deepEqual(kept.reasons.map(({ path }) => path).sort(), ['grace_days', 'interval_months.structure.high']);
	assert.deepEqual(await cell(page, 'Grace after the due day').allTextContents(), ['14', 'days', 'the railway’s own', 'Agreed with the region.']);
	assert.match(await page.textContent('.own >> nth=0'), /Structure bond, High: 8 months \(given: 12\)\. Masts rust faster by the sea\./);
	assert.match(await page.textContent('.own >> nth=1'), /version 2: The yearly review\./);
	const newest = page.locator('.versions li').nth(0);
	assert.match(await newest.textContent(), /Version 2\s+in force .*by Mona Field\s+The yearly review\./);
	await newest.locator('summary').click();
	assert.deepEqual(await newest.locator('tbody > tr').allTextContents(), [
		'Months between inspections, Structure bond, High12 months8 monthsMasts rust faster by the sea.',
		'Limits of resistance, Rail joint bond, Share of the rail between two joints5 %not used']);
	await page.click('.versions a >> nth=1');
	await rest(page);
	assert.match(await page.textContent('.summary'), /in force is version 2/);
});

test('trying says what would change, with the bonds, and changes nothing', async () => {
	const page = await open('/rulebook', { who: 'manager' });
	const [{ version }, before] = await Promise.all([api.get('/api/rulebook'), api.get('/api/due?limit=1')]);

	await page.click('.edit');
	await page.click('.try');
	await page.waitForSelector('.tried .said li');
	assert.match(await page.textContent('.tried .said'), /^Nothing would change today/);
	// without a grace what is due is overdue from the day after its due day on
	const due = (await api.get('/api/due?state=due&limit=100')).rows.filter(({ due_day: day }) => day < TODAY).length;
	await type(page, 'grace_days', '0');
	await page.click('.try');
	await page.waitForFunction(() => /overdue/.test(document.querySelector('.tried .said').textContent));
	assert.match(await page.textContent('.tried .said'), new RegExp(`^${due} bonds? more would be overdue today`));
	assert.match(await page.textContent('.tried .basis'), new RegExp(`against version ${version}; counted in .* Nothing was changed`));
	await page.locator('.tried summary', { hasText: 'Bonds that would be overdue' }).click();
	const link = page.locator('.tried details[open] tbody a').first();
	assert.match(await link.getAttribute('href'), /^\/bonds\/\d+$/);
	assert.equal((await api.get('/api/rulebook')).version, version);
	assert.deepEqual((await api.get('/api/due?limit=1')).totals, before.totals);
	await type(page, 'grace_days', '1');
	await page.click('.adopt');
	assert.match(await page.textContent('#adopt .untried'), /You have not tried these values/);
	await page.click('#adopt .cancel');
	await type(page, 'grace_days', '400');
	await page.click('.try');
	await page.waitForSelector('.singles .problem');
	await page.click('.leave');
});

/** The answers of an address, changed on their way. */
async function altered(page, path, change) {
	await page.route(`**${path}`, async (route) => route.fulfill({ json: change(await (await route.fetch()).json()) }));
}

test('a version is withdrawn as wrong with a reason, and both stay readable', async () => {
	const reader = await open('/rulebook');
	await rest(reader);
	assert.equal(await reader.locator('.withdraw:visible').count(), 0, 'a planner may not');
	const page = await open('/rulebook', { who: 'manager' });
	const second = page.locator('.versions li', { hasText: 'Version 2' });

	await second.locator('.withdraw').click();
	assert.equal(await page.textContent('#withdraw-title'), 'Withdraw version 2 as wrong');
	await page.click('#withdraw .main');
	assert.match(await page.textContent('#withdraw .problem'), /^Fill in "What was wrong/);
	await page.click('#withdraw .cancel');
	await page.locator('.versions li', { hasText: 'Version 1' }).locator('.withdraw').click();
	await page.fill('#wrong', 'Nobody adopted it.');
	await page.click('#withdraw .cancel');
	assert.equal((await api.get('/api/rulebooks/1')).withdrawn, null, 'nothing was withdrawn');
	await second.locator('.withdraw').click();
	await page.fill('#wrong', 'The joints were left out.');
	await page.click('#withdraw .main');
	await page.waitForFunction(() => document.querySelector('h1').textContent === 'Rulebook, version 1');
	assert.match(await second.textContent(), /withdrawn as wrong from .* by Mona Field\s+The yearly review\.\s+Withdrawn as wrong on \d{4}-\d\d-\d\d by Mona Field, because: The joints were left out\./);
	assert.ok(await second.locator('.withdraw').isHidden());
	await page.waitForSelector('.following', { state: 'hidden' });
	// nothing would be in force without the last one: refused, in the dialog
	await page.locator('.versions li', { hasText: 'Version 1' }).locator('.withdraw').click();
	await page.fill('#wrong', 'Wrong too.');
	await page.click('#withdraw .main');
	await page.waitForFunction(() => /no rulebook would be in force/.test(document.querySelector('#withdraw .notice').textContent));
	await page.click('#withdraw .cancel');
	await second.locator('a').click();
	await rest(page);
	assert.match(await page.textContent('.withdrawn >> nth=0'), /^Version 2 was withdrawn as wrong on .*, because: The joints were left out\. It counts for nothing\.$/);
});

test('a value that a version lacks is shown to come from the edition of the rules', async () => {
	const page = await open('/');

	await altered(page, '/api/rulebooks/1', (one) => ({ ...one, edition: 7, from_edition: ['grace_days', 'interval_months.structure.high'] }));
	await page.goto(new URL('/rulebook', page.url()).href);
	await rest(page);
	assert.equal(await page.textContent('.lacking'), '2 values are not in this version: from edition 7 of the rules.');
	assert.deepEqual((await cell(page, 'Grace after the due day').allTextContents()).slice(0, 3), ['14', 'days', 'not in this version']);
	assert.match((await cell(page, 'Grace after the due day').allTextContents())[3], /^From edition 7 of the rules\. An example/);
	assert.match(await page.textContent('.own >> nth=0'), /not in this version, from edition 7 of the rules: 1 figureStructure bond, High: 12 months/);
});

test('while new rules are followed, the lists say how far, in one line, and what a bond was before', async () => {
	const page = await open('/rulebook');
	const told = { version: 1, edition: 7, followed: false, new_edition: true, followed_bonds: 3, of_bonds: 9 };

	await page.route('**/api/rulebook/following', (route) => route.fulfill({ json: told }));
	for (const path of ['/', '/due']) {
		await page.goto(new URL(path, page.url()).href);
		await page.waitForSelector('.following:visible');
		assert.equal(await page.textContent('.following'), '3 of 9 bonds by the new rules so far; the others are shown as they were before.');
	}
	told.followed = true;
	await page.waitForFunction(() => /load this page again/.test(document.querySelector('.following').textContent));
	const [{ bond_id: id }] = (await api.get('/api/due?limit=1')).rows;
	await altered(page, `/api/bonds/${id}/judgement`, (one) => ({ ...one, edition: 7, formerly: [
		{ grade: 'sound', reasons: [], rulebook_version: 1, withdrawn: null, edition: 2, until: '2026-03-04T05:06:07Z' }] }));
	await page.goto(new URL(`/bonds/${id}`, page.url()).href);
	await rest(page);
	assert.equal(await page.textContent('[data-f="formerly"]'), 'By the rules of edition 2: sound, until 2026-03-04.');
});
