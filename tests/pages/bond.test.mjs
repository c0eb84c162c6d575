import assert from 'node:assert/strict';
import { test } from 'node:test';

import { newUuid } from '../../static/js/logic/uuid.js';
import { begin } from './support/begin.mjs';
import { rest } from './support/browser.mjs';
import { ago, risingBond } from './support/railway.mjs';
import { client } from './support/served.mjs';

const { open, api, railway, served } = await begin();
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
	assert.match(await page.title(), /^V-0007, Vale line · act, inspection overdue \d+ days$/, 'its meter was not calibrated then: what would be over is asked');
	assert.equal(await page.textContent('[data-f="reason"]'), bond.due.reason);
	assert.equal(await page.textContent('[data-f="place"]'), `structure bond · Vale line · ${bond.chainage}`);
	const facts = await page.textContent('.facts.bond');
	for (const fact of ['structure bond', 'normal', 'in service', bond.installed_day, 'VAL Vale line', 'copper, class 2, 95 mm², 1.2 m, 2 in parallel'])
		assert.ok(facts.includes(fact), `${fact} in ${facts}`);
	assert.deepEqual(await texts(page, '.ends h3'), ['Up, right rail (six-foot) A', 'Mast 7 B']);
	const [a, b] = await texts(page, '.ends .facts');
	assert.match(a, /Up, right rail \(six-foot\).*12\+723.*brazed pin with lug, J\. Pell, kit K-7, batch F1182, \+120 mm from the mark/);
	assert.match(b, /Up, Mast 7.*brazed pin with lug, J\. Pell, kit K-7, batch F1230/);
	assert.match(await page.textContent('.former'), new RegExp(`Mast 7.*drilled and bolted.*until ${ago(990)}`));
});

test('has a point for every reading, and the table and the chart agree', async () => {
	const page = await open(`/bonds/${number('V-0007')}`);
	const readings = await rows('readings', 'V-0007');

	assert.equal(readings.length, 18);
	assert.equal(await page.locator('.readings > tbody > tr:not(.detail)').count(), readings.length);
	assert.equal(await page.locator('.chart .point').count(), readings.length);
	assert.deepEqual(await page.locator('.chart > svg').evaluateAll((svgs) => svgs.map((svg) => svg.querySelectorAll('.point').length)), [6, 6, 6]);
	// by hand, the newest: (1400 + 1380) / 2 / 100 A = 13.9 µΩ; 2300 / 1500 x 1 m = 1.53 m, less 0.6 m is 0.93 m
	const newest = (await texts(page, '.readings > tbody > tr:not(.detail)')).slice(0, 3);
	assert.ok(newest.some((text) => text.includes('contact at Up, right rail (six-foot)') && text.includes('13.90')), newest.join('\n'));
	assert.ok(newest.some((text) => text.includes('1.53') && text.includes('0.93')), newest.join('\n'));
	await page.hover('.chart:first-child .point:last-of-type');
	assert.match(await page.textContent('.tip:not([hidden])'), /four-wire, M-204/);
});

test('has a line of history for each inspection, failure, repair, attachment and deferral, and its registration', async () => {
	const page = await open(`/bonds/${number('V-0007')}`);
	const [inspections, failures, repairs, attachments] = await Promise.all(['inspections', 'failures', 'repairs', 'attachments'].map((list) => rows(list, 'V-0007')));
	const days = await texts(page, '.history.all time');

	assert.equal(days.length, inspections.length + failures.length + repairs.length + attachments.length + 1);
	assert.deepEqual(days, [...days].sort().reverse(), 'newest first');
	assert.match(await page.textContent('.history.all'), /Made good.*New brazed pin 40 mm on/);
});

test('a failure of a repeat place leads to the place', async () => {
	const page = await open(`/bonds/${number('V-9001')}`);

	await page.locator('.history.all a:not([hidden])').first().click();
	await page.waitForURL('**/repeat?place=*');
	await page.waitForSelector('.events tbody > tr');
	await rest(page);
	assert.equal(await page.locator('.events tbody > tr').count(), 4);
});

