/* Each way in which something that was typed or saved was once lost, sent twice, or kept out of sight. */
import assert from 'node:assert/strict';
import { test } from 'node:test';

import { newUuid } from '../../static/js/logic/uuid.js';
import { begin } from './support/begin.mjs';
import { rest, wrongs } from './support/browser.mjs';
import { inspecting } from './support/inspecting.mjs';
import { ago } from './support/railway.mjs';

const { open, api, railway, served } = await begin();
const { number, path, tablet, inspections, choose, state, save, saved } = inspecting({ open, api, railway });
const bondPage = (label) => `/bonds/${number(label)}`;
const failures = async (label) => (await api.get(`/api/failures?bond=${number(label)}`)).rows;
const links = (page) => page.locator('.queue > a').allTextContents();
const items = (page, list) => page.locator(`#${list} .kept > li`);
const today = (rows) => rows.filter(({ day }) => day === ago(0));

async function go(page, where) {
	await page.goto(served.url + where);
	await rest(page);
}

async function another(page, where) {
	const next = await page.context().newPage();
	await go(next, where);
	return next;
}

/** No request of this kind comes through, until the given function is called. */
async function cut(page, what = '*') {
	const pattern = new RegExp(`/api/${what === '*' ? '(inspections|attachments|failures|repairs|withdrawals|deferrals)' : what}/[0-9a-f-]{36}$`);

	await page.context().route(pattern, (route) => route.abort());
	return () => page.context().unroute(pattern);
}

async function partly(page, note) {
	await choose(page, 'outcome', 'partly');
	await page.fill('#note', note);
}

async function sendNow(page) {
	await page.locator('.send-now').filter({ visible: true }).first().click();
	await rest(page);
}

async function signIn(page, who) {
	const other = await open('/', { who });

	await page.context().clearCookies();
	await page.context().addCookies(await other.context().cookies());
	await other.context().close();
}

/** What was kept of the device, as its pages have it. */
const kept = (page, name) => page.evaluate((store) => new Promise((resolve, reject) => {
	const asked = indexedDB.open('bondbook');
	asked.onerror = reject;
	asked.onsuccess = () => {
		const all = asked.result.transaction(store).objectStore(store).getAll();
		all.onsuccess = () => {
			asked.result.close();
			resolve(all.result);
		};
	};
}), name);

async function reportFailure(page, mode = 'burnt') {
	await page.click('.acts > .report');
	await page.check(`#report [name="mode"][value="${mode}"]`);
	await page.click('#report .main');
}

test('a form takes nothing in before it has its id', async () => {
	const page = await tablet('/queue');
	let go_on;
	const waits = new Promise((resolve) => { go_on = resolve; });

	await page.route(`**/api/bonds/${number('V-0001')}`, async (route) => {
		await waits;
		await route.continue();
	});
	await page.goto(served.url + path('V-0001'));
	await page.waitForSelector('form .caution');
	assert.equal(await page.locator('form :is(input, textarea, button)').filter({ visible: true }).count(), 0, 'nothing to type into');
	await page.keyboard.press('Tab');
	await page.keyboard.type('lost');
	go_on();
	await page.waitForSelector('form:not([data-state])');
	await partly(page, 'typed after that');
	const sent = page.waitForRequest('**/api/inspections/*');
	await save(page);
	await saved(page);
	assert.match((await sent).url(), /\/api\/inspections\/[0-9a-f-]{36}$/);
	assert.equal(today(await inspections('V-0001'))[0].note, 'typed after that');
});

