import assert from 'node:assert/strict';
import { test } from 'node:test';

import { begin } from './support/begin.mjs';
import { rest } from './support/browser.mjs';
import { RULEBOOK } from './support/cases.mjs';
import { newUuid } from '../../static/js/logic/uuid.js';
import { inspecting } from './support/inspecting.mjs';
import { ago } from './support/railway.mjs';

const { open, api, railway, served } = await begin();
const { rulebook: usual } = await api.get('/api/rulebook');
await api.post('/api/rulebooks', { rulebook: { ...usual, ...RULEBOOK, from_day: ago(0) }, reason: 'The figures below are worked with it.' });
const { number, path, tablet, inspections, readings, tap, choose, figure, meter, seenGood, measure, state, verdict, means, fillIn, saved, save } = inspecting({ open, api, railway });

test('takes commas, shows R as it is typed, and the server computes the same', async () => {
	const page = await tablet(path('V-0007'));

	assert.equal(await page.textContent('.last'), 'No earlier evidence of this since it was attached.', 'M-204 was not calibrated then');
	await fillIn(page);
	// by hand: 152.4 / (1 + 0.00393 x 11) = 152.4 / 1.04323 = 146.08
	assert.match(await page.textContent('.reading .value'), /^146\.1 ± [\d.]+ µΩ at 20 °C$/);
	assert.match(await page.textContent('.reading .aside'), /R 152\.4 µΩ as measured/);
	await save(page);
	await saved(page);
	assert.match(await page.textContent('.result .why'), /Next inspection due \d{4}-/);
	const [first] = await inspections('V-0007');
	assert.deepEqual([first.day, first.outcome, first.seen_a, first.seen_b, first.done_by, first.readings], [ago(0), 'complete', 'good', 'corroded', 'Colm Hart', 1]);
	const [reading] = await readings('V-0007');
	assert.deepEqual([reading.shown_uohm, reading.temp_c, reading.instrument, reading.r20_uohm.toFixed(1)], [152.4, 31, 'M-204', '146.1']);

	const next = await page.context().newPage();
	await next.goto(served.url + path('V-0009'));
	await rest(next);
	assert.ok(await next.isChecked(`input[name="instrument_id"][value="${(await api.get('/api/instruments')).rows.find(({ serial }) => serial === 'M-204').id}"]`), 'the instrument used last is chosen');
});

test('computes by current reversal, and what a joint adds to its rail', async () => {
	const page = await tablet(path('V-0010'));

	await choose(page, 'outcome', 'complete');
	await seenGood(page);
	await meter(page);
	await page.locator('.choice', { hasText: 'voltage, µV, and current' }).tap();
	for (const [name, text] of [['forward_uv', '1520'], ['reverse_uv', '1480'], ['current_a', '10'], ['temp_c', '20']])
		await figure(page, name).fill(text);
	await page.locator('.field:has([data-field="reverse_uv"]) .sign').tap();
	// by hand: (1520 + 1480) / 2 / 10 = 150 µΩ; (1520 - 1480) / 2 = 20 µV
	assert.match(await page.textContent('.reading .value'), /^150\.0 ± [\d.]+ µΩ at 20 °C$/);
	assert.match(await page.textContent('.reading .aside'), /Thermal voltage 20\.0 µV/);

	await tap(page, '.add');
	const second = page.locator('.reading').nth(1);
	await second.locator('.choice', { hasText: 'voltage drop against the rail' }).tap();
	for (const [name, text] of [['forward_uv', '900'], ['rail_uv', '600'], ['rail_m', '1'], ['joint_m', '0,6']])
		await second.locator(`[data-field="${name}"]`).fill(text);
	// by hand: 900 / 600 x 1 m = 1.5 m, less 0.6 m
	assert.match(await second.locator('.value').textContent(), /^The joint adds 0\.900 ± [\d.]+ m of rail$/);
	assert.match(await second.locator('.aside').textContent(), /Equals 1\.50 m of rail\./);
	await save(page);
	await saved(page);
	const rows = await readings('V-0010');
	assert.deepEqual(rows.map((row) => [row.quantity, row.r_uohm, row.equivalent_m, row.joint_m]).sort(), [['end_to_end', 150, null, null], ['rail_drop', null, 1.5, 0.6]]);
});