test('records a failure that is then shown first, until it is made good', async () => {
	const page = await open(`/bonds/${number('V-0040')}`, { who: 'crew' });

	assert.equal(await page.locator('.open-failures .repair').count(), 0);
	await page.click('.acts > .report');
	await page.check('#report [name="end"][value="a"]');
	await page.check('#report [name="mode"][value="lug_cracked"]');
	await page.fill('#cause', 'ballast tamping');
	assert.equal(await page.inputValue('#found-by'), 'Colm Hart');
	await page.fill('#found-by', 'A. Wick');
	assert.equal(await page.textContent('#report .doer'), 'You, Colm Hart, enter this for A. Wick.');
	await send(page, '#report');
	assert.match(await page.textContent('.open-failures'), new RegExp(`Not made good: lug cracked, end A, not told apart, found ${ago(0)}`));
	assert.equal(await page.textContent('.said'), 'The failure is on record.');
	const [failure] = await rows('failures', 'V-0040');
	assert.deepEqual([failure.mode, failure.end, failure.cause, failure.made_good_day, failure.done_by, failure.entered_by], ['lug_cracked', 'a', 'ballast tamping', null, 'A. Wick', 'Colm Hart']);

	assert.equal(await page.textContent('#grade-title'), 'Grade: act');
	assert.match(await page.textContent('.because > li'), /A failure is not made good/);
	await page.click('.open-failures .repair');
	await page.fill('#how', 'New lug brazed.');
	assert.equal(await page.textContent('#repair .doer'), 'You are signed in as Colm Hart.');
	await send(page, '#repair');
	assert.equal(await page.textContent('.open-failures'), '');
	assert.match(await page.textContent('.history.all'), /Made good lug cracked\s*New lug brazed\. · by Colm Hart, entered on/);
	assert.match(await page.textContent('.history.all'), /entered by Colm Hart for A\. Wick/);
	assert.equal((await rows('failures', 'V-0040'))[0].made_good_day, ago(0));
});

test('what made a failure good can be taken from the attachment that did', async () => {
	const bond_id = number('V-0042');
	await api.put(`/api/failures/${newUuid()}`, { bond_id, end: 'a', found_day: ago(9), mode: 'detached' });
	await api.put(`/api/attachments/${newUuid()}`, { bond_id, end: 'a', made_day: ago(2), method: 'exothermic_weld', offset_mm: -60, person: 'J. Pell' });
	const page = await open(`/bonds/${bond_id}`, { who: 'crew' });

	await page.click('.open-failures .repair');
	assert.ok((await page.getAttribute('#repair a.attach', 'href')).endsWith(`/bonds/${bond_id}/attach?end=a`));
	await page.selectOption('#by', { index: 1 });
	assert.equal(await page.inputValue('#repair-day'), ago(2));
	assert.equal(await page.inputValue('#how'), 'New attachment at Down, left rail (six-foot): exothermic weld, J. Pell, \u221260 mm from the mark.');
	assert.equal(await page.textContent('#repair .doer'), 'You, Colm Hart, enter this for J. Pell.');
	await send(page, '#repair');
	const [mended] = await rows('failures', 'V-0042');
	assert.deepEqual([mended.made_good_day, mended.made_good_by, mended.made_good_entered_by], [ago(2), 'J. Pell', 'Colm Hart']);
});

test('says beside each field what is wrong with it, and keeps what was typed', async () => {
	const page = await open(`/bonds/${number('V-0008')}`, { who: 'crew' });

	await page.click('.acts > .report');
	assert.equal(await page.locator('#report [name="mode"]:checked').count(), 0, 'what failed is chosen by who reports it');
	await page.click('#report .main');
	assert.match(await page.textContent('#report fieldset:has([data-name="mode"]) .problem'), /Choose under "What failed"\./);
	await page.check('#report [name="mode"][value="not_stated"]');
	await page.fill('#found-day', '');
	await page.fill('#cause', 'flood');
	await page.click('#report .main');
	assert.match(await page.textContent('.field:has(#found-day) .problem'), /Fill in "Found on"/);
	await page.fill('#found-day', ago(-5));
	await page.click('#report .main');
	await page.waitForSelector('.field:has(#found-day) .problem');
	assert.equal(await page.locator('#report .problem').count(), 1);
	assert.equal(await page.inputValue('#cause'), 'flood');
	assert.equal(await page.evaluate('document.activeElement.id'), 'found-day');
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
	await page.waitForSelector('#defer[open]');
	assert.equal(await page.isVisible('#defer .names'), false, 'nothing is to be mended');
	await page.fill('#defer-until', ago(-120));
	await page.fill('#defer-reason', 'Embankment closed.');
	await send(page, '#defer');
	assert.match(await page.title(), new RegExp(`V-0039, Vale line · unknown, inspection deferred to ${ago(-120)}`));
	assert.match(await page.textContent('[data-f="deferral"]'), /Embankment closed/);
	assert.match(await page.textContent('.history.all'), /Deferred.*Embankment closed\. · by Pia Noor/);
});

