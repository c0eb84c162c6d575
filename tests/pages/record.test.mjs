/* One bond of a round on one screen: by two taps and the digits, with the server really gone. */
import assert from 'node:assert/strict';
import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { test } from 'node:test';

import { blankVisit, judgeVisit, putBy, visitBody } from '../../static/js/logic/bond-visit.js';
import { loadRules } from '../../static/js/logic/rules.js';
import { newUuid } from '../../static/js/logic/uuid.js';
import { begin } from './support/begin.mjs';
import { TABLET, wrongs } from './support/browser.mjs';
import { ago, TODAY } from './support/railway.mjs';
import { rounds, tooNear, tooSmall } from './support/round.mjs';

const LABELS = ['V-0003', 'V-0008', 'V-0001', 'V-0013'];   // cross bonds, and a joint bond the third
const SIZES = [[820, 1180], [1280, 800], [360, 740]];
const program = await begin();
const { served, api, railway } = program;
const { number, make, opened, sent } = rounds(program, LABELS);

const ready = (page, label) => page.waitForFunction((name) => document.querySelector('.record')?.getAttribute('aria-label') === name, label);
/* (a tap on what has just come counts as one on what was there) */
const settle = (page) => page.waitForTimeout(650);
const key = (page, name) => page.locator(`[data-key="${name}"]`).tap();
/* (without a pause between them: a question waits until the typing rests) */
async function keys(page, text) {
	const at = await page.$$eval('[data-key]', (all) => Object.fromEntries(all.map((one) => {
		const { x, y, width, height } = one.getBoundingClientRect();
		return [one.dataset.key, [x + width / 2, y + height / 2]];
	})));

	await Promise.all(Array.from(text, (one) => page.touchscreen.tap(...at[one])));
}
const choose = async (page, words) => { await settle(page); await page.locator(`.choosing > button:text-is("${words}")`).tap(); await settle(page); };

/** A bond of a round; the meter was chosen at the depot, and the temperature measured lately. */
async function open(label, uuid, how = {}) {
	const page = await opened(uuid ?? await make(), '#depot', how);

	await page.locator('.view button:text-is("M-204")').tap();
	await page.waitForSelector('.view button[aria-pressed="true"]');
	await page.evaluate(() => new Promise((done) => {
		const uuid_ = location.pathname.split('/')[2];
		const asked = indexedDB.open('bondbook-rounds');
		asked.onsuccess = () => {
			const tx = asked.result.transaction('nights', 'readwrite');
			tx.objectStore('nights').put({ uuid: uuid_, instrument: 'M-204', temp_c: 20, temp_at_ms: Date.now() });
			tx.oncomplete = () => { asked.result.close(); done(); };
		};
	}));
	await page.evaluate((id) => { location.hash = `record=${id}`; }, number(label));
	await page.reload();
	await ready(page, label);
	await page.waitForFunction(() => performance.getEntriesByType('resource').some(({ name }) => name.endsWith('.wasm')));
	return page;
}
const figure = (page) => page.textContent('.record > .figure > b');
const verdict = (page) => page.locator('.record > .verdict [data-verdict]').first().getAttribute('data-verdict');
const save = async (page) => { await settle(page); await page.locator('.record > .save').tap(); };
const readings = async (label) => (await api.get(`/api/readings?bond=${number(label)}&limit=500`)).rows;

async function countTaps(page) {
	await page.evaluate(() => {
		window.taps = 0;
		addEventListener('pointerdown', () => { window.taps++; }, true);
	});
	return () => page.evaluate(() => window.taps);
}

