import assert from 'node:assert/strict';
import { test } from 'node:test';

import { newUuid } from '../../static/js/logic/uuid.js';
import { begin } from './support/begin.mjs';
import { rest, TABLET } from './support/browser.mjs';
import { ago } from './support/railway.mjs';

const { open, api, railway, served } = await begin();
const number = (label) => railway.bonds.get(label);
const path = (label) => `/bonds/${number(label)}/attach?end=a`;
const tablet = (where, more = {}) => open(where, { who: 'crew', size: TABLET, touch: true, ...more });
const attachments = async (label) => (await api.get(`/api/attachments?bond=${number(label)}`)).rows;
const { rulebook } = await api.get('/api/rulebook');
const clear = rulebook.spot_clearance_mm;

const tap = (page, selector) => page.locator(selector).tap();
const choose = (page, name, value) => page.locator(`.choice:has(input[name="${name}"][value="${value}"])`).tap();
const state = (page) => page.textContent('.state .words');
const save = (page) => tap(page, 'form button.main');
const spot = (page) => page.textContent('.spot > .result');

async function saved(page, title = 'Saved on the server') {
	await page.waitForFunction((wanted) => document.querySelector('main > .result h2').textContent === wanted, title);
	await rest(page);
}

/** All checks of a brazed pin, good. */
async function allGood(page) {
	for (const check of ['ground_bright', 'battery_charged', 'gun_flush', 'hammer_passed', 'solder_all_round'])
		await choose(page, check, 'yes');
	for (const [name, value] of [['arc_s', '2'], ['hold_s', '2'], ['stub_mm', '1,5']])
		await page.fill(`[name="${name}"]`, value);
}

for (const label of ['V-0060', 'V-0061', 'V-0062', 'V-0067', 'V-0068'])
	await api.put(`/api/attachments/${newUuid()}`, { bond_id: number(label), end: 'a', made_day: ago(400), method: 'brazed_pin', offset_mm: 120 });

test('warns of a spoilt spot at once, and takes the next free one by one tap', async () => {
	const page = await tablet(path('V-0060'));

	for (const [wrong, why] of [['12,5', /whole millimetres/], ['100001', /from \u2212100000 to 100000 mm/], ['x', /not a number/]]) {
		await page.fill('#offset', wrong);
		assert.match(await spot(page), why);
		assert.doesNotMatch(await spot(page), /^Free/);
	}
	await page.fill('#offset', '-');
	assert.match(await spot(page), /Say where it goes/);
	await page.fill('#offset', '100000');
	assert.match(await spot(page), /Not here.*more than 2000 mm from where this end is/);
	await page.fill('#offset', '130');
	assert.match(await spot(page), new RegExp(`Not here: this spot is spoilt.*Not at 130 mm: too near to the live attachment at 120 mm, clearance ${clear} mm`));
	assert.match(await spot(page), /save it as it is: it is not accepted, and the planner is shown it/);
	assert.match(await page.textContent('.accept > .result'), /Not accepted: this spot is spoilt/);
	assert.match(await page.textContent('.spot > .unknowns'), /Rail ends are not known here: look.*Welds.*Bolt holes/s);

	assert.equal(await page.textContent('.take'), `Take the next free place: +${120 + clear} mm`);
	await tap(page, '.take');
	assert.equal(await page.inputValue('#offset'), String(120 + clear));
	assert.match(await spot(page), /^Free/);
	await allGood(page);
	assert.match(await page.textContent('.accept > .result .verdict'), /Good so far: the commissioning reading decides/);
	await choose(page, 'kit', 'K-9');
	await page.fill('#batch', 'F2001');
	await save(page);
	await saved(page);
	assert.match(await page.textContent('main > .result'), /Good so far/);
	assert.equal(await page.getAttribute('.commission', 'href'), `/bonds/${number('V-0060')}/inspect?purpose=commissioning`);
	const live = (await attachments('V-0060')).find((one) => one.live);
	assert.deepEqual([live.offset_mm, live.kit, live.batch, live.done_by, live.hammer_passed, live.arc_s, live.stub_mm], [120 + clear, 'K-9', 'F2001', 'Colm Hart', true, 2, 1.5]);

	await tap(page, '.commission');
	await page.waitForURL('**/inspect?purpose=commissioning');
	await rest(page);
	assert.ok(await page.isChecked('input[name="purpose"][value="commissioning"]'));
	await page.goto(served.url + path('V-0063'));
	await rest(page);
	assert.ok(await page.isChecked('input[name="kit"][value="K-9"]'), 'the kit used last is chosen');
});

