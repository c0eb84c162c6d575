// The instant of an entry: what was attached when something was read goes by it. The register of the tests
// goes by UTC; a page's clock is set where the hour matters.
import assert from 'node:assert/strict';
import { test } from 'node:test';

import { begin } from './support/begin.mjs';
import { rest, TABLET } from './support/browser.mjs';
import { RULEBOOK } from './support/cases.mjs';
import { inspecting } from './support/inspecting.mjs';
import { ago } from './support/railway.mjs';

const { open, api, railway, served } = await begin();
const { rulebook: usual } = await api.get('/api/rulebook');
await api.post('/api/rulebooks', { rulebook: { ...usual, ...RULEBOOK, from_day: ago(0) }, reason: 'The limit below is worked with it.' });
const { number, path, tablet, choose, quantity, meter, seenGood, measure, saved, save } = inspecting({ open, api, railway });
const attach = (label) => `/bonds/${number(label)}/attach?end=a`;
const wait = 'Not sent yet: kept on this tablet';

/** The page at a time of a day: "22:10" of last night, "00:50" of the morning. */
async function at(page, where, day, time) {
	await page.clock.setFixedTime(`${day}T${time}:00Z`);
	await page.goto(served.url + where);
	await rest(page);
}

/** The bodies that a page sends, as they are sent. */
function bodies(page) {
	const sent = [];
	page.on('request', (asked) => asked.method() === 'PUT' && sent.push(asked.postData()));
	return sent;
}

async function visit(page, { day, shown, purpose }) {
	await page.fill('#day', day);
	await choose(page, 'purpose', purpose);
	await choose(page, 'outcome', 'complete');
	await seenGood(page);
	await choose(page, 'cables_whole', '2');
	await meter(page);
	await quantity(page.locator('.reading').first(), 'end_to_end');
	await measure(page, shown, '20');
	await save(page);
}

async function reattach(page, day) {
	await page.fill('[name="made_day"]', day);
	await page.fill('#offset', '250');
	for (const check of ['ground_bright', 'battery_charged', 'gun_flush', 'hammer_passed', 'solder_all_round'])
		await choose(page, check, 'yes');
	for (const [name, value] of [['arc_s', '2'], ['hold_s', '2'], ['stub_mm', '1']])
		await page.fill(`[name="${name}"]`, value);
	await page.locator('form button.main').tap();
}

test('found over, re-attached and commissioned in one night by two crews: the order is that of the work, not of the sending', async () => {
	const label = 'V-0013', night = ago(1);
	const first = await tablet(path(label)), second = await tablet(attach(label), { who: 'planner' });

	// 95 mm², two cables of 1.2 m: limit 149.4 µΩ (the inspection's test works it); 160 is over, 130 within
	await at(first, path(label), night, '22:10');
	await first.context().setOffline(true);
	await visit(first, { day: night, shown: '160', purpose: 'after_failure' });
	await saved(first, wait);

	await at(second, attach(label), night, '23:40');
	const commissioning = await second.context().newPage();
	await at(commissioning, `${path(label)}?purpose=commissioning`, ago(0), '00:50');
	await second.context().setOffline(true);
	await reattach(second, night);
	await saved(second, wait);
	await visit(commissioning, { day: night, shown: '130', purpose: 'commissioning' });
	await saved(commissioning, wait);

	// what was done last arrives first
	await second.close();
	await commissioning.context().setOffline(false);
	await saved(commissioning);
	assert.match(await commissioning.textContent('.result .judged'), /within the limit/);
	await first.context().setOffline(false);
	await saved(first);
	assert.match(await first.textContent('.result .judged'), /over the limit/, 'it is on record as what it was');

	const { grade } = await api.get(`/api/bonds/${number(label)}`);
	assert.equal(grade.reasons.includes('over'), false, 'the new attachment was commissioned within after it');
	assert.notEqual(grade.grade, 'act');
	assert.notEqual(grade.grade, 'unknown');
	await Promise.all([first, commissioning].map((page) => page.context().close()));
});

test('what is found over after the commissioning is not cleared by it, although it was told first', async () => {
	const label = 'V-0018', night = ago(1);
	const first = await tablet(path(label)), second = await tablet(attach(label), { who: 'planner' });

	await at(first, path(label), ago(0), '02:10');   // after the commissioning of 00:50
	await visit(first, { day: night, shown: '160', purpose: 'after_works' });
	await saved(first);
	await at(second, attach(label), night, '23:40');
	await reattach(second, night);
	await saved(second);
	await at(second, `${path(label)}?purpose=commissioning`, ago(0), '00:50');
	await visit(second, { day: night, shown: '130', purpose: 'commissioning' });
	await saved(second);

	const { grade } = await api.get(`/api/bonds/${number(label)}`);
	assert.equal(grade.grade, 'act');
	assert.ok(grade.reasons.includes('over'));
	await Promise.all([first, second].map((page) => page.context().close()));
});