test('two tabs of one bond have a draft each, and both are kept and sent', async () => {
	const one = await tablet(path('V-0002'));
	await one.fill('#note', 'of the first tab');
	const two = await another(one, path('V-0002'));

	assert.equal(await two.inputValue('#note'), '');
	assert.match(await two.textContent('form > .notice'), /open on another page of this device: go on there\. What you type here is another inspection/);
	await two.fill('#note', 'of the second tab');
	await rest(two);
	assert.equal((await kept(two, 'drafts')).length, 2);
	await one.close();
	const three = await another(two, '/queue');
	assert.equal(await items(three, 'unfinished').count(), 2);
	await two.close();
	await items(three, 'unfinished').last().locator('.go-on').click();
	await three.waitForURL('**/inspect?entry=*');
	await three.waitForSelector('form:not([data-state])');
	assert.equal(await three.inputValue('#note'), 'of the first tab', 'the one that was chosen');
	await choose(three, 'outcome', 'partly');
	await save(three);
	await saved(three);
	await go(three, path('V-0002'));
	assert.equal(await three.inputValue('#note'), 'of the second tab');
	await choose(three, 'outcome', 'partly');
	await save(three);
	await saved(three);
	assert.deepEqual(today(await inspections('V-0002')).map(({ note }) => note).sort(), ['of the first tab', 'of the second tab']);
	assert.deepEqual(await links(three), ['2 received']);
});

test('the same draft saved in two tabs overwrites nothing: the second is told, and is another one', async () => {
	const one = await tablet('/queue');
	await one.context().addInitScript(() => Object.defineProperty(Navigator.prototype, 'locks', { value: undefined }));
	await go(one, path('V-0003'));   // as over http, where no tab knows of the other
	await partly(one, 'as first saved');
	await rest(one);
	const two = await another(one, path('V-0003'));

	assert.equal(await two.inputValue('#note'), 'as first saved');
	await save(one);
	await saved(one);
	await two.fill('#note', 'as saved second');
	await save(two);
	await two.waitForSelector('form > .notice:not(:empty)');
	assert.match(await two.textContent('form > .notice'), /saved already, on another page, and otherwise/);
	assert.equal(await two.inputValue('#note'), 'as saved second');
	assert.deepEqual(today(await inspections('V-0003')).map(({ note }) => note), ['as first saved']);
	await save(two);
	await saved(two);
	assert.deepEqual(today(await inspections('V-0003')).map(({ note }) => note).sort(), ['as first saved', 'as saved second']);
});

test('one entry is put once, however many tabs are told to send', async () => {
	const page = await tablet(path('V-0004'));
	const pages = [page, await another(page, '/queue'), await another(page, '/due'), await another(page, '/')];
	const uncut = await cut(page);
	const asked = [];

	await partly(page, 'of four tabs');
	await save(page);
	await saved(page, 'Not sent yet: kept on this tablet');
	await uncut();
	page.context().on('request', (request) => request.method() === 'PUT' && asked.push(request.url()));
	await Promise.all(pages.map((one) => one.evaluate('dispatchEvent(new Event("online"))')));
	await saved(page);
	assert.equal(asked.length, 1);
	await pages[3].waitForFunction(() => document.querySelector('.queue').textContent === '1 received');
	assert.equal(today(await inspections('V-0004')).length, 1);
});