test('a routine bond is two taps and the digits; saved without the server, and received once as the tablet judged it', async () => {
	const uuid = await make();
	const page = await open('V-0003', uuid);

	await served.stop();
	const taps = await countTaps(page);
	await settle(page);
	await page.locator('.both').tap();
	await keys(page, '101');
	const told = await verdict(page);
	await page.locator('.record > .save').tap();
	await ready(page, 'V-0008');
	assert.equal(await taps(), 2 + '101'.length);
	assert.match(await page.textContent('.record > .verdict'), /V-0003: saved on this tablet/);
	await page.goto(`${served.url}/round/${uuid}#walk`);
	await page.waitForSelector(`.walk > li[data-bond="${number('V-0003')}"] .became:text-is("done")`);

	await sent(page);
	const found = (await readings('V-0003')).filter(({ shown_uohm: shown }) => shown === 101);
	assert.deepEqual(found.map(({ verdict: is, instrument, temp_c: temp }) => [is, instrument, temp]), [['within', 'M-204', 20]]);
	assert.equal(told, 'within');
	await page.context().close();
});

test('nothing is good before it is said, no verdict outlives its figure, and no figure goes to another bond', async () => {
	const page = await open('V-0003');

	assert.equal(await page.locator('.end[data-said="good"], .record [aria-pressed="true"]:not([data-key])').count(), 0);
	await keys(page, '100');
	await page.waitForSelector('.record > .verdict [data-verdict]');
	for (let i = 0; i < 3; i++)
		await key(page, 'back');
	assert.equal(await page.locator('.record > .verdict [data-verdict]').count(), 0);
	await key(page, '7');
	await page.evaluate((id) => { location.hash = `record=${id}`; }, number('V-0008'));
	await ready(page, 'V-0008');
	assert.equal(await figure(page), '– µΩ');
	await page.evaluate((id) => { location.hash = `record=${id}`; }, number('V-0003'));
	await ready(page, 'V-0003');
	await page.waitForFunction(() => document.querySelector('.figure > b').textContent === '7 µΩ');
	await page.context().close();
});

test('a figure put by can be taken back, and what is asked of it stops saving until it is answered', async () => {
	const page = await open('V-0003');

	await page.locator('.both').tap();
	await keys(page, '1');   // hardly the ohms of a cable
	await key(page, 'next');
	assert.match(await page.textContent('.record > .figure'), /1 µΩ/);
	await keys(page, '100');
	await save(page);
	await settle(page);
	assert.match(await page.textContent('.choosing'), /Far below what it can be.*Two readings of this visit do not agree/);
	assert.match(await page.textContent('.record > .save'), /a question is open/);
	await choose(page, 'Back to the figure');
	for (let i = 0; i < 4; i++)
		await key(page, 'back');
	assert.equal(await figure(page), '1 µΩ', 'the first stands in the field again');
	await key(page, 'back');
	await keys(page, '100');
	await page.waitForFunction(() => document.querySelector('.save').hasAttribute('data-ready'));

	await key(page, 'next');
	await keys(page, '100.2');
	assert.match(await page.textContent('.record > .verdict'), /read twice/);
	await page.context().close();
});

test('a question takes the place of the keys; the unit is a tap, and what is left asked is recorded as asked', async () => {
	const page = await open('V-0003');

	await page.locator('.both').tap();
	await keys(page, '.1');
	await page.waitForSelector('.choosing');
	assert.equal(await page.locator('.record > .verdict [data-verdict="within"]').count(), 0);
	await choose(page, 'It is in mΩ');
	assert.equal(await figure(page), '.1 mΩ');
	assert.equal(await verdict(page), 'within');
	await key(page, 'micro');
	await page.waitForSelector('.choosing');
	await choose(page, 'Leave it asked');
	await page.waitForFunction(() => document.querySelector('.save').hasAttribute('data-ready'));
	await settle(page);
	await key(page, '2');   // another figure is another question
	await page.waitForFunction(() => !document.querySelector('.save').hasAttribute('data-ready'));
	await page.context().close();
});