const meter = { method: 'four_wire', instrument: 'M-204' };
const visit = (bond_id, daysAgo, more = {}) => api.put(`/api/inspections/${newUuid()}`, {
	bond_id, day: ago(daysAgo), seen_a: 'good', seen_b: 'good', cables_whole: 2, ...more });
const endToEnd = (shown_uohm, more = {}) => ({ readings: [{ quantity: 'end_to_end', shown_uohm, temp_c: 20, ...meter, ...more }] });

/* V-0023 and those below with it are cross bonds of two cables with 115.8 µΩ; by the default rulebook their limit is
 * (115.8 + 2 x 10) x 1.3 = 176.5 µΩ. */
test('what is to be mended is put off only by ticking each of it, and what nobody saw is offered then', async () => {
	const bond_id = number('V-0023');
	await visit(bond_id, 60, endToEnd(200));
	const page = await open(`/bonds/${bond_id}`);
	const ticks = page.locator('#defer .names input');

	await page.click('.acts > .put-off');
	await page.waitForSelector('#defer[open]');
	assert.deepEqual(await texts(page, '#defer .names label'), [`end to end over its limit, since ${ago(60)}`]);
	assert.equal(await page.locator('#defer .names input:checked').count(), 0, 'nothing is ticked beforehand');
	await page.fill('#defer-until', ago(-120));
	await page.fill('#defer-reason', 'No possession.');
	await page.click('#defer .main');
	await page.waitForSelector('#defer .problem');
	assert.match(await page.textContent('#defer .names .field:nth-child(1) .problem'), /end to end over its limit\. Who defers that too says so/);
	await api.put(`/api/failures/${newUuid()}`, { bond_id, end: 'b', found_day: ago(90), mode: 'lug_cracked' });
	await ticks.first().check();
	await page.click('#defer .main');
	await page.waitForFunction(() => document.querySelectorAll('#defer .names input').length === 2);
	assert.ok(await ticks.nth(0).isChecked(), 'what was ticked stays');
	assert.match(await page.textContent('#defer .names .field:nth-child(2)'), /failure: lug cracked.*Who defers that too says so/s);
	await ticks.nth(1).check();
	await send(page, '#defer');
	assert.match(await page.title(), /act, mending deferred to/);
	await api.put(`/api/failures/${newUuid()}`, { bond_id, found_day: ago(100), mode: 'cable_broken' });
	await page.reload();
	await rest(page);
	assert.match(await page.title(), /act, (mending|inspection) overdue/, 'what was told of later, whatever its day, ends the deferral');
});

test('a reading that is asked shows its questions instead of a verdict', async () => {
	const bond_id = number('V-0028');
	await visit(bond_id, 60, endToEnd(150));
	await visit(bond_id, 30, endToEnd(1.5));
	const page = await open(`/bonds/${bond_id}`);
	const [row, asked] = await texts(page, '.readings > tbody > tr');

	assert.match(row, /waits for an answer/);
	assert.match(asked, /Far below what it can be.*Far from the last reading/);
	assert.match(asked, /It shows another path beside the bond/);
	assert.doesNotMatch(row + asked, /within/);
	const said = await page.textContent('.because') + await page.textContent('[data-f="grade_since"]');
	assert.equal(said.match(/reading waits for an answer/g).length, 1, 'once');
});