test('a failure, its repair and a withdrawal are kept without a server, seen on every page, and sent from any', async () => {
	const page = await open(bondPage('V-0005'), { who: 'crew' });
	const uncut = await cut(page);

	await reportFailure(page);
	await page.waitForSelector('#report .notice:not(:empty)');
	assert.match(await page.textContent('#report .notice'), /^Saved on this device, not sent yet\..*did not answer.*It is sent by itself when the server answers/);
	assert.deepEqual(await wrongs(page), []);
	await page.click('#report .cancel');
	for (const where of ['/', '/due', '/repeat', '/report', '/list?of=bonds', '/rulebook', '/import', bondPage('V-0006'), path('V-0006'), `${bondPage('V-0006')}/attach`, `/lines/${railway.lines.VAL}`, '/queue']) {
		await go(page, where);
		assert.deepEqual(await links(page), ['1 saved, not sent'], where);
	}
	assert.match(await items(page, 'saved').textContent(), /Failure\s*V-0005/);
	await go(page, '/list?of=bonds');
	await uncut();
	await page.evaluate('dispatchEvent(new Event("online"))');
	await page.waitForFunction(() => document.querySelector('.queue').textContent === '1 received');
	assert.equal((await failures('V-0005')).length, 1);

	await go(page, bondPage('V-0005'));
	const uncutAgain = await cut(page);
	await page.click('.open-failures .repair');
	await page.fill('#how', 'New lug brazed.');
	await page.click('#repair .main');
	await page.waitForSelector('#repair .notice:not(:empty)');
	await page.click('#repair .cancel');
	await page.locator('.history.all .withdraw:not([hidden])').first().click();
	await page.fill('#withdraw-reason', 'Of another bond.');
	await page.click('#withdraw .main');
	await page.waitForSelector('#withdraw .notice:not(:empty)');
	assert.deepEqual(await links(page), ['2 saved, not sent', '1 received']);
	await uncutAgain();
	await page.click('#withdraw .main');
	await page.waitForSelector('#withdraw:not([open])', { state: 'attached' });
	await rest(page);
	const [failure] = await failures('V-0005');
	assert.equal(failure.withdrawn, true);
	assert.deepEqual(await links(page), ['3 received']);
});

test('what is kept in a dialog is not changed on its way, and the dialog closes when it is received', async () => {
	const page = await open(bondPage('V-0010'), { who: 'crew' });
	const uncut = await cut(page);

	await reportFailure(page, 'burnt');
	await page.waitForSelector('#report .notice:not(:empty)');
	assert.equal(await page.locator('#report :is(input, textarea)').filter({ visible: true }).count(), 0);
	await uncut();
	await page.evaluate('dispatchEvent(new Event("online"))');
	await page.waitForSelector('#report:not([open])', { state: 'attached' });
	await rest(page);
	assert.match(await page.textContent('.open-failures'), /burnt/);
	assert.equal((await failures('V-0010')).length, 1);
});

test('a full storage keeps nobody from recording while the server answers, and says so when it does not', async () => {
	const page = await tablet('/queue');
	await page.context().addInitScript(() => {
		IDBObjectStore.prototype.put = () => { throw new DOMException('full', 'QuotaExceededError'); };
	});
	await go(page, path('V-0011'));
	await partly(page, 'with no room');
	await rest(page);
	assert.match(await state(page), /cannot keep what you type/);
	const uncut = await cut(page);
	await save(page);
	await page.waitForSelector('form > .notice:not(:empty)');
	assert.match(await page.textContent('form > .notice'), /cannot keep it: its storage is full.*did not answer.*what you typed is still here/);
	assert.equal(await page.inputValue('#note'), 'with no room');
	assert.equal(await page.isVisible('main > .result'), false, 'nothing calls it saved');
	await uncut();
	await save(page);
	await saved(page);
	assert.equal(today(await inspections('V-0011'))[0].note, 'with no room');
});

test('a server that hangs keeps no page waiting: the entry is kept, and is sent once it answers', async () => {
	const page = await tablet('/queue');

	await page.clock.install();
	await go(page, path('V-0012'));
	await partly(page, 'hung');
	await page.context().route('**/api/inspections/*', () => {});   // never
	await save(page);
	await page.waitForFunction(() => /sending/.test(document.querySelector('.result h2').textContent));
	await page.clock.fastForward(10001);
	await page.waitForFunction(() => document.querySelector('.result h2').textContent === 'Not sent yet: kept on this tablet');
	await page.context().unroute('**/api/inspections/*');
	await sendNow(page);
	await saved(page);
	assert.equal(today(await inspections('V-0012')).length, 1);

	await page.context().route(`**/api/bonds/${number('V-0013')}`, () => {});
	const hung = page.waitForRequest(`**/api/bonds/${number('V-0013')}`);
	await page.goto(served.url + path('V-0013'));
	await hung;
	await page.clock.fastForward(10001);
	await page.waitForFunction(() => /cannot be opened/.test(document.querySelector('.state .words').textContent));
	assert.match(await page.textContent('form > .notice'), /did not answer/);
});