test('a word of a broken path brings its caution, and whether it failed is said before it is saved', async () => {
	const page = await open('V-0008');

	await page.locator('.end').first().tap();
	await choose(page, 'missing');
	await settle(page);
	assert.match(await page.textContent('.choosing'), /Never bridge it by hand.*Did it fail\?/);
	await page.locator('.record > .save').tap();
	assert.match(await page.textContent('.record > .save'), /say whether the bond failed/);
	await choose(page, 'it failed');
	await choose(page, 'missing');
	await page.locator('.both').tap();
	await save(page);
	await ready(page, 'V-0013');
	await page.context().close();
});

test('undo brings back what was keyed, until something is done at the next bond', async () => {
	const page = await open('V-0003');

	await page.locator('.both').tap();
	await keys(page, '99');
	await save(page);
	await ready(page, 'V-0008');
	await page.locator('.undo-it').tap();
	await ready(page, 'V-0003');
	await page.waitForFunction(() => document.querySelector('.figure > b').textContent === '99 µΩ');
	await save(page);
	await ready(page, 'V-0008');
	await key(page, '4');
	assert.equal(await page.locator('.undo-it').count(), 0);
	await page.context().close();
});

/* Values as broken cables beside fishplates give them, and sound ones: each read at a bond of its own. */
const FIGURES = [0.3, 2, 9, 30, 60, 80, 90, 100, 112, 118, 125, 150, 240, 500, 1200];
const KIND_AT = { rail_joint: 0, structure: 1, track_cross: 2 };

test('the tablet says of each reading what the server says: joint bonds over a fishplate, other kinds beside another path', async () => {
	const folder = join(dirname(process.env.BONDBOOK), '../static');
	const rules = await loadRules(readFileSync(join(folder, readdirSync(folder).find((name) => name.endsWith('.wasm')))));
	const labelOf = (kind, i) => `V-${String(46 + 5 * i + KIND_AT[kind]).padStart(4, '0')}`;
	const cases = Object.keys(KIND_AT).flatMap((kind) => FIGURES.flatMap((figure_, i) =>
		[[], [1.3]].map((more, n) => ({ kind, figure: figure_, more, label: labelOf(kind, i + n * FIGURES.length) }))));
	const uuid = newUuid();

	await api.put(`/api/rounds/${uuid}`, { work: 'inspect', crew: 'Crew', persons: ['Colm Hart'], shift_day: TODAY, begins: '23:40', ends: '03:40',
		bonds: [...new Set(cases.map(({ label }) => railway.bonds.get(label)))] });
	const pack = await api.get(`/api/rounds/${uuid}/tablet`);
	rules.adopt(pack.rulebook);
	const said = [], is = [];
	for (const { kind, figure: value, more, label } of cases) {
		const { known, bond_id: id } = pack.bonds.find((one) => one.bond_id === railway.bonds.get(label));
		const proof = pack.rulebook.proof[kind];
		const night = { day: TODAY, instrument_id: pack.instruments.find(({ serial }) => serial === 'M-204').id, temp: { temp_c: '20' }, temp_c: 20 };
		const visit = { ...blankVisit({ bond_id: id, proof }), quantity: 'end_to_end', seen: { a: 'good', b: 'good' }, cables_whole: '2', text: String(value), temp_c: '20' };
		for (const factor of more) {
			putBy(visit, night);
			visit.text = String(value * factor);
		}
		const [{ answer, isOpen }] = judgeVisit(rules, { ...known, instruments: pack.meters }, visit, night);
		const { body, errors } = visitBody(visit, night, { round: uuid, cables: 2, proof, now: Date.now() });
		assert.deepEqual(errors, []);
		const { readings: got } = await api.put(`/api/inspections/${visit.uuid}`, body);
		const what = `${kind} ${label}: ${value} ${more}`;
		said.push(`${what}: ${isOpen ? 'open' : `${answer.verdict} ${answer.in_circuit}`}`);
		is.push(`${what}: ${got.at(-1).status === 'open' ? 'open' : `${got.at(-1).verdict} ${Boolean(got.at(-1).only_over)}`}`);
		if (kind === 'rail_joint')
			assert.notEqual(answer.verdict, 'within', `${what}: over a fishplate nothing is within`);
	}
	assert.deepEqual(said, is);
	assert.ok(['open', 'over', 'none', 'within'].every((word) => said.some((one) => one.includes(`: ${word}`))), 'of each kind there was one');
});