test('an engineer clears, accepts and confirms with a reason; nobody else is offered it', async () => {
	const bond_id = number('V-0033');
	const crew = await client(served, 'crew');
	const wrong = newUuid();
	await api.put(`/api/attachments/${newUuid()}`, { bond_id, end: 'a', made_day: ago(90), method: 'brazed_pin', arc_s: 1 });
	await visit(bond_id, 60, endToEnd(200));
	await visit(bond_id, 40, endToEnd(130));
	await crew.put(`/api/failures/${wrong}`, { bond_id, found_day: ago(30), mode: 'burnt' });
	await (await client(served, 'planner')).put(`/api/failures/${newUuid()}`, { bond_id: number('V-0048'), found_day: ago(30), mode: 'burnt', corrects: wrong, reason: 'It was the next one.' });
	const planner = await open(`/bonds/${bond_id}`);
	assert.equal(await planner.locator('.rulings button:visible').count(), 0);
	assert.equal(await planner.locator('.rulings > p').count(), 0, 'a grade that stays act is not better by it');

	const page = await open(`/bonds/${bond_id}`, { who: 'manager' });
	const rule = async (words) => {
		await page.locator('.rulings button', { hasText: words }).first().click();
		await page.click('#ruling .main');
		assert.match(await page.textContent('#ruling .problem'), /Fill in "Reason"/);
		await page.fill('#ruling-reason', `Because: ${words}.`);
		await send(page, '#ruling');
	};
	await rule('Clear it with a reason');
	await rule('Accept it with a reason');
	assert.equal(await page.textContent('.page-head > .grade'), 'sound');
	assert.match(await page.textContent('.history.all'), /Engineer's word.*what was over is cleared by a later reading within · end to end.*Because: Clear it with a reason\. · Mona Field/s);
});

test('a correction that waits is said to everybody, and counts once it is confirmed', async () => {
	const bond_id = number('V-0038');
	const wrong = newUuid();
	await (await client(served, 'crew')).put(`/api/inspections/${wrong}`, { bond_id, day: ago(20), seen_a: 'good', seen_b: 'good', cables_whole: 2, ...endToEnd(200) });
	await (await client(served, 'planner')).put(`/api/inspections/${newUuid()}`, { bond_id, day: ago(20), seen_a: 'good', seen_b: 'good', cables_whole: 2, ...endToEnd(140), corrects: wrong, reason: 'The sheet says 140.' });
	const viewer = await open(`/bonds/${bond_id}`, { who: 'viewer' });
	assert.match(await viewer.textContent('.rulings'), /A correction of the inspection waits for an engineer: sound instead of act, by Pia Noor\. The sheet says 140\./);
	assert.equal(await viewer.locator('.rulings button:visible').count(), 0);
	assert.match(await viewer.textContent('.history.all'), /Inspected \(a correction that waits for an engineer\)/);

	const page = await open(`/bonds/${bond_id}`, { who: 'manager' });
	await page.locator('.rulings button', { hasText: 'Confirm it' }).click();
	await page.fill('#ruling-reason', 'Seen the sheet.');
	await send(page, '#ruling');
	assert.equal(await page.textContent('.page-head > .grade'), 'sound');
	assert.equal(await page.textContent('.rulings'), '');
});

test('an entry that never should have been is withdrawn with a reason, and stays readable', async () => {
	const bond_id = number('V-0037');
	const viewer = await open(`/bonds/${bond_id}`, { who: 'viewer' });
	const grade = await viewer.textContent('.page-head > .grade');
	assert.equal(await viewer.locator('.withdraw:visible').count(), 0);
	const failure = newUuid();
	await (await client(served, 'crew')).put(`/api/failures/${failure}`, { bond_id, found_day: ago(1), mode: 'cable_broken' });

	const page = await open(`/bonds/${bond_id}`, { who: 'crew' });
	assert.equal(await page.textContent('.page-head > .grade'), 'act');
	await page.locator('.history.all > li', { hasText: 'Failed, not made good' }).locator('.withdraw').click();
	assert.match(await page.textContent('#withdraw'), /Failed, not made good.*cable broken.*counts for nothing/s);
	await page.click('#withdraw .main');
	assert.match(await page.textContent('#withdraw .problem'), /Fill in "Reason"/);
	await page.fill('#withdraw-reason', 'It was the bond beside it.');
	await send(page, '#withdraw');
	assert.equal(await page.textContent('.page-head > .grade'), grade);
	const row = page.locator('.history.all > li', { hasText: 'Failed (withdrawn: it counts for nothing)' });
	assert.equal(await row.count(), 1);
	assert.equal(await row.locator('.withdraw').isVisible(), false);
	const [{ entry, entry_id, reason, entered_by }] = (await api.get(`/api/withdrawals?bond=${bond_id}`)).rows;
	assert.deepEqual([entry, entry_id, reason, entered_by], ['failure', failure, 'It was the bond beside it.', 'Colm Hart']);
	assert.equal((await api.get(`/api/failures/${failure}`)).withdrawn, true);
});

test('a removed bond says so where somebody would touch it, and cannot be deferred', async () => {
	const gone = (await api.post('/api/bonds', { line: 'VAL', label: 'V-9100', kind: 'rail_joint', a_track: 'Down', a_rail: 'left', a_chainage: '16+001', installed_day: ago(900), status: 'removed', removed_day: ago(30) })).id;
	const page = await open(`/bonds/${gone}`);

	assert.match(await page.textContent('[data-f="place"]'), / · removed$/);
	assert.match(await page.textContent('.facts.bond'), new RegExp(`Removed${ago(30)}`));
	assert.equal(await page.isVisible('.acts > .put-off'), false);
	for (const form of ['inspect', 'attach'])
		assert.match(await (await open(`/bonds/${gone}/${form}`)).locator('main').innerText(), /Registered as removed/);
	assert.doesNotMatch(await (await open(`/bonds/${number('V-0007')}/inspect`)).locator('main').innerText(), /Registered as removed/);
});

test('says that there is no such bond', async () => {
	const page = await open('/bonds/999999');

	assert.match(await page.textContent('main > .notice'), /no bond|no such/i);
	assert.equal(await page.isVisible('.sheets'), false);
});

test('draws a quantity against its limit, with its bounds, its trend and the days of its forecast', async () => {
	const bond_id = number('V-0050');
	await risingBond(api, bond_id);
	const page = await open(`/bonds/${bond_id}`);
	const { grade, quantities: [{ trend }] } = await api.get(`/api/bonds/${bond_id}/judgement`);
	const figure = page.locator('.judged').first();

	// by hand: (193 µΩ/m [IEC 60228, class 2, 95 mm²] x 1.2 m / 2 + 2 x 20 µΩ) x 1.1 = 171.38 µΩ; 1.5 x 100 µΩ at commissioning = 150 µΩ is lower
	assert.match(await figure.locator('.last').textContent(), new RegExp(`^133\\.0 ± \\d.* µΩ on ${ago(300)}: within the limit\\. Limit 150\\.0 µΩ: the value at commissioning\\.$`));
	assert.match(await figure.locator('.trend').textContent(), new RegExp(`^Rising: .* by all 5 readings from ${ago(1500)} to ${ago(300)} .*; .* by the newest 4 readings from ${ago(1200)} .*\\. If it goes on as it has.* may be crossed from ${trend.early_day} on.*; the line crosses it on ${trend.crosses_day} \\(95 %: between ${trend.crosses_low_day} and`));
	assert.deepEqual((await figure.locator('.day > text').allTextContents()).sort(), [`line crosses ${trend.crosses_day}`, `may cross ${trend.early_day}`, 'today']);
	for (const width of [1440, 820, 560]) {
		await page.setViewportSize({ width, height: 900 });
		await rest(page);
		const boxes = await figure.locator('.day > text').evaluateAll((all) => all.map((one) => one.getBoundingClientRect().toJSON()));
		const over = boxes.flatMap((a, i) => boxes.slice(i + 1).filter((b) => a.left < b.right && b.left < a.right && a.top + 2 < b.bottom && b.top + 2 < a.bottom));
		assert.deepEqual(over, [], `no words over others at ${width} px`);
	}
	await page.setViewportSize({ width: 1440, height: 900 });
	await rest(page);
	for (const [piece, count] of [['.bars > path', 5], ['.point[data-verdict="within"]', 5], ['.band', 1], ['.fit', 4], ['.fit.beside', 2], ['.far', 0], ['.limit.counts', 1], ['.baseline', 1]])
		assert.equal(await figure.locator(piece).count(), count, piece);
	assert.match(await figure.locator('svg').getAttribute('aria-label'), /5 readings.*within the limit.*may be crossed/);
	assert.equal(await page.textContent('.page-head > .grade'), grade.grade);
	assert.deepEqual((await texts(page, '.because > li')).length, grade.reasons.length);
});

test('the working of a reading can be followed from its value, step by step', async () => {
	const page = await open(`/bonds/${number('V-0050')}`);

	await page.locator('.readings tbody a').first().click();
	await page.waitForURL('**/readings/*/1');
	await rest(page);
	assert.match(await page.title(), new RegExp(`^Working: V-0050, end to end, ${ago(300)} · within the limit$`));
	const steps = await texts(page, '.working > tbody .sentence');
	assert.equal(steps.length, 21);
	assert.equal(await page.locator('.of dt', { hasText: 'Judged' }).count(), 1, 'under which rulebook, and nothing else');
	assert.ok(steps.some((text) => text.includes('193 µΩ/m × 1.2 m / 2 cables + 2 × 20 µΩ')), steps.join('\n'));
	assert.match(await page.textContent('.sheet > .none'), /always been this one/);
	assert.match(await page.textContent('.verdict'), /Within the limit/);
	await page.click('.back');
	await page.waitForURL(`**/bonds/${number('V-0050')}`);
});

test('the working of one of two readings of a visit shows the mean that was judged', async () => {
	const uuid = newUuid();
	const read = (shown_uohm) => ({ quantity: 'end_to_end', method: 'four_wire', shown_uohm, temp_c: 20, instrument: 'M-204' });
	await api.put(`/api/inspections/${uuid}`, { bond_id: number('V-0063'), day: ago(5), purpose: 'routine', outcome: 'partly', seen_a: 'good', seen_b: 'good', readings: [read(120), read(121)] });
	const page = await open(`/readings/${uuid}/2`);

	// by hand: (120 + 121) / 2
	assert.match(await page.textContent('.of'), /Value121\.0 ± [\d.]+ µΩ at 20 °CJudged120\.5 ± [\d.]+ µΩ at 20 °C, of the readings of this visit/);
	assert.match(await page.textContent('.working'), /Mean of 2 readings of this visit that agree: \(120 \+ 121\) µΩ \/ 2 = 120\.5 µΩ/);
	await page.context().close();
});

test('draws the rail with every spot, what is kept clear, and the next free place', async () => {
	const bond_id = number('V-0051');
	for (const [daysAgo, offset_mm] of [[900, 120], [300, 240]])
		await api.put(`/api/attachments/${newUuid()}`, { bond_id, end: 'a', made_day: ago(daysAgo), method: 'brazed_pin', offset_mm });
	await api.post('/api/rail-marks', { bond_id, end: 'a', kind: 'weld', offset_mm: -150, there: true });
	const page = await open(`/bonds/${bond_id}`);
	const { rulebook } = await api.get('/api/rulebook');
	const clear = rulebook.spot_clearance_mm;
	const list = await texts(page, '[data-end="a"] .rail-list > li');

	assert.deepEqual(list, [
		'Weld at \u2212150 mm',
		'Live attachment at a place that is not recorded, taken for the reference mark, 0 mm (V-0051 B)',
		`Spoilt spot at +120 mm (brazed pin with lug, ${ago(900)} to ${ago(300)})`,
		`Live attachment at +240 mm (brazed pin with lug, ${ago(300)})`,
		`Kept clear to either side: ${rulebook.weld_clearance_mm} mm of a weld, ${clear} mm of a live attachment, ${clear} mm of a spoilt spot`,
		`Next free place: +${240 + clear} mm`]);
	assert.match(await page.textContent('[data-end="a"] .spot-words'), /On the side of the joint towards higher chainage\./);
	assert.match(await page.textContent('[data-end="a"] .unknowns'), /Rail ends are not known here: look\. Bolt holes .* An attachment here has no recorded offset: look/);
	assert.doesNotMatch(await page.textContent('[data-end="a"] .unknowns'), /Weld/);
	assert.match(await page.textContent('[data-end="b"] .rail-list'), /Next free place: \u2212/, 'the other end of the same rail keeps clear of all this');
	for (const piece of ['.live', '.spoilt', '.cross', '.weld', '.next', '.clear'])
		assert.ok(await page.locator(`[data-end="a"] ${piece}`).count() > 0, piece);
});

test('what is missing is named as the page names it, not as the API does', async () => {
	const page = await open(`/bonds/${number('V-0013')}`);
	const problems = () => texts(page, '#report .problem');

	await page.click('.report');
	await page.check('#report [name="mode"][value="burnt"]');
	await page.fill('#found-day', '');
	await page.click('#report .main');
	await page.waitForSelector('#report .problem');
	assert.deepEqual(await problems(), ['Fill in "Found on".']);
	await page.fill('#found-day', ago(1));
	await page.fill('#cause', 'a'.repeat(3000));
	await page.click('#report .main');
	await page.waitForFunction(() => !/Found on/.test(document.querySelector('#report .problem')?.textContent ?? 'Found on'));
	assert.deepEqual(await problems(), ['Cause, if known is too long: say it in fewer words.']);
	assert.doesNotMatch(await page.textContent('#report'), /bytes|_/);
});