test('an entry that the server cannot take steps aside, is shown, and the others go before it', async () => {
	const page = await tablet(path('V-0014'));
	const isBad = (route) => route.request().postDataJSON().note === 'always 500';

	await page.context().route('**/api/inspections/*', (route) => isBad(route) ? route.fulfill({ status: 500, json: { detail: 'It may not have been saved.' } }) : route.continue());
	await partly(page, 'always 500');
	await save(page);
	await saved(page, 'Not sent yet: kept on this tablet');
	await go(page, path('V-0015'));
	await partly(page, 'in good order');
	await save(page);
	await saved(page);
	assert.equal(today(await inspections('V-0015')).length, 1);
	await go(page, '/queue');
	await sendNow(page);
	await page.waitForFunction(() => /could not take it, [3-9] times\. The others are sent before it/.test(document.querySelector('#saved').textContent));
	assert.deepEqual(await links(page), ['1 saved, not sent', '1 received']);
	await page.context().unroute('**/api/inspections/*');
	await sendNow(page);
	await page.waitForFunction(() => document.querySelector('.queue').textContent === '2 received');
	assert.equal(today(await inspections('V-0014')).length, 1);
});

test('what a network of somebody else answers is no refusal', async () => {
	const page = await tablet(path('V-0016'));

	await page.route('**/api/inspections/*', (route) => route.fulfill({ status: 404, contentType: 'text/html', body: '<h1>Station guests</h1>' }));
	await partly(page, 'through the portal');
	await save(page);
	await saved(page, 'Not sent yet: kept on this tablet');
	await page.unroute('**/api/inspections/*');
	await sendNow(page);
	await saved(page);
	assert.equal(today(await inspections('V-0016')).length, 1);
});

test('what was refused stays with its reason, and is mended in the list', async () => {
	const page = await open(bondPage('V-0017'), { who: 'crew' });

	await page.click('.acts > .report');
	await page.check('#report [name="mode"][value="burnt"]');
	await page.fill('#cause', 'flood');
	await page.fill('#found-day', ago(-40));
	await page.click('#report .main');
	await page.waitForSelector('#report .problem');
	await page.click('#report .cancel');
	assert.deepEqual(await links(page), ['1 refused']);
	await page.click('.queue > a');
	await page.waitForURL('**/queue#refused');
	await rest(page);
	assert.match(await items(page, 'refused').textContent(), /Failure\s*V-0017.*more than one day after today/s);
	assert.deepEqual(await wrongs(page), []);
	await items(page, 'refused').locator('.mend').click();
	assert.match(await page.textContent('#refused .field:has([name="found_day"]) .problem'), /after today/);
	assert.equal(await page.inputValue('#refused [name="cause"]'), 'flood');
	assert.ok(await page.isChecked('#refused [name="mode"][value="burnt"]'));
	assert.deepEqual(await wrongs(page), []);
	await page.fill('#refused [name="found_day"]', ago(1));
	await page.click('#refused .main');
	await page.waitForFunction(() => document.querySelector('.queue').textContent === '1 received');
	assert.deepEqual((await failures('V-0017')).map(({ found_day, mode, cause }) => [found_day, mode, cause]), [[ago(1), 'burnt', 'flood']]);
});

