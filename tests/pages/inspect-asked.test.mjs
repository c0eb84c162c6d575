import assert from 'node:assert/strict';
import { test } from 'node:test';

import { begin } from './support/begin.mjs';
import { rest } from './support/browser.mjs';
import { RULEBOOK } from './support/cases.mjs';
import { ago } from './support/railway.mjs';
import { inspecting } from './support/inspecting.mjs';

const { open, api, railway, served } = await begin();
const { rulebook: usual } = await api.get('/api/rulebook');
await api.post('/api/rulebooks', { rulebook: { ...usual, ...RULEBOOK, from_day: ago(0) }, reason: 'The figures below are worked with it.' });
await api.post('/api/instruments', { serial: 'M-900', name: 'lapsed', calibrated_day: ago(800), calibration_due_day: ago(400), uncertainty_percent: 0.5, uncertainty_uohm: 0.3 });
const { number, path, tablet, inspections, readings, tap, choose, figure, meter, quantity, seenGood, measure, verdict, means, fillIn, saved, save } = inspecting({ open, api, railway });

/*
 * V-0023 and those below with it are cross bonds of the same cables: 115.8 µΩ for the conductor, limit
 * 149.4 µΩ. Asked is below 0.3 of the conductor, 34.7 µΩ.
 */
const answer = (page, words) => page.locator('.asked .answers button', { hasText: words }).first().tap();
const answers = (page) => page.locator('.reading').first().locator('.answers button').allTextContents();

test('a question stands in the place of the verdict, and the larger unit is a tap', async () => {
	const page = await tablet(path('V-0023'));

	await choose(page, 'outcome', 'complete');
	await seenGood(page);
	await meter(page);
	await measure(page, '0,11', '20');
	assert.equal(await verdict(page).isVisible(), false);
	assert.match(await page.textContent('.asked ul'), /Far below what it can be: look at the unit and the decimal point/);
	assert.deepEqual(await answers(page), ['It is in mΩ', 'Type the second reading', 'Leave it asked']);
	await save(page);
	assert.match(await page.textContent('.asked > .problem'), /Answer what is asked of this reading, or leave it asked/);
	assert.equal((await readings('V-0023')).length, 0);

	await answer(page, 'It is in mΩ');
	assert.equal(await figure(page, 'shown_uohm').inputValue(), '110');
	assert.match(await page.textContent('.reading .aside'), /0,11 mΩ was meant: recorded as 110 µΩ\./);
	assert.equal(await verdict(page).textContent(), 'within the limit');
	await save(page);
	await saved(page);
	assert.deepEqual((await readings('V-0023')).map((row) => [row.shown_uohm, row.verdict]), [[110, 'within']]);
});

test('a second reading is typed beside the first; that they agree is said by the program', async () => {
	const page = await tablet(path('V-0028'));
	const second = page.locator('.reading').nth(1);

	await choose(page, 'outcome', 'complete');
	await seenGood(page);
	await meter(page);
	await measure(page, '460', '20');   // more than three times 149.4
	assert.match(await page.textContent('.asked ul'), /Far above the limit/);
	await answer(page, 'Type the second reading');
	assert.equal(await second.locator('input[value="end_to_end"]').isChecked(), true);
	assert.equal(await second.locator('[data-field="temp_c"]').inputValue(), '20');
	assert.equal(await page.evaluate('document.activeElement.dataset.field'), 'shown_uohm');
	await second.locator('[data-field="shown_uohm"]').fill('700');
	assert.match(await page.locator('.asked ul').first().textContent(), /Two readings of this visit do not agree/);
	await second.locator('[data-field="shown_uohm"]').fill('462');
	assert.deepEqual(await page.locator('.reading .verdict').allTextContents(), ['over the limit', 'over the limit']);
	assert.match(await means(page), /^Read twice, and the readings agree: their mean is judged\. Over the limit/);
	await save(page);
	await saved(page);
	assert.deepEqual((await readings('V-0028')).map((row) => [row.status, row.verdict]), [['evidence', 'over'], ['evidence', 'over']]);
});