/*
 * V-0008 is a cross bond of two cables, 95 mm2 copper of class 2, 1.2 m: IEC 60228 has 0.193 ohm/km,
 * the rulebook of the cases 10 µΩ for each contact and 10 %. By hand: (193 x 1.2 / 2 + 2 x 10) x 1.1 = 149.38 µΩ.
 * M-204 has 0.5 % + 0.3 µΩ. The figures below are worked out in tests/cases/verdict.json.
 */
test('says the verdict while it is typed, with the limit and what to do', async () => {
	await api.post('/api/instruments', { serial: 'M-900', name: 'lapsed', calibrated_day: ago(800), calibration_due_day: ago(400), uncertainty_percent: 0.5, uncertainty_uohm: 0.3 });
	const page = await tablet(path('V-0008'));
	const instruments = new Map((await api.get('/api/instruments')).rows.map(({ serial, id }) => [serial, String(id)]));

	assert.equal(await page.textContent('.reading .limit'), "Limit 149.4 µΩ: the cable's own resistance", 'before anything is typed');
	assert.equal(await page.textContent('.reading .value'), 'No reading typed');
	assert.equal(await verdict(page).isVisible(), false);
	await choose(page, 'instrument_id', instruments.get('M-204'));

	await measure(page, '100', '20');
	assert.equal(await verdict(page).textContent(), 'within the limit');
	assert.equal(await page.textContent('.reading .value'), '100.0 ± 2.5 µΩ at 20 °C');
	assert.equal(await means(page), 'Within the limit, its uncertainty counted.');

	await measure(page, '1.234,5', '20');
	assert.match(await means(page), /more than one comma or point/, 'at once, not on saving');
	assert.deepEqual([await page.textContent('.reading .value'), await verdict(page).isVisible()], ['No value', false]);
	assert.match(await page.textContent('.reading .limit'), /^Limit 149\.4/, 'the limit stays in sight');
	await measure(page, '100', '-');
	assert.doesNotMatch(await means(page), /not a number/, 'the sign of a number that is being typed');

	await measure(page, '140', '20');
	assert.match(await means(page), /above 80 % of it: the bond is to be watched/);

	await measure(page, '152,4', '31');
	assert.equal(await verdict(page).textContent(), 'unproven, measure again');
	assert.equal(await page.textContent('.reading .value'), '146.1 ± 3.5 µΩ at 20 °C');
	assert.match(await means(page), /measure again, with a better instrument or more current\. Chance that it is within: 97 %/);

	await measure(page, '160', '20');
	assert.equal(await verdict(page).textContent(), 'over the limit');
	const signs = await verdict(page).locator('svg path').evaluateAll((paths) => paths.map((one) => one.getAttribute('d')));
	assert.deepEqual(signs, ['M2 2h12v12h-12z'], 'a square, not a colour alone');

	await choose(page, 'instrument_id', instruments.get('M-900'));
	assert.equal(await verdict(page).isVisible(), false);
	assert.match(await page.textContent('.reading .asked'), /The instrument is not to be believed on this day, and the value may be over its limit/);
	await measure(page, '100', '20');
	assert.equal(await verdict(page).textContent(), 'no verdict');
	assert.equal(await means(page), 'Not evidence: the instrument was out of calibration on the day of the reading.');

	await figure(page, 'shown_uohm').fill('16o');
	assert.equal(await verdict(page).isVisible(), false, 'what is no number is not judged');
});