test('what is kept and sent later carries the instant of its making, and is the very same each time', async () => {
	const page = await tablet(path('V-0023'));
	const sent = [];

	await at(page, path('V-0023'), ago(0), '01:30');
	await page.context().setOffline(true);
	await visit(page, { day: ago(1), shown: '130', purpose: 'routine' });
	await saved(page, wait);
	await page.clock.setFixedTime(`${ago(0)}T09:00:00Z`);
	let lost = 0;
	await page.route('**/api/inspections/*', async (route) => {   // kept, but its answer is lost
		sent.push(route.request().postData());
		const response = await route.fetch();
		await (lost++ ? route.fulfill({ response }) : route.abort());
	});
	await page.context().setOffline(false);
	// (the page tries by itself once it is online: a tap meanwhile asks for nothing more)
	for (let i = 0; i < 100 && lost < 2; i++) {
		await page.locator('.result .send-now').tap({ timeout: 500 }).catch(() => {});
		await new Promise((later) => setTimeout(later, 100));
	}
	assert.ok(lost > 1);
	await saved(page);
	const tries = [...new Set(sent)];
	assert.equal(tries.length, 1, 'the very same');
	assert.equal(JSON.parse(tries[0]).at, `${ago(0)}T01:30:00.000Z`);
	const { rows } = await api.get(`/api/inspections?bond=${number('V-0023')}&from=${ago(1)}`);
	assert.equal(rows.length, 1, 'sent twice is kept once');
	await page.context().close();
});

test('a correction carries the instant of what it corrects; of another day none is sent', async () => {
	const page = await tablet(path('V-0028'));
	const sent = bodies(page);
	const last = () => JSON.parse(sent.at(-1));

	await at(page, path('V-0028'), ago(0), '08:15');
	await visit(page, { day: ago(0), shown: '130', purpose: 'routine' });
	await saved(page);
	assert.equal(last().at, `${ago(0)}T08:15:00.000Z`);
	await page.clock.setFixedTime(`${ago(0)}T11:40:00Z`);
	await page.locator('.correct').tap();
	await measure(page, '131', '20');
	await save(page);
	await saved(page);
	assert.equal(last().at, `${ago(0)}T08:15:00.000Z`, 'not that of the correcting');

	await page.locator('.correct').tap();
	await page.fill('#day', ago(3));
	await save(page);
	await saved(page);
	assert.equal('at' in last(), false, 'three days ago it was not done now');
	await page.context().close();
});

test('after noon, or at a desk, yesterday\'s shift is written down later: no instant', async () => {
	const late = await tablet(attach('V-0033'));
	const sent = bodies(late);

	await at(late, attach('V-0033'), ago(0), '13:00');
	await reattach(late, ago(1));
	await saved(late);
	assert.equal('at' in JSON.parse(sent.at(-1)), false);
	await late.context().close();

	const desk = await open(path('V-0033'), { who: 'crew', size: TABLET });
	const typed = bodies(desk);
	await at(desk, path('V-0033'), ago(0), '07:00');
	await desk.fill('#day', ago(1));
	await desk.locator('.choice:has(input[name="outcome"][value="partly"])').click();
	await desk.click('form button.main');
	await saved(desk);
	assert.equal('at' in JSON.parse(typed.at(-1)), false);
	await desk.context().close();
});

test('a desk does not say when a visit of today was made: it may have been before what was attached meanwhile', async () => {
	const desk = await open(path('V-0043'), { who: 'crew', size: TABLET });
	const typed = bodies(desk);

	await at(desk, path('V-0043'), ago(0), '07:00');
	await desk.locator('.choice:has(input[name="outcome"][value="partly"])').click();
	await desk.click('form button.main');
	await saved(desk);
	assert.equal(JSON.parse(typed.at(-1)).day, ago(0));
	assert.equal('at' in JSON.parse(typed.at(-1)), false);
	await desk.context().close();
});

test('a failure and its making good have their instant, but not one that a visit of that day may be the proof of', async () => {
	const commissioned = async (time) => {
		const commissioning = await tablet(path('V-0038'), { who: 'crew' });
		await at(commissioning, path('V-0038'), ago(0), time);
		await visit(commissioning, { day: ago(0), shown: '130', purpose: 'commissioning' });
		await saved(commissioning);
		await commissioning.context().close();
	};
	const grade = async () => (await api.get(`/api/bonds/${number('V-0038')}`)).grade;
	await commissioned('05:00');
	const page = await open(`/bonds/${number('V-0038')}`, { who: 'planner' });
	const sent = bodies(page);
	const last = () => JSON.parse(sent.at(-1));
	const made = async (time) => {
		await page.clock.setFixedTime(`${ago(0)}T${time}:00Z`);
		await page.click('.open-failures button');
		await page.fill('#how', 'A new cable.');
		await page.click('#repair .main');
		await rest(page);
	};
	const found = async (time) => {
		await page.clock.setFixedTime(`${ago(0)}T${time}:00Z`);
		await page.click('.acts > .report');
		await page.click('#report .choice:has(input[name="mode"][value="cable_broken"])');
		await page.click('#report .main');
		await rest(page);
	};

	await found('06:05');
	assert.equal(last().at, `${ago(0)}T06:05:00.000Z`);
	await made('07:10');
	assert.equal(last().at, `${ago(0)}T07:10:00.000Z`);
	assert.ok((await grade()).reasons.includes('failure_not_proved'), 'the commissioning at 05:00 proves nothing of it');

	await found('09:00');
	await commissioned('10:00');
	await page.reload();
	await rest(page);
	await made('10:30');
	assert.equal('at' in last(), false, 'the commissioning at 10:00 came after the making good, whenever that is said');
	assert.notEqual((await grade()).grade, 'act');
	await page.context().close();
});

test('the day that is offered is the register\'s, whatever zone the device is in', async () => {
	for (const [where, field] of [[path('V-0043'), '#day'], [attach('V-0043'), '#made']]) {
		const page = await tablet(where, { context: { timezoneId: 'Pacific/Kiritimati' } });

		await at(page, where, ago(0), '20:00');   // there it is ten in the morning of the next day
		assert.equal(await page.inputValue(field), ago(0));
		await page.context().close();
	}
});