test('what is left asked is recorded as it is, and stays asked at the bond', async () => {
	const page = await tablet(path('V-0033'));
	const left = page.locator('.answers [data-answer="left"]');

	await choose(page, 'outcome', 'complete');
	await seenGood(page);
	await meter(page);
	await measure(page, '460', '20');
	await answer(page, 'Leave it asked');
	assert.match(await page.textContent('.asked .left'), /recorded as it is, makes nothing better/);
	await figure(page, 'shown_uohm').fill('470');
	assert.equal(await left.getAttribute('aria-pressed'), 'false', 'another figure is another reading');
	await answer(page, 'Leave it asked');
	await save(page);
	await saved(page);
	const [said, bond] = await page.locator('.judged > li').allInnerTexts();
	assert.match(said, /waits for an answer\s+end to end; 470\.0.*Far above the limit/s);
	assert.match(bond, /Bond: act/);
	const sheet = await open(`/bonds/${number('V-0033')}`);
	const [row, asked] = await sheet.locator('.readings > tbody > tr').allTextContents();
	assert.match(row, /waits for an answer/);
	assert.doesNotMatch(row, /within|over the limit/);
	assert.match(asked, /Far above the limit/);
});

test('a minus that was left out is put in, what is warm is waited for, a meter that cannot be believed is replaced', async () => {
	const page = await tablet(path('V-0038'));
	const fill = async (figures) => {
		for (const [name, text] of Object.entries(figures))
			await figure(page, name).fill(text);
	};

	await meter(page);
	await page.locator('.choice', { hasText: 'voltage, µV, and current' }).first().tap();
	await fill({ forward_uv: '1210', reverse_uv: '1190', current_a: '10', temp_c: '20' });
	await answer(page, 'The minus was left out');
	assert.equal(await figure(page, 'reverse_uv').inputValue(), '-1190');
	assert.equal(await verdict(page).textContent(), 'within the limit');
	await fill({ forward_uv: '12700', reverse_uv: '-11300', current_a: '100' });   // 700 µV of e.m.f.
	assert.match(await page.textContent('.asked ul'), /a bond only has while it is hot/);
	await answer(page, 'Wait, then measure again');
	assert.deepEqual([await figure(page, 'forward_uv').inputValue(), await verdict(page).isVisible()], ['', false]);
	await tap(page, '.undo button');
	assert.equal(await figure(page, 'forward_uv').inputValue(), '12700');
	await fill({ forward_uv: '4600', reverse_uv: '-4600', current_a: '10' });
	await meter(page, 'M-900');
	await answer(page, 'Read it with another instrument');
	assert.equal(await page.locator('.own-instrument').nth(1).isVisible(), true);
	assert.equal(await page.locator('.own-instrument').nth(0).isVisible(), false);
});

test('a joint bond in circuit proves nothing good; both contacts and a look do, and all cables are one tap', async () => {
	const page = await tablet(path('V-0031'));
	const cards = page.locator('.reading');

	assert.match(await page.textContent('.measured .proof'), /proved by both contacts and by sight/);
	assert.deepEqual(await cards.locator('[data-name="quantity"] input:checked').evaluateAll((all) => all.map(({ value }) => value)), ['contact_a', 'contact_b'], 'what proves it is asked for');
	await page.locator('.remove').first().tap();
	await page.locator('.remove').first().tap();
	await tap(page, '.add');
	await meter(page);
	await measure(page, '100', '20');
	assert.equal(await verdict(page).textContent(), 'no verdict');
	assert.match(await means(page), /this proves nothing good/);
	await tap(page, '.reading .contacts');
	for (const [n, shown] of [[1, '6'], [2, '7']])
		await cards.nth(n).locator('[data-field="shown_uohm"]').fill(shown);
	assert.match(await cards.nth(1).locator('.means').textContent(), /Say where the probe stood/);
	await choose(page, 'outcome', 'complete');
	await seenGood(page);
	await save(page);
	assert.match(await cards.nth(1).locator('.problem').textContent(), /strands beyond the lug, or on the lug only/);
	for (const n of [1, 2])
		await cards.nth(n).locator('.choice', { hasText: 'strands beyond the lug' }).tap();
	assert.equal(await cards.nth(1).locator('.verdict').textContent(), 'within the limit');
	await page.locator('.choice', { hasText: 'all 2 whole' }).tap();
	await save(page);
	await saved(page);
	assert.match((await page.locator('.judged > li').allInnerTexts()).at(-1), /Bond: sound/);
	const [visit] = await inspections('V-0031');
	assert.deepEqual([visit.cables_whole, visit.opened], [2, null]);
});