test('a joint bond over a fishplate gets no good verdict on the screen, and is sent to its contacts', async () => {
	const page = await open('V-0001', undefined, { size: { width: 1280, height: 800 } });

	assert.match(await page.textContent('.what'), /contact at end A/);
	await page.locator('.what').tap();
	await choose(page, 'end to end');
	await settle(page);
	await keys(page, '90');
	assert.equal(await page.locator('.record > .verdict [data-verdict="within"]').count(), 0);
	assert.match(await page.textContent('.record > .verdict'), /read with what lies beside it|not judged yet|proves nothing good/);
	await page.context().close();
});

for (const width of [320, 360]) {
	test(`the two ends are told apart in full at ${width} px`, async () => {
		const page = await open('V-0003', undefined, { size: { width, height: 740 } });
		const ends = await page.$$eval('.end', (all) => all.map((one) => {
			const box = one.getBoundingClientRect();
			const inside = (el) => { const { left, right, top, bottom } = el.getBoundingClientRect(); return left >= box.left && right <= box.right && top >= box.top && bottom <= box.bottom; };
			const cut = [one, ...one.querySelectorAll('*')].some((el) => el.scrollWidth > el.clientWidth + 1 && getComputedStyle(el).overflow !== 'visible' && !el.matches('.common'));

			return { seen: Array.from(one.querySelectorAll('b > span:not(.common)'), ({ innerText: text }) => text).join(' '), name: one.textContent, whole: !cut && Array.from(one.querySelectorAll('span:not(.common)')).every(inside) };
		}));

		assert.deepEqual(ends.map(({ whole }) => whole), [true, true]);
		assert.deepEqual(ends.map(({ seen }) => seen), ['Up, right rail', 'Down, left rail']);
		assert.match(ends[0].name, /Up, right rail \(six-foot\)/);
		await page.context().close();
	});
}

for (const [width, height] of SIZES) {
	for (const dark of [false, true]) {
		test(`all is on one screen, large enough and apart, at ${width} x ${height}${dark ? ', dark' : ''}`, async () => {
			const page = await open('V-0003', undefined, { size: { width, height }, dark });
			const picture = (name) => process.env.PICTURES && page.screenshot({ path: `${process.env.PICTURES}/record-${name}-${width}-${dark ? 'dark' : 'light'}.png` });
			const look = async (name) => {
				assert.deepEqual(await page.evaluate(tooSmall, 64), [], name);
				assert.deepEqual(await page.evaluate(tooNear, 12), [], name);
				assert.deepEqual(await page.evaluate(() => [document.documentElement.scrollHeight > innerHeight, document.documentElement.scrollWidth > innerWidth]), [false, false], `${name}: nothing scrolls`);
				assert.deepEqual(await wrongs(page), [], name);
				await picture(name);
			};

			await look('blank');
			await settle(page);
			await page.locator('.both').tap();
			await keys(page, '101');
			await look('keyed');
			assert.deepEqual(await page.$$eval('.keypad > button', (all) => all.filter((one) => one.offsetHeight < 72 || one.offsetWidth < 72).map(({ textContent: text }) => text)), [], 'keys of 72 px');
			assert.ok((await page.locator('.record > .save').boundingBox()).height >= 87.5);
			assert.ok(await page.$eval('.figure > b', (el) => parseFloat(getComputedStyle(el).fontSize)) >= 32);
			await page.locator('.end').first().tap();
			await picture('end');
			await settle(page);
			await page.locator('.more').tap();
			await settle(page);
			await picture('more');
			assert.deepEqual(await wrongs(page), []);
			await page.context().close();
		});
	}
}