test('an inspection that was refused while another page was open is mended in its form', async () => {
	const page = await tablet(path('V-0018'));
	const uncut = await cut(page);

	await partly(page, 'of a day to come');
	await page.fill('#day', ago(-40));
	await page.evaluate(() => { window.matchMedia = () => ({ matches: false }); });   // at a desk, where that is refused
	await save(page);
	await saved(page, 'Not sent yet: kept on this tablet');
	await uncut();
	const queue = await open('/queue', { who: 'crew' });
	await queue.context().close();
	await page.evaluate('dispatchEvent(new Event("online"))');
	await page.waitForSelector('form:not([hidden]) .problem');
	await go(page, '/queue');
	await items(page, 'refused').locator('.go-on').click();
	await page.waitForURL('**/inspect?entry=*');
	await page.waitForSelector('.problem');
	assert.match(await page.textContent('.field:has(#day) .problem'), /more than one day after today/);
	await page.fill('#day', ago(0));
	await save(page);
	await saved(page);
	assert.deepEqual(await links(page), ['1 received']);
	assert.deepEqual(today(await inspections('V-0018')).map(({ note }) => note), ['of a day to come']);
});

test('what is taken out of the list comes back by Undo', async () => {
	const page = await open(bondPage('V-0019'), { who: 'crew' });

	await page.click('.acts > .report');
	await page.check('#report [name="mode"][value="burnt"]');
	await page.fill('#found-day', ago(-40));
	await page.click('#report .main');
	await page.waitForSelector('#report .problem');
	await go(page, '/queue');
	await items(page, 'refused').locator('.drop').click();
	await page.waitForFunction(() => !document.querySelector('#refused .kept > li'));
	await page.click('.undo button');
	await page.waitForSelector('#refused .kept > li');
	assert.match(await items(page, 'refused').textContent(), /V-0019/);
});

test('nobody else\'s session sends it from any page; it waits for its person, and is counted apart', async () => {
	const page = await tablet(path('V-0020'));
	const uncut = await cut(page);
	const asked = [];

	await partly(page, 'of Colm');
	await save(page);
	await saved(page, 'Not sent yet: kept on this tablet');
	await uncut();
	await signIn(page, 'planner');
	page.context().on('request', (request) => request.method() === 'PUT' && asked.push(request.url()));
	await go(page, '/due');
	assert.deepEqual(await links(page), ['1 of somebody else']);
	await go(page, '/queue');
	assert.match(await items(page, 'others').textContent(), /V-0020.*Colm Hart/s);
	assert.equal(await items(page, 'saved').count(), 0);
	await page.evaluate('dispatchEvent(new Event("online"))');
	await rest(page);
	assert.deepEqual(asked, []);
	await signIn(page, 'crew');
	await go(page, '/');
	await page.waitForFunction(() => document.querySelector('.queue').textContent === '1 received');
	const [row] = today(await inspections('V-0020'));
	assert.deepEqual([row.done_by, row.entered_by], ['Colm Hart', 'Colm Hart']);
});

test('what earlier pages kept is taken over once, and nothing of it is lost', async () => {
	const page = await tablet('/queue');
	const me = { id: (await page.evaluate('fetch("/api/session").then((r) => r.json())')).person.id, name: 'Colm Hart' };
	const uuid = newUuid();
	const before = { bond_id: String(number('V-0022')), day: ago(0), outcome: 'partly' };

	await page.evaluate(([old, bond, id]) => {
		for (const [key, value] of Object.entries(old))
			localStorage.setItem(key, JSON.stringify(value));
		localStorage.setItem(`draft:${bond}`, JSON.stringify({ uuid: id, bond_id: String(bond), note: 'half a sen', day: '2026-01-02', purpose: 'routine', readings: [{}] }));
	}, [{
		[`unsent:${uuid}`]: { uuid, bond_id: before.bond_id, label: 'V-0022', person_id: me.id, refused: null, typed: { uuid },
			body: { bond_id: number('V-0022'), day: ago(0), purpose: 'routine', outcome: 'partly', note: 'kept before', readings: [] } },
		'unsent:undefined': { bond_id: before.bond_id, label: 'V-0022', person_id: me.id, refused: null, typed: {},
			body: { bond_id: number('V-0022'), day: ago(0), purpose: 'routine', outcome: 'partly', note: 'kept under no id', readings: [] } }
	}, number('V-0023'), newUuid()]);
	await go(page, path('V-0023'));
	assert.equal(await page.inputValue('#note'), 'half a sen');
	await page.waitForFunction(() => /2 received/.test(document.querySelector('.queue').textContent));
	assert.deepEqual(today(await inspections('V-0022')).map(({ note }) => note).sort(), ['kept before', 'kept under no id']);
	assert.deepEqual(await page.evaluate('Object.keys(localStorage).filter((key) => /^(draft|unsent):/.test(key))'), []);
});