test('shows the verdict and the grade of the server once it is saved', async () => {
	const page = await tablet(path('V-0008'));

	await choose(page, 'outcome', 'complete');
	await seenGood(page);
	await meter(page);
	await measure(page, '160', '20');
	await save(page);
	await saved(page);
	const [reading, bond] = await page.locator('.judged > li').allInnerTexts();
	assert.match(reading, /over the limit\s+end to end; 160\.0 ± 3\.9 µΩ; limit 149\.4 µΩ, the cable's own resistance/);
	assert.match(bond, /Bond: act\s+a reading was over its limit, and nothing has cleared it/);
	const known = await api.get(`/api/bonds/${number('V-0008')}/tablet`);
	assert.deepEqual([known.last.end_to_end.verdict, known.last.end_to_end.value], ['over', 160]);
});

test('says of every quantity what the server then says: value, limit, verdict', async () => {
	await api.put(`/api/inspections/${newUuid()}`, { bond_id: number('V-0038'), day: ago(15), purpose: 'commissioning', outcome: 'complete', seen_a: 'good', seen_b: 'good', readings: [
		{ quantity: 'end_to_end', method: 'four_wire', shown_uohm: 110, temp_c: 20, instrument: 'M-204' }, { quantity: 'contact_a', method: 'four_wire', shown_uohm: 6, instrument: 'M-204' }] });
	const page = await tablet(path('V-0038'));

	assert.equal(await page.textContent('.reading .last'), `Last time 110.0 µΩ, ${ago(15)}: within the limit`);
	await choose(page, 'outcome', 'complete');
	await seenGood(page);
	await meter(page, 'M-311');
	await measure(page, '171,2', '24.5');
	for (const [quantity, figures] of [['contact_a', { shown_uohm: '8,9' }], ['contact_b', { shown_uohm: '14' }],
		['rail_drop', { forward_uv: '2410', reverse_uv: '-2388', rail_uv: '1500', rail_m: '1', joint_m: '0,6' }]]) {
		await tap(page, '.add');
		const card = page.locator('.reading').last();
		await card.locator(`.choice:has(input[value="${quantity}"])`).tap();
		for (const [name, text] of Object.entries(figures))
			await card.locator(`[data-field="${name}"]`).fill(text);
		if (quantity !== 'rail_drop')
			await card.locator('.choice:has(input[value="strands"])').tap();
	}
	const said = await page.locator('.reading > .result').evaluateAll((all) => all.map((one) =>
		['verdict', 'value', 'limit'].map((piece) => one.querySelector(`.${piece}`).textContent)));
	await save(page);
	await saved(page);
	const judged = await page.locator('.judged > li:has([data-verdict])').allInnerTexts();

	assert.equal(judged.length, 4);
	assert.deepEqual(said.map(([verdict, , limit]) => [verdict, limit]), [['over the limit', "Limit 149.4 µΩ: the cable's own resistance"],
		['within the limit', 'Limit 11.00 µΩ: one contact'], ['over the limit', 'Limit 11.00 µΩ: one contact'], ['no verdict', '']]);
	judged.forEach((text, i) => {
		const [title, rest] = text.split(/\n+/);
		const [, value, limit] = rest.split('; ');
		const numbers = (words = '') => words.match(/\d+(?:\.\d+)?/g)?.map(Number) ?? [];
		assert.equal(title, said[i][0]);
		assert.equal(numbers(value)[0].toPrecision(3), numbers(said[i][1])[0].toPrecision(3));
		assert.deepEqual(numbers(limit), numbers(said[i][2]));
	});
});

test('says that it cannot judge when it has not what it takes, and saves all the same', async () => {
	const page = await tablet('/due');

	await page.route('**/api/rulebook', (route) => route.fulfill({ json: { version: 9, rulebook: { of_a_later_version: 1 } } }));
	await page.goto(served.url + path('V-0026'));
	await rest(page);
	assert.match(await page.textContent('.measured > .notice'), /cannot judge readings now: the server does/);
	await fillIn(page);
	assert.equal(await verdict(page).isVisible(), false);
	await save(page);
	await saved(page);
	assert.ok(await page.locator('.judged > li').count() > 0);
});

test('is saved once when the button is pressed twice', async () => {
	const page = await tablet(path('V-0011'));
	const before = (await inspections('V-0011')).length;

	await fillIn(page);
	await page.evaluate('document.querySelector("button.save").click(); document.querySelector("button.save").click()');
	await saved(page);
	assert.equal((await inspections('V-0011')).length, before + 1);
});

test('is saved once when the answer is lost and it is sent again', async () => {
	const page = await tablet(path('V-0012'));
	const before = (await inspections('V-0012')).length;
	let tries = 0;

	await page.route('**/api/inspections/*', async (route) => {
		if (tries++ === 0) {
			await route.fetch();
			await route.abort();
		} else {
			await route.continue();
		}
	});
	await fillIn(page);
	await save(page);
	await saved(page);
	assert.equal(tries, 2);
	assert.equal((await inspections('V-0012')).length, before + 1);
});

test('is kept when something else than the register answers, or half of its answer comes', async () => {
	const page = await tablet(path('V-0012'));
	const before = (await inspections('V-0012')).length;
	const answers = ['<!doctype html><title>Station guests, please sign in</title>', '', '{"id":"0190'];

	await page.route('**/api/inspections/*', (route) => answers.length
		? route.fulfill({ status: 200, contentType: 'text/html', body: answers.shift() }) : route.continue());
	await fillIn(page);
	await save(page);
	await saved(page, 'Not sent yet: kept on this tablet');
	assert.match(await page.textContent('.result .why'), /Something else than the register answered/);
	while (answers.length)
		await tap(page, '.result .send-now').then(() => rest(page));
	assert.equal((await inspections('V-0012')).length, before);
	await tap(page, '.result .send-now');
	await saved(page);
	assert.equal((await inspections('V-0012')).length, before + 1);
});

test('says each problem beside its field before it is sent', async () => {
	const page = await tablet(path('V-0013'));

	await figure(page, 'shown_uohm').fill('1.234,5');
	await save(page);
	assert.match(await page.textContent('fieldset:has(> [data-name="outcome"]) .problem'), /complete, done in part, or not reached/);
	assert.match(await page.textContent('.field:has([data-field="shown_uohm"]) .problem'), /more than one comma or point/);
	assert.equal(await figure(page, 'shown_uohm').inputValue(), '1.234,5');
	assert.equal((await inspections('V-0013')).filter((row) => row.day === ago(0)).length, 0);
});

test('says what the server refused beside its field, and nothing typed is lost', async () => {
	const page = await tablet(path('V-0014'));

	await fillIn(page);
	await figure(page, 'temp_c').fill('400');
	await page.fill('#note', 'Lug hot to the hand.');
	await save(page);
	await page.waitForSelector('.problem');
	assert.match(await page.textContent('.field:has([data-field="temp_c"]) .problem'), /120/);
	assert.equal(await page.evaluate('document.activeElement.dataset.field'), 'temp_c');
	assert.equal(await page.inputValue('#note'), 'Lug hot to the hand.');
	assert.ok(await page.isChecked('input[name="seen_b"][value="corroded"]'));
	await page.reload();
	await rest(page);
	assert.equal(await figure(page, 'temp_c').inputValue(), '400', 'still there after a reload');
	await figure(page, 'temp_c').fill('40');
	await save(page);
	await saved(page);
	assert.equal((await inspections('V-0014'))[0].note, 'Lug hot to the hand.');
});

test('is kept on the tablet while the server is away, and sent when it is back', async () => {
	const page = await tablet(path('V-0015'));
	const before = (await inspections('V-0015')).length;

	await fillIn(page);
	await page.fill('#note', 'No signal here.');
	await served.stop();
	await save(page);
	await saved(page, 'Not sent yet: kept on this tablet');
	assert.equal(await state(page), '1 saved on this tablet, not sent.');
	assert.match(await page.textContent('.result .why'), /did not answer/);
	assert.equal(await page.locator('.correct').isVisible(), false);

	await served.start();
	await tap(page, '.result .send-now');
	await saved(page);
	assert.equal(await state(page), 'Saved on the server.');
	const rows = await inspections('V-0015');
	assert.equal(rows.length, before + 1);
	assert.equal(rows[0].note, 'No signal here.');
});

test('is sent by itself when the connection comes back, also after the page was closed', async () => {
	const page = await tablet(path('V-0016'));
	const before = (await inspections('V-0016')).length;

	await page.route('**/api/inspections/*', (route) => route.abort());
	await fillIn(page);
	await save(page);
	await saved(page, 'Not sent yet: kept on this tablet');
	await page.close();

	const later = await page.context().newPage();
	await later.goto(served.url + path('V-0017'));
	await rest(later);
	await later.waitForFunction(() => document.querySelector('.state .words').textContent === 'Nothing is waiting to be sent.');
	assert.equal((await inspections('V-0016')).length, before + 1);
});

test('keeps what is being typed when the page dies', async () => {
	const page = await tablet(path('V-0018'));

	await page.fill('#note', 'half a sen');
	await choose(page, 'seen_a', 'loose');
	await page.close();
	const again = await page.context().newPage();
	await again.goto(served.url + path('V-0018'));
	await rest(again);
	assert.equal(await again.inputValue('#note'), 'half a sen');
	assert.ok(await again.isChecked('input[name="seen_a"][value="loose"]'));
	assert.equal(await state(again), 'Not sent yet: kept on this tablet.');
});

test('a session that ended keeps it, and sends it after signing in', async () => {
	const page = await tablet(path('V-0019'));
	const cookies = await page.context().cookies();

	await fillIn(page);
	await page.context().clearCookies();
	await save(page);
	await saved(page, 'Not sent yet: kept on this tablet');
	assert.match(await page.textContent('.result .why'), /Sign in on another page/);
	await page.context().addCookies(cookies);
	await tap(page, '.result .send-now');
	await saved(page);
});

test('is not sent as the work of somebody else who signed in meanwhile', async () => {
	const page = await tablet(path('V-0008'));
	const own = await page.context().cookies();
	const before = (await inspections('V-0008')).length;
	const other = await open('/', { who: 'planner' });

	await page.route('**/api/inspections/*', (route) => route.abort());
	await fillIn(page);
	await save(page);
	await saved(page, 'Not sent yet: kept on this tablet');
	await page.unroute('**/api/inspections/*');
	await page.context().clearCookies();
	await page.context().addCookies(await other.context().cookies());
	await tap(page, '.result .send-now');
	await page.waitForFunction(() => /somebody else is signed in/i.test(document.querySelector('.result .why').textContent));
	assert.equal((await inspections('V-0008')).length, before);
	await page.context().clearCookies();
	await page.context().addCookies(own);
	await tap(page, '.result .send-now');
	await saved(page);
	assert.equal((await inspections('V-0008')).length, before + 1);
});

/** Somebody else signs in on the same tablet. */
async function signIn(page, who) {
	const other = await open('/', { who });

	await page.context().clearCookies();
	await page.context().addCookies(await other.context().cookies());
	await other.context().close();
}

async function goTo(page, label) {
	await page.goto(served.url + path(label));
	await rest(page);
}

test('a crew that goes on with what another began on the tablet is not recorded under that name', async () => {
	const page = await tablet(path('V-0006'), { who: 'planner' });

	assert.equal(await page.inputValue('#inspector'), 'Pia Noor');
	assert.equal(await page.textContent('.doer'), 'You are signed in as Pia Noor.');
	await fillIn(page);
	await signIn(page, 'crew');
	await goTo(page, 'V-0006');
	assert.equal(await page.inputValue('#inspector'), 'Colm Hart');
	assert.match(await page.textContent('form > .notice'), /Pia Noor began this on this tablet.*it says that you inspected/);
	await save(page);
	await saved(page);
	const [row] = (await inspections('V-0006')).filter(({ day }) => day === ago(0));
	assert.deepEqual([row.done_by, row.entered_by], ['Colm Hart', 'Colm Hart']);
	await goTo(page, 'V-0009');
	assert.equal(await page.inputValue('#inspector'), 'Colm Hart', 'nor is the next one');
});

test('who inspects is who is signed in, whoever was named last; another name is marked at once and said', async () => {
	const page = await tablet(path('V-0010'));

	await page.fill('#inspector', 'R. Olver');
	assert.equal(await page.textContent('.doer'), 'You, Colm Hart, enter this for R. Olver.');
	await fillIn(page);
	await save(page);
	await saved(page);
	const [row] = (await inspections('V-0010')).filter(({ day }) => day === ago(0));
	assert.deepEqual([row.done_by, row.entered_by], ['R. Olver', 'Colm Hart']);
	await goTo(page, 'V-0011');
	assert.equal(await page.inputValue('#inspector'), 'Colm Hart');
	const bond = await open(`/bonds/${number('V-0010')}`);
	assert.ok((await bond.textContent('.history.all')).includes(`entered by Colm Hart for R. Olver on ${ago(0)}`));
	const list = await open(`/list?of=inspections&bond=${number('V-0010')}`);
	assert.match(await list.textContent('.rows > tbody'), /Colm Hart for R\. Olver/);
});

test('nothing is sent while nobody can say who is signed in', async () => {
	const page = await tablet(path('V-0012'));
	const before = (await inspections('V-0012')).length;

	await fillIn(page);
	await signIn(page, 'planner');
	await page.route('**/api/session', (route) => route.abort());
	await save(page);
	await saved(page, 'Not sent yet: kept on this tablet');
	assert.equal((await inspections('V-0012')).length, before);
	await page.unroute('**/api/session');
	await tap(page, '.result .send-now');
	await rest(page);
	assert.match(await page.textContent('.result .why'), /Somebody else is signed in now/);
	assert.equal((await inspections('V-0012')).length, before);
	await signIn(page, 'crew');
	await tap(page, '.result .send-now');
	await saved(page);
	const [row] = (await inspections('V-0012')).filter(({ day }) => day === ago(0));
	assert.deepEqual([row.done_by, row.entered_by], ['Colm Hart', 'Colm Hart']);
});

test('what was refused stays on the tablet when it cannot be kept as a draft', async () => {
	const page = await tablet(path('V-0005'));

	await fillIn(page);
	await figure(page, 'temp_c').fill('400');
	await page.route('**/api/inspections/*', (route) => route.fulfill({ status: 422, json: { detail: 'Too hot.' } }));
	await save(page);
	await page.waitForFunction(() => /Too hot/.test(document.querySelector('form > .notice').textContent));
	await page.context().addInitScript(() => {
		const { put } = IDBObjectStore.prototype;
		IDBObjectStore.prototype.put = function (value) {
			if (this.name === 'drafts')
				throw new DOMException('full', 'QuotaExceededError');
			return put.call(this, value);
		};
	});
	await page.reload();
	await rest(page);
	assert.equal(await figure(page, 'temp_c').inputValue(), '400');
	await page.fill('#note', 'Not kept.');
	await rest(page);
	assert.match(await state(page), /cannot keep what you type/);
	await page.reload();
	await rest(page);
	assert.equal(await figure(page, 'temp_c').inputValue(), '400', 'still there after the page was left');
});

test('a correction is a later entry that names the first; both can be read', async () => {
	const page = await tablet(path('V-0020'));

	await fillIn(page);
	await save(page);
	await saved(page);
	await tap(page, '.correct');
	assert.equal(await figure(page, 'shown_uohm').inputValue(), '152,4', 'what was recorded is there to be changed');
	await figure(page, 'shown_uohm').fill('125,4');
	await page.fill('#reason', 'Two digits were swapped.');
	await save(page);
	await saved(page);
	const rows = (await inspections('V-0020')).filter((row) => row.day === ago(0));
	assert.deepEqual(rows.map((row) => row.replaced).sort(), [false, true]);

	const bond = await open(`/bonds/${number('V-0020')}`);
	assert.match(await bond.textContent('.history.all'), /Inspected \(corrected by a later entry\)/);
});

test('names the ends by what a person can check wherever one is asked about', async () => {
	const page = await tablet(path('V-0007'));
	const choicesOf = (name) => page.locator(`[data-name="${name}"] .choice`).allTextContents();

	assert.deepEqual(await page.locator('.seen > fieldset:not(.cables) > legend').allTextContents(), ['Up, right rail (six-foot) A', 'Mast 7 B']);
	assert.deepEqual(await page.locator('.seen fieldset > p').allTextContents(), ['Up, right rail (six-foot), at 12+723', 'Mast 7 beside Up, at 12+723']);
	assert.deepEqual(await choicesOf('quantity'), ['end to end', 'contact at Up, right rail (six-foot)', 'contact at Mast 7', 'voltage drop against the rail']);
	await choose(page, 'failed', 'yes');
	assert.deepEqual(await choicesOf('failure_end'), ['the cable, or both', 'Up, right rail (six-foot)', 'Mast 7']);
	assert.equal(await page.textContent('.alike'), '');
	const alike = await tablet(path('V-0001'));
	assert.match(await alike.textContent('.alike'), /Nothing on record tells the two ends of this bond apart/);
});

test('a failure found is recorded with the inspection, and shows on the bond and the repeat places', async () => {
	const page = await tablet(path('V-9002'));
	const places = (await api.get('/api/repeat-places')).rows;
	assert.equal(places[0].count, 4);

	await choose(page, 'outcome', 'complete');
	await choose(page, 'seen_a', 'missing');
	await choose(page, 'seen_b', 'good');
	await choose(page, 'failed', 'yes');
	await save(page);
	assert.match(await page.textContent('fieldset:has(> [data-name="failure_mode"]) .problem'), /what failed/);
	await choose(page, 'failure_mode', 'detached');
	await choose(page, 'failure_end', 'a');
	await page.fill('#failure_cause', 'vibration');
	await save(page);
	await saved(page);
	await tap(page, '.result .back');
	await page.waitForURL(`**/bonds/${number('V-9002')}`);
	await rest(page);
	assert.match(await page.textContent('.open-failures'), new RegExp(`attachment detached, end A, not told apart, found ${ago(0)}`));

	const repeat = await open('/repeat');
	assert.deepEqual(await repeat.locator('main > .scroll > .rows > tbody > tr td:first-child').allTextContents(), ['5']);
});

test('takes back a removed reading and a cleared form', async () => {
	const page = await tablet(path('V-0021'));

	await figure(page, 'shown_uohm').fill('77');
	await page.locator('.remove').first().tap();
	assert.equal(await page.locator('.reading').count(), 1, 'of two, for both contacts');
	await tap(page, '.undo button');
	assert.equal(await figure(page, 'shown_uohm').inputValue(), '77');
	await page.fill('#note', 'abc');
	await tap(page, '.again');
	assert.equal(await page.inputValue('#note'), '');
	await tap(page, '.undo button');
	assert.equal(await page.inputValue('#note'), 'abc');
});

test('has targets for gloves: 64 px, and 12 px between them', async () => {
	const page = await tablet(path('V-0022'));

	await choose(page, 'failed', 'yes');
	const { small, near } = await page.evaluate(() => {
		const all = [...document.querySelectorAll('button, a.button, .choice, input:not([type="radio"]), textarea')]
			.map((el) => ({ name: el.textContent.trim() || el.id || el.dataset.field, bar: Boolean(el.closest('.bar')), ...el.getBoundingClientRect().toJSON() })).filter(({ width }) => width);
		const gap = (a, b) => Math.max(b.left - a.right, a.left - b.right, b.top - a.bottom, a.top - b.bottom);
		return {
			small: all.filter(({ width, height }) => width < 64 || height < 64).map(({ name, width, height }) => `${name}: ${width} x ${height}`),
			near: all.flatMap((a, i) => all.slice(i + 1).filter((b) => !a.bar && !b.bar && gap(a, b) < 11.9).map((b) => `${a.name} and ${b.name}: ${gap(a, b)}`))
		};
	});
	assert.deepEqual(small, []);
	assert.deepEqual(near, []);
});