test('a spoilt spot that was used all the same is saved as it is, not accepted, and listed for the planner', async () => {
	const page = await tablet(path('V-0067'));

	await page.fill('#offset', '100');
	await allGood(page);
	await save(page);
	await saved(page);
	assert.match(await page.textContent('main > .result'), /100 mm is too near to the spoilt spot at 120 mm \(V-0067, end A, made on .*Not accepted: this spot is spoilt/s);
	assert.equal(await page.isVisible('.commission'), false);
	assert.equal(await page.isVisible('.mended'), false);
	const planner = await open('/list?of=used-spots');
	assert.match(await planner.textContent('tbody'), /V-0067.*100 mm is too near to the spoilt spot at 120 mm/s);
	const home = await open('/');
	assert.equal(await home.getAttribute('.to-spots > a', 'href'), '/list?of=used-spots');
	const bond = await open(`/bonds/${number('V-0067')}`);
	assert.match(await bond.textContent('.ends > [data-end="a"] dd.bad'), /^not accepted, the spot is spoilt: 100 mm is too near/);
});

test('another bond on the same rail stands in the way, too', async () => {
	const near = { line: 'VAL', kind: 'feeder_lead', a_track: 'Up', a_rail: 'left', b_on: 'equipment', b_structure: 'Hut', installed_day: ago(900), length_m: 6 };
	const first = (await api.post('/api/bonds', { ...near, label: 'V-9300', a_chainage: '50+000' })).id;
	const second = (await api.post('/api/bonds', { ...near, label: 'V-9301', a_chainage: '50+001' })).id;
	await api.put(`/api/attachments/${newUuid()}`, { bond_id: first, end: 'a', made_day: ago(400), method: 'bolted', offset_mm: 0 });
	await api.put(`/api/attachments/${newUuid()}`, { bond_id: second, end: 'a', made_day: ago(400), method: 'bolted', offset_mm: -800 });
	const page = await tablet(`/bonds/${first}/attach`);

	await choose(page, 'end', 'a');
	await page.fill('#offset', String(200 - clear + 1));
	assert.match(await spot(page), /too near to the live attachment at 200 mm/);
	assert.match(await page.textContent('.spot .rail-list'), /Live attachment at \+200 mm \(V-9301 A, drilled and bolted/);
	assert.match(await page.textContent('.spot > .unknowns'), /reach across/);
});

test('names the ends by what a person can check, chooses none, and says where they read alike', async () => {
	const texts = (page) => page.locator('[data-name="end"] .choice').allTextContents();
	const { id } = await api.post('/api/bonds', { line: 'VAL', label: 'JOINT', kind: 'rail_joint', a_track: 'Up', a_rail: 'left', a_chainage: '90+001', b_chainage: '90+000' });
	const joint = await tablet(`/bonds/${id}/attach`);
	assert.deepEqual(await texts(joint), ['higher-chainage side of the joint: Up, left rail (cess), at 90+001', 'lower-chainage side of the joint: Up, left rail (cess), at 90+000']);
	assert.equal(await joint.textContent('.alike'), '');
	assert.equal(await joint.locator('[name="end"]:checked').count(), 0);
	await save(joint);
	assert.match(await joint.textContent('fieldset:has([name="end"]) .problem'), /Say which end was fixed/);

	const alike = await tablet(`/bonds/${number('V-0001')}/attach`);
	assert.deepEqual(await texts(alike), ['end A: not told apart on record from end B, note where it is', 'end B: not told apart on record from end A, note where it is']);
	assert.match(await alike.textContent('.alike'), /Nothing on record tells the two ends of this bond apart/);
});

test('judges each check while it is typed: solder that is not all round spoils the spot', async () => {
	const page = await tablet(path('V-0061'));

	await page.fill('#offset', '400');
	await allGood(page);
	await choose(page, 'solder_all_round', 'no');
	assert.match(await page.textContent('.accept > .result .verdict'), /Not accepted: this spot is spoilt/);
	assert.match(await page.textContent('.accept > .result .said [data-verdict="over"]'), /not even all round/);
	// what is spoilt at 400 and at 120: the nearest free place to 400 is one clearance away
	assert.match(await page.textContent('.accept > .result .means'), new RegExp(`next free place is then \\+${400 - clear} mm`));
	await save(page);
	await saved(page);
	assert.match(await page.textContent('main > .result'), /Not accepted: this spot is spoilt/);
	assert.equal(await page.isVisible('.commission'), false);
	assert.equal(await page.isVisible('.mended'), false);

	const bond = await open(`/bonds/${number('V-0061')}`);
	assert.match(await bond.textContent('.ends > [data-end="a"] dd.bad'), /^not accepted, the spot is spoilt: .*not even all round/, 'the bond says which and why');
	await tap(page, '.result > .next');
	await page.fill('#offset', '400');
	assert.match(await spot(page), /Not here/);
});

test('a stub of 3 mm is ground and recorded again at the same spot: no second heat', async () => {
	const page = await tablet(path('V-0068'));

	await page.fill('#offset', '400');
	await allGood(page);
	await page.fill('[name="stub_mm"]', '3');
	assert.match(await page.textContent('.accept > .result'), /Not accepted yet: to be mended here.*Grind the stub to at most 2 mm, then record it again/s);
	assert.doesNotMatch(await page.textContent('.accept > .result'), /next free place|another one/);
	await save(page);
	await saved(page);
	assert.match(await page.textContent('main > .result'), /Grind the stub to at most 2 mm, then record it again.*Not accepted yet: to be mended here/s);
	const bond = await open(`/bonds/${number('V-0068')}`);
	assert.match(await bond.textContent('.ends > [data-end="a"] dd.bad'), /^not accepted, can be mended here: The stub stands 3 mm proud/);
	await tap(page, '.result > .mended');
	await rest(page);
	assert.match(await page.textContent('form > .notice'), /replaces what was recorded before/);
	assert.equal(await page.inputValue('#offset'), '400');
	assert.match(await spot(page), /^Free/, 'it does not stand in its own way');
	await page.fill('[name="stub_mm"]', '1,5');
	await save(page);
	await saved(page);
	assert.match(await page.textContent('main > .result'), /Good so far/);
	const live = (await attachments('V-0068')).filter((one) => one.live);
	assert.deepEqual(live.map((one) => [one.offset_mm, one.stub_mm, one.spot_taken]), [[400, 1.5, false]]);
});

test('asks only what applies to the method', async () => {
	const page = await tablet(path('V-0062'));
	const asked = () => page.locator('[data-check]:visible').evaluateAll((all) => all.map((el) => el.dataset.check));

	await choose(page, 'method', 'bolted');
	assert.deepEqual(await asked(), ['ground_bright']);
	await choose(page, 'method', 'brazed_pin');
	assert.equal((await asked()).length, 8);
	await page.fill('[name="stub_mm"]', '1');
	await choose(page, 'method', 'bolted');
	await page.fill('#offset', '300');
	await save(page);
	await saved(page);
	const live = (await attachments('V-0062')).find((one) => one.live);
	assert.deepEqual([live.method, live.stub_mm], ['bolted', null]);
});

test('keeps the draft, and says what is wrong beside its field', async () => {
	const page = await tablet(path('V-0064'));

	await page.fill('#offset', '12,x');
	await page.fill('#note', 'Rain.');
	await page.reload();
	await rest(page);
	assert.equal(await page.inputValue('#offset'), '12,x');
	assert.match(await state(page), /Not sent yet/);
	await save(page);
	assert.match(await page.textContent('.field:has(#offset) .problem'), /not a number/);
	await page.fill('#offset', '-12');
	await tap(page, '.signed > .sign');
	assert.equal(await page.inputValue('#offset'), '12');
	await tap(page, '.again');
	assert.equal(await page.inputValue('#note'), '');
	await tap(page, '.undo > button');
	assert.equal(await page.inputValue('#note'), 'Rain.');
});

test('keeps what is saved while nobody answers, and sends it once', async () => {
	const page = await tablet(path('V-0065'));

	await page.fill('#offset', '60');
	await page.route('**/api/attachments/*', (route) => route.abort());
	await save(page);
	await saved(page, 'Not sent yet: kept on this tablet');
	assert.match(await state(page), /1 saved on this tablet, not sent/);
	await page.unroute('**/api/attachments/*');
	await page.locator('main > .result .send-now').tap();
	await saved(page);
	assert.equal((await attachments('V-0065')).length, 1);
	assert.match(await state(page), /Saved on the server/);
});

test('a tablet without the rules says that it cannot tell, and the server says what it was', async () => {
	await api.put(`/api/attachments/${newUuid()}`, { bond_id: number('V-0066'), end: 'a', made_day: ago(400), method: 'brazed_pin', offset_mm: 120 });
	const page = await tablet(path('V-0066'), {});

	await page.route('**/*.wasm', (route) => route.abort());
	await page.reload();
	await rest(page);
	assert.equal(await page.isVisible('.spot > .unknown'), true);
	await page.fill('#offset', '130');
	await save(page);
	await saved(page);
	assert.match(await page.textContent('main > .result'), /130 mm is too near to the spoilt spot at 120 mm/);
});

test('who made it is who is signed in; another name is marked at once and said', async () => {
	const page = await tablet(path('V-0065'));

	assert.equal(await page.inputValue('#person'), 'Colm Hart');
	await page.fill('#offset', '400');
	await page.fill('#person', 'J. Pell');
	assert.equal(await page.textContent('.doer'), 'You, Colm Hart, enter this for J. Pell.');
	await save(page);
	await saved(page);
	const [row] = await attachments('V-0065');
	assert.deepEqual([row.done_by, row.entered_by], ['J. Pell', 'Colm Hart']);
	await page.goto(served.url + path('V-0066'));
	await rest(page);
	assert.equal(await page.inputValue('#person'), 'Colm Hart');
	const bond = await open(`/bonds/${number('V-0065')}`);
	assert.ok((await bond.textContent('.ends')).includes(`entered by Colm Hart for J. Pell on ${ago(0)}`));
});

test('a crew that goes on with an attachment that another began is not recorded under that name', async () => {
	const page = await tablet(path('V-0067'), { who: 'planner' });
	const other = await open('/', { who: 'crew' });

	await page.fill('#offset', '400');
	await page.context().clearCookies();
	await page.context().addCookies(await other.context().cookies());
	await page.goto(served.url + path('V-0067'));
	await rest(page);
	assert.equal(await page.inputValue('#person'), 'Colm Hart');
	assert.match(await page.textContent('form > .notice'), /Pia Noor began this on this tablet.*it says that you made it/);
	await save(page);
	await saved(page);
	const [row] = await attachments('V-0067');
	assert.deepEqual([row.done_by, row.entered_by], ['Colm Hart', 'Colm Hart']);
});