test('the word "saved" comes after the disk has it: each writing transaction is strict', async () => {
	const page = await tablet('/queue');

	await page.context().addInitScript(() => {
		const { transaction } = IDBDatabase.prototype;
		const { put } = IDBObjectStore.prototype;
		const notes = new WeakMap();
		window.transactions = [];
		IDBObjectStore.prototype.put = function (...what) {
			notes.get(this.transaction).entry ||= this.name === 'entries';
			return put.apply(this, what);
		};
		IDBDatabase.prototype.transaction = function (...how) {
			const tx = transaction.apply(this, how);
			if (tx.mode === 'readwrite') {
				const noted = { durability: tx.durability, done: false };
				window.transactions.push(noted);
				notes.set(tx, noted);
				tx.addEventListener('complete', () => { noted.done = true; });
			}
			return tx;
		};
		document.addEventListener('DOMContentLoaded', () => new MutationObserver(() => {
			window.doneAtWord ??= /^Saved on this/.test(document.querySelector('.result h2').textContent) ? window.transactions.some(({ entry, done }) => entry && done) : undefined;
		}).observe(document.querySelector('.result h2'), { childList: true }));
	});
	await go(page, path('V-0024'));
	await partly(page, 'strictly');
	await cut(page);
	await rest(page);
	await save(page);
	await saved(page, 'Not sent yet: kept on this tablet');
	const all = await page.evaluate('transactions');
	assert.ok(all.length >= 3);
	assert.deepEqual([...new Set(all.map(({ durability }) => durability))], ['strict']);
	assert.equal(await page.evaluate('doneAtWord'), true);
});

/* (it ends the session that the others use) */
test('who signs out is told how many are not sent; they stay, and what was received does not', async () => {
	const page = await open(bondPage('V-0021'), { who: 'crew' });

	await reportFailure(page, 'burnt');
	await page.waitForSelector('#report:not([open])', { state: 'attached' });
	await rest(page);
	const uncut = await cut(page);
	await reportFailure(page, 'lug_cracked');
	await page.waitForSelector('#report .notice:not(:empty)');
	await page.click('#report .cancel');
	assert.deepEqual(await links(page), ['1 saved, not sent', '1 received']);
	await page.click('.sign-out');
	await page.waitForSelector('#leaving[open]');
	assert.match(await page.textContent('#leaving .stays'), /^1 saved here and not sent yet\. They stay on this device, and only you can send them/);
	assert.deepEqual(await wrongs(page), []);
	await page.click('#leaving .sign-out-now');
	await page.waitForURL('**/sign-in');
	await page.waitForSelector('.left:not(:empty)');
	assert.match(await page.textContent('.left'), /^1 saved on this device is not received yet, of Colm Hart/);
	assert.deepEqual(await wrongs(page), []);
	assert.deepEqual((await kept(page, 'entries')).map((one) => one.state), ['saved']);
	assert.deepEqual(await kept(page, 'received'), []);
	await uncut();
	await page.fill('#login', 'colm');
	await page.fill('#password', 'brazes by night');
	await page.keyboard.press('Enter');
	await page.waitForFunction(() => document.querySelector('.queue')?.textContent === '1 received');
	assert.equal((await failures('V-0021')).length, 2);
});