test('of a joint in circuit the question says what answers it: both contacts, or what lies beside it opened', async () => {
	const page = await tablet(path('V-0036'));
	const cards = page.locator('.reading');

	await page.locator('.remove').first().tap();
	await page.locator('.remove').first().tap();
	await tap(page, '.add');
	await meter(page);
	await measure(page, '460', '20');   // more than three times 149.4
	assert.deepEqual(await answers(page), ['Look at the figure', 'Type the second reading', 'Read both contacts', 'Open what lies beside it, then measure', 'Leave it asked']);
	assert.match(await page.textContent('.asked .hint'), /no answer proves this bond: read both contacts and see cable and lugs whole, or open what lies beside it, where your railway's rules allow that/);
	assert.equal(await page.locator('.reading .contacts').isVisible(), false, 'the same act once');

	// what was typed before it was opened is not taken for a reading of the bond alone
	await answer(page, 'Open what lies beside it');
	assert.equal(await figure(page, 'shown_uohm').inputValue(), '');
	assert.equal(await page.evaluate('document.activeElement.id'), 'opened');
	await page.fill('#opened', 'the fishplate, isolated');
	await measure(page, '460', '20');
	assert.deepEqual(await answers(page), ['Look at the figure', 'Type the second reading', 'Leave it asked'], 'alone it is a reading like any other');
	await page.fill('#opened', '');

	await answer(page, 'Read both contacts');
	assert.deepEqual(await cards.locator('[data-name="quantity"] input:checked').evaluateAll((all) => all.map(({ value }) => value)), ['end_to_end', 'contact_a', 'contact_b']);
	await page.context().close();
});

test('Enter in a figure saves nothing, and nothing is chosen that would', async () => {
	const page = await tablet(path('V-0043'));
	const before = (await inspections('V-0043')).length;

	assert.deepEqual(await page.locator('form input:checked').evaluateAll((all) => all.map(({ name, value }) => [name.replace(/-\d+$/, ''), value]).filter(([name]) => /outcome|seen|failed|cables|probed/.test(name))), []);
	await choose(page, 'outcome', 'complete');
	await seenGood(page);
	await figure(page, 'shown_uohm').fill('110');
	await page.keyboard.press('Enter');
	assert.equal(await page.evaluate('document.activeElement.dataset.field'), 'temp_c', 'on to the next one');
	for (const field of ['#day', '#inspector', '#opened'])
		await page.press(field, 'Enter');
	assert.ok(await page.locator('form').isVisible());
	assert.equal((await inspections('V-0043')).length, before);
});

test('complete needs a word for each end, and could not be seen its reason', async () => {
	const page = await tablet(path('V-0048'));

	await choose(page, 'outcome', 'complete');
	await save(page);
	for (const end of ['a', 'b'])
		assert.match(await page.textContent(`fieldset:has(> [data-name="seen_${end}"]) .problem`), /Say what was seen here/);
	await choose(page, 'seen_a', 'good');
	await choose(page, 'seen_b', 'not_visible');
	await save(page);
	assert.match(await page.textContent('.field:has(#why_not_seen) .problem'), /Say why it could not be seen/);
	await page.locator('.choice', { hasText: 'under the ballast' }).tap();
	await save(page);
	await saved(page);
	assert.equal((await inspections('V-0048'))[0].why_not_seen, 'under the ballast');
});

test('a word that tells of a broken path warns at once, and asks whether it failed', async () => {
	const page = await tablet(path('V-0053'));
	const warning = page.locator('.defect[data-end="b"]');

	await choose(page, 'outcome', 'complete');
	await choose(page, 'seen_a', 'good');
	for (const word of ['loose', 'strands_broken', 'damaged', 'missing']) {
		await choose(page, 'seen_b', word);
		assert.match(await warning.textContent(), /Never bridge it by hand or with a tool/);
	}
	assert.equal(await page.locator('.defect[data-end="a"]').isVisible(), false);
	await choose(page, 'seen_b', 'corroded');
	assert.equal(await warning.isVisible(), false);
	await choose(page, 'seen_b', 'loose');
	await save(page);
	assert.match(await page.textContent('fieldset:has(> [data-name="failed"]) .problem'), /say whether the bond failed/);
	await choose(page, 'failed', 'no');
	await save(page);
	await saved(page);
	const next = await tablet(path('V-0053'));
	await choose(next, 'cables_whole', '1');
	assert.match(await next.textContent('.defect[data-end="cable"]'), /A cable is not whole/);
	await choose(next, 'outcome', 'complete');
	await seenGood(next);
	await save(next);
	assert.match(await next.textContent('fieldset:has(> [data-name="failed"]) .problem'), /say whether the bond failed/);
});

test('a temperature is carried to the next bond for an hour, and is said to be carried', async () => {
	const page = await tablet(path('V-0058'));

	await fillIn(page);
	await figure(page, 'temp_c').fill('21,5');
	await save(page);
	await saved(page);
	const next = await page.context().newPage();
	await next.goto(served.url + path('V-0063'));
	await rest(next);
	await choose(next, 'outcome', 'complete');
	await seenGood(next);
	assert.equal(await next.locator('.carried').isVisible(), false);
	await next.locator('.carry', { hasText: 'Carry 21,5 °C from V-0058' }).tap();
	await figure(next, 'shown_uohm').fill('110');
	const sent = next.waitForRequest('**/api/inspections/*');
	await save(next);
	await saved(next);
	const [reading] = (await sent).postDataJSON().readings;
	assert.deepEqual([reading.temp_c, reading.temp_carried], [21.5, true]);
	await next.goto(served.url + path('V-0068'));
	await rest(next);
	await next.evaluate((hour) => {
		const last = JSON.parse(localStorage.getItem('last:temperature'));
		localStorage.setItem('last:temperature', JSON.stringify({ ...last, at: last.at - hour - 1 }));
	}, 3600000);
	await next.reload();
	await rest(next);
	assert.equal(await next.locator('.carry').first().isVisible(), false, 'measured anew after an hour');
});

test('a correction of somebody else\'s entry that betters the bond needs a reason, and says that it waits', async () => {
	const page = await tablet(path('V-0073'));

	await choose(page, 'outcome', 'complete');
	await seenGood(page);
	await meter(page);
	await measure(page, '170', '20');
	await save(page);
	await saved(page);
	await tap(page, '.correct');
	await figure(page, 'shown_uohm').fill('110');
	await save(page);
	await page.waitForSelector('.problem');
	assert.match(await page.textContent('.field:has(#reason) .problem'), /makes the bond sound instead of act: it needs a reason/);
	const other = await open('/', { who: 'planner' });
	await page.context().clearCookies();
	await page.context().addCookies(await other.context().cookies());
	await page.reload();
	await rest(page);
	await page.fill('#reason', 'The sheet says 110.');
	await save(page);
	await page.waitForFunction(() => document.querySelector('.waits').textContent);
	assert.match(await page.textContent('.waits'), /counts once an engineer has confirmed it/);
	assert.match((await page.locator('.judged > li').allInnerTexts()).at(-1), /Bond: act/);
	const [row] = (await api.get(`/api/better-by-correction?bond=${number('V-0073')}&waits=yes`)).rows;
	assert.equal(row.reason, 'The sheet says 110.');
});