test('with text of twice the size nothing is cut off or lies over another', async () => {
	const page = await open('V-0003', undefined, { size: TABLET });

	await page.evaluate(() => { document.documentElement.style.fontSize = '200%'; });
	await page.locator('.both').tap();
	await keys(page, '101');
	assert.ok(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth));
	assert.deepEqual(await page.$$eval('.record button', (all) => all.filter((one) => one.offsetParent && one.scrollWidth > one.clientWidth + 1).map(({ textContent: text }) => text)), []);
	if (process.env.PICTURES)
		await page.screenshot({ path: `${process.env.PICTURES}/record-large.png`, fullPage: true });
	await page.context().close();
});

const past = async (page, label) => {
	await page.evaluate((id) => { location.hash = `past=${id}`; }, number(label));
	await page.waitForSelector(`.view h2:text-is("${label}: recorded tonight")`);
};
const press = async (page, words) => { await settle(page); await page.locator(`.view :is(a, button):text-is("${words}")`).first().tap(); };
const inspections = async (label) => (await api.get(`/api/inspections?bond=${number(label)}&limit=500`)).rows.filter(({ day }) => day === TODAY);

test('what was recorded tonight is corrected, moved and withdrawn without the server, and all of it is received', async () => {
	const standing = async () => (await inspections('V-0003')).filter(({ replaced, withdrawn }) => !replaced && !withdrawn).length;
	const had = await standing();
	const page = await open('V-0003');

	await served.stop();
	await page.locator('.both').tap();
	await keys(page, '104');
	await save(page);
	await ready(page, 'V-0008');

	await past(page, 'V-0003');
	assert.match(await page.textContent('.view'), /Inspection: complete · ends good, good · 104 µΩ · saved, not sent/);
	await press(page, 'Correct it');
	await page.waitForSelector('.record .save:has-text("SAVE THE CORRECTION")');
	assert.equal(await figure(page), '104 µΩ');
	await settle(page);
	await key(page, 'back');
	await key(page, '3');
	await save(page);
	await settle(page);
	assert.match(await page.textContent('.choosing'), /Why is it corrected/);
	await choose(page, 'keyed wrong');
	await save(page);
	await page.waitForSelector('.walk');

	await past(page, 'V-0003');
	await press(page, 'It was another bond');
	await press(page, 'V-0013');
	await ready(page, 'V-0013');
	assert.equal(await figure(page), '103 µΩ');
	await save(page);
	await page.waitForSelector('.walk');
	await past(page, 'V-0013');
	assert.match(await page.textContent('.view'), /103 µΩ · saved, not sent/);
	await past(page, 'V-0003');
	assert.equal(await page.locator('.view a:text-is("Correct it")').count(), 0, 'it is no entry of this bond any more');

	await past(page, 'V-0013');
	await press(page, 'Withdraw it');
	await press(page, 'it was not done');
	await page.waitForFunction(() => !document.querySelector('.recorded a'));
	await page.waitForTimeout(13000);   // (what can be undone is not sent)
	await sent(page);
	assert.equal(await page.locator('#refused li').count(), 0);
	assert.equal(await standing(), had, 'neither it nor what it corrected stands');
	assert.deepEqual((await inspections('V-0013')).map(({ withdrawn }) => withdrawn), [true]);
	await page.context().close();
});

for (const [width, height] of [[820, 1180], [360, 740]]) {
	test(`the history of a bond at ${width} px: targets, gaps, colours`, async () => {
		const page = await open('V-0003', undefined, { size: { width, height }, dark: width < 400 });

		await past(page, 'V-0003');
		assert.deepEqual(await page.evaluate(tooSmall, 64), []);
		assert.deepEqual(await page.evaluate(tooNear, 12), []);
		assert.deepEqual(await wrongs(page), []);
		assert.match(await page.textContent('.view'), /Rail ends are not known here: look/);
		if (process.env.PICTURES)
			await page.screenshot({ path: `${process.env.PICTURES}/past-${width}.png`, fullPage: true });
		await page.context().close();
	});
}
