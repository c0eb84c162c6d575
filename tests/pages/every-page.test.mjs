/* What holds for every page, in every state worth the name. */
import assert from 'node:assert/strict';
import { test } from 'node:test';

import { begin } from './support/begin.mjs';
import { DESK, rest, TABLET, wrongs } from './support/browser.mjs';
import { newUuid } from '../../static/js/logic/uuid.js';
import { ago, risingBond } from './support/railway.mjs';

const { open, api, railway } = await begin({ zoneless: true });
const id = (label) => railway.bonds.get(label);
const choose = (page, name, value) => page.check(`input[name="${name}"][value="${value}"]`);

const place = async (page) => {
	await page.locator('tbody a').first().click();
	await rest(page);
};
const dialog = (opener, wrong = {}) => async (page) => {
	await page.locator(opener).first().click();
	for (const [selector, text] of Object.entries(wrong))
		await page.fill(selector, text);
	if (Object.keys(wrong).length) {
		await page.click('dialog[open] .main');
		await page.waitForSelector('.problem');
	}
};

await api.post('/api/lines', { code: 'EMP', name: 'Empty line', notation: 'km_m' });

await risingBond(api, id('V-0050'));
for (const [daysAgo, shown_uohm] of [[60, 260], [30, 2.6]])   // over its limit, then a slip
	await api.put(`/api/inspections/${newUuid()}`, { bond_id: id('V-0045'), day: ago(daysAgo), seen_a: 'good', seen_b: 'good',
		readings: [{ quantity: 'end_to_end', method: 'four_wire', shown_uohm, temp_c: 20, instrument: 'M-204' }] });
const forecast = await api.get(`/api/readings?bond=${id('V-0050')}`);

const round = newUuid();
await api.put(`/api/rounds/${round}`, { work: 'inspect', crew: 'Night crew', persons: ['Colm Hart'], shift_day: ago(0), begins: '23:40',
	ends: '03:40', bonds: ['V-0001', 'V-0005', 'V-0009'].map(id) });
await api.put(`/api/bridges/${newUuid()}`, { bond_id: id('V-0013'), on_day: ago(2), place: 'From lug to lug, beside the bond' });

await api.put(`/api/found-bonds/${newUuid()}`, { line: 'VAL', near_bond_id: id('V-0009'), place: '4 m past V-0009', track: 'Up', rail: 'left',
	kind: 'structure', joins: 'rail to mast 12', seen: 'lug loose', measured_uohm: 465, found_day: ago(1) });

/** Reports a failure on a bond's page, and waits for what becomes of it. */
async function failure(page, found_day) {
	await page.click('.acts > .report');
	await page.fill('#found-day', found_day);
	await choose(page, 'mode', 'burnt');
	await page.click('#report .main');
	await page.waitForSelector('#report :is(.problem, .notice:not(:empty))');
}

/** One entry refused, one not sent, one draft; then the page of them. */
async function oneOfEach(page) {
	const go = async (path) => {
		await page.goto(new URL(path, page.url()).href);
		await rest(page);
	};

	await go(`/bonds/${id('V-0008')}`);
	await failure(page, ago(-400));
	await page.click('#report .cancel');
	await page.context().route('**/api/failures/*', (route) => route.abort());
	await failure(page, ago(0));
	await go(`/bonds/${id('V-0009')}/attach`);
	await page.fill('#note', 'Half a sentence.');
	await rest(page);
	await go('/queue');
}

/* Name, address, who looks, what is done first. */
const STATES = [
	['home', '/', {}],
	['kits', '/kits', { who: 'crew' }],
	['rounds', '/rounds', { who: 'planner' }],
	['a round', `/rounds/${round}`, { who: 'planner' }],
	['a round, withdrawn', `/rounds/${round}`, { who: 'planner', act: dialog('.withdraw-it') }],
	['a round on the tablet', `/round/${round}`, { who: 'crew' }],
	['a round on the tablet, a new attachment', `/round/${round}#attach=${id('V-0001')}`, { who: 'crew' }],
	['a round on the tablet, a failure', `/round/${round}#failed=${id('V-0001')},${id('V-0005')}`, { who: 'crew' }],
	['a round on the tablet, a bridge', `/round/${round}#bridge=${id('V-0001')}`, { who: 'crew' }],
	['a round on the tablet, a photo', `/round/${round}#photo=${id('V-0001')}`, { who: 'crew' }],
	['a bond, a photo added', `/bonds/${id('V-0001')}`, { who: 'crew', act: dialog('.add-photo') }],
	['a round on the tablet, a bond recorded', `/round/${round}#record=${id('V-0001')}`, { who: 'crew' }],
	['a round on the tablet, a bond not in the book', `/round/${round}#found`, { who: 'crew' }],
	['rounds, which bond a found one is', '/rounds', { who: 'planner', act: async (page) => {
		await page.click('.found button');
		await page.waitForSelector('#found-answer[open]');
		await page.locator('#found-answer .choice').nth(1).click();
	} }],
	['a round on the tablet, a bond\'s history', `/round/${round}#past=${id('V-0007')}`, { who: 'crew' }],
	['a round on the tablet, walked', `/round/${round}#walk`, { who: 'crew' }],
	['due, put on a round', '/due', { who: 'planner', act: async (page) => {
		await page.locator('.tick > input').first().check();
		await page.click('.to-round');
		await page.waitForSelector('#make-round[open]');
	} }],
	['due, a password refused', '/due', { who: 'planner', act: dialog('.who > .name',
		{ '#password-now': 'not mine', '#password-new': 'password12', '#password-again': 'password12' }) }],
	['kits, a check refused', '/kits', { who: 'crew', act: async (page) => {
		await page.locator('.kits button').first().click();
		await page.click('#check .main');
		await page.waitForSelector('#check .problem');
	} }],
	['home, the time zone asked for', '/', { who: 'administrator', act: async (page) => {
		await page.fill('#zone', 'Europe/Nowhere');
		await page.click('.zone button');
		await page.waitForSelector('.zone .problem');
	} }],
	['account', '/account', { who: 'crew' }],
	['account, a second factor refused', '/account', { who: 'crew', act: async (page) => {
		await page.click('.begin');
		await page.waitForSelector('#set-factor[open]');
		await page.fill('#factor-password', 'not mine');
		await page.fill('#factor-code', '000000');
		await page.click('#set-factor .main');
		await page.waitForSelector('#set-factor .problem');
	} }],
	['people', '/people', { who: 'administrator' }],
	['people, a code', '/people', { who: 'administrator', act: async (page) => {
		await page.click('button[aria-label^="Code for"]');
		await page.waitForSelector('#once[open]');
	} }],
	['people, one who cannot be', '/people', { who: 'administrator', act: dialog('.add',
		{ '#person-name': 'A', '#person-login': 'two words' }) }],
	['people, for another role', '/people', { who: 'planner' }],
	['a new password', '/new-password', { who: null, act: async (page) => page.click('button.main') }],
	['sign-in', '/sign-in', { who: null }],
	['sign-in, refused', '/sign-in', { who: null, act: async (page) => page.click('button.main') }],
	['due', `/due?line=${railway.lines.SAN}`, {}],
	['due, nothing matches', '/due?q=none', {}],
	['due, deferral refused', `/due?line=${railway.lines.SAN}`, { act: dialog('.defer', { '#defer-until': '2020-01-01', '#defer-reason': 'Too late.' }) }],
	['bond', `/bonds/${id('V-0007')}`, {}],
	['bond with a failure', `/bonds/${id('V-9002')}`, {}],
	['bond, made good', `/bonds/${id('V-9002')}`, { act: dialog('.open-failures .repair') }],
	['bond, report a failure', `/bonds/${id('V-0007')}`, { act: dialog('.report') }],
	['bond, cleared by an engineer', `/bonds/${id('V-0045')}`, { who: 'manager', act: dialog('.rulings button', { '#ruling-reason': ' ' }) }],
	['bond, what is to be mended put off', `/bonds/${id('V-0045')}`, { act: async (page) => {
		await page.click('.acts > .put-off');
		await page.waitForSelector('#defer[open] .names input');
	} }],
	['bond with a forecast', `/bonds/${id('V-0050')}`, {}],
	['working', `/readings/${forecast.rows[0].inspection}/1`, {}],
	['no such reading', `/readings/${forecast.rows[0].inspection}/9`, {}],
	['attach', `/bonds/${id('V-0007')}/attach`, { who: 'crew' }],
	['attach, refused', `/bonds/${id('V-0007')}/attach?end=a`, { who: 'crew', act: async (page) => {
		await page.fill('#offset', '130,5');
		await page.click('form button.main');
		await page.waitForSelector('.problem');
	} }],
	['attach, on a spoilt spot', `/bonds/${id('V-0007')}/attach?end=a`, { who: 'crew', act: async (page) => {
		await page.fill('#offset', '130');
		await page.fill('[name="arc_s"]', '1,2');
		await page.waitForSelector('.kept-so:not(:empty)');
	} }],
	['attach, saved', `/bonds/${id('V-0010')}/attach?end=a`, { who: 'crew', act: async (page) => {
		await page.click('.take');
		await page.click('form button.main');
		await page.waitForSelector('button.next:not([hidden])');
	} }],
	['no such bond', '/bonds/999999', {}],
	['inspect', `/bonds/${id('V-0007')}/inspect`, { who: 'crew', act: async (page) => {
		await choose(page, 'failed', 'yes');
		await page.click('.add');
		await page.locator('.reading').nth(1).locator('label', { hasText: 'voltage drop' }).click();
		await page.locator('.remove').nth(0).click();
	} }],
	['inspect, refused', `/bonds/${id('V-0008')}/inspect`, { who: 'crew', act: async (page) => {
		await choose(page, 'outcome', 'complete');
		await page.fill('[data-field="shown_uohm"]', '150');
		await page.fill('[data-field="temp_c"]', '400');
		await choose(page, 'seen_a', 'good');
		await choose(page, 'seen_b', 'good');
		await page.click('form button.save');
		await page.waitForSelector('.problem');
	} }],
	['inspect, judged', `/bonds/${id('V-0008')}/inspect`, { who: 'crew', act: async (page) => {
		await page.locator('[data-name="instrument_id"] .choice').first().click();
		await page.fill('[data-field="shown_uohm"]', '149');
		await page.fill('[data-field="temp_c"]', '20');
	} }],
	['inspect, asked', `/bonds/${id('V-0008')}/inspect`, { who: 'crew', act: async (page) => {
		await page.locator('[data-name="instrument_id"] .choice').first().click();
		await page.fill('[data-field="shown_uohm"]', '1,49');
		await page.fill('[data-field="temp_c"]', '20');
		await page.click('[data-answer="second"]');
		await page.locator('[data-field="shown_uohm"]').nth(1).fill('149');
		await page.locator('[data-answer="left"]').first().click();
		await choose(page, 'seen_a', 'missing');
		await choose(page, 'seen_b', 'not_visible');
		await choose(page, 'failed', 'yes');
	} }],
	['inspect, a joint in circuit', `/bonds/${id('V-0006')}/inspect`, { who: 'crew', act: async (page) => {
		await page.locator('[data-name="instrument_id"] .choice').first().click();
		await page.locator('.reading').first().locator('.choice', { hasText: 'end to end' }).click();
		await page.fill('[data-field="shown_uohm"]', '100');
		await page.fill('[data-field="temp_c"]', '20');
	} }],
	['inspect, saved with a reading', `/bonds/${id('V-0031')}/inspect`, { who: 'crew', act: async (page) => {
		await choose(page, 'outcome', 'complete');
		await choose(page, 'seen_a', 'good');
		await choose(page, 'seen_b', 'good');
		await page.fill('[data-field="shown_uohm"]', '7');
		await page.locator('.reading').first().locator('.choice', { hasText: 'strands' }).click();
		await page.click('form button.save');
		await page.waitForSelector('.correct:not([hidden])');
	} }],
	['inspect, saved', `/bonds/${id('V-0009')}/inspect`, { who: 'crew', act: async (page) => {
		await choose(page, 'outcome', 'partly');
		await page.click('form button.save');
		await page.waitForSelector('.correct:not([hidden])');
	} }],
	['on this device', '/queue', { who: 'crew' }],
	['on this device, with one of each', '/queue', { who: 'crew', act: oneOfEach }],
	['on this device, mending', '/queue', { who: 'crew', act: async (page) => {
		await oneOfEach(page);
		await page.click('.mend');
	} }],
	['bond, a failure kept on the device', `/bonds/${id('V-0007')}`, { act: async (page) => {
		await page.context().route('**/api/failures/*', (route) => route.abort());
		await failure(page, ago(0));
	} }],
	['due, signing out with entries', '/due', { who: 'crew', act: async (page) => {
		await oneOfEach(page);
		await page.goto(new URL('/due', page.url()).href);
		await rest(page);
		await page.click('.sign-out');
		await page.waitForSelector('#leaving[open]');
	} }],
	['line', `/lines/${railway.lines.VAL}`, {}],
	['line, renewal', `/lines/${railway.lines.VAL}`, { who: 'planner', act: async (page) => {
		await page.click('.renew');
		await page.click('#renewal .main');
		await page.waitForSelector('#renewal .problem');
	} }],
	['report', '/report', {}],
	['report, nothing there', '/report?lines=EMP', {}],
	['report, refused', '/report?lines=NONE', {}],
	['list', `/list?of=bond-states&lines=SAN&state=overdue,deferred`, {}],
	['list, nothing matches', '/list?of=odd-data&lines=EMP', {}],
	['every list', '/list', {}],
	['no such list', '/list?of=secrets', {}],
	['repeat places', '/repeat', {}],
	['repeat places, one open', '/repeat', { act: place }],
	['repeat places, nothing matches', '/repeat?least=99', {}],
	['rulebook', '/rulebook', {}],
	['rulebook, changing', '/rulebook', { who: 'manager', act: async (page) => page.click('.edit') }],
	['rulebook, refused', '/rulebook', { who: 'manager', act: async (page) => {
		await page.click('.edit');
		await page.fill('[name="grace_days"]', '400');
		await page.press('[name="grace_days"]', 'Tab');
		await page.click('.adopt');
		await page.click('#adopt .main');
		await page.waitForSelector('.problem');
	} }],
	['rulebook, tried', '/rulebook', { who: 'manager', act: async (page) => {
		await page.click('.edit');
		await page.fill('[name="interval_months.rail_joint.normal"]', '6');
		await page.press('[name="interval_months.rail_joint.normal"]', 'Tab');
		await page.click('.try');
		await page.waitForSelector('.tried summary');
		await page.locator('.tried summary').first().click();
	} }],
	['rulebook, withdrawing a version', '/rulebook', { who: 'manager', act: async (page) => page.click('.withdraw') }],
	['rulebook, asked once more', '/rulebook', { who: 'manager', act: async (page) => {
		await page.click('.edit');
		await page.click('.adopt');
	} }],
	['import', '/import', { who: 'manager' }],
	['import, an old log', '/import', { who: 'manager', act: async (page) => {
		await page.check('input[name="kind"][value="inspections"]');
		await page.setInputFiles('#file', { name: 'log.csv', mimeType: 'text/csv', buffer: Buffer.from('line;bond;day;quantity;method;R (m\u03a9);Pole;Length\nVAL;V-0001;2024-05-01;end_to_end;four_wire;0.0001;17;2\n') });
		await page.click('.read');
		await page.waitForSelector('.left-out:not([hidden])');
		await rest(page);
		for (const box of await page.locator('.left-out input').all())
			await box.check();
		await page.click('.try');
		await page.waitForSelector('.findings li');
	} }],
	['import, tried', '/import', { who: 'manager', act: async (page) => {
		await page.check('input[name="kind"][value="lines"]');
		await page.setInputFiles('#file', { name: 'l.csv', mimeType: 'text/csv', buffer: Buffer.from('code;name;notation\nA;Aller line;km_m\nB;;chains\n') });
		await page.click('.read');
		await page.waitForSelector('[data-step="mapping"]:not([hidden])');
		await rest(page);
		await page.click('.try');
		await page.waitForSelector('.wrong:not([hidden])');
	} }]
];
const PLAIN = STATES.filter(([, , { act }]) => !act || act === place);

async function show(path, { act, ...how }, more = {}) {
	const page = await open(path, { ...how, ...more });
	await act?.(page);
	return page;
}

for (const [name, path, how] of STATES)
	test(`axe finds nothing wrong with ${name}, light and dark, at a desk and on a tablet`, async () => {
		const page = await show(path, how);

		for (const size of [DESK, TABLET]) {
			await page.setViewportSize(size);
			for (const scheme of ['light', 'dark']) {
				await page.evaluate((value) => { document.documentElement.dataset.scheme = value; }, scheme);
				assert.deepEqual(await wrongs(page, { coloursOnly: scheme === 'dark' }), [], `${scheme}, ${size.width} px`);
			}
		}
		await page.context().close();
	});

for (const [name, path, how] of STATES)
	test(`${name} needs no sideways scrolling at 320 px, nor at 200 % zoom`, async () => {
		const page = await show(path, how);
		const wide = () => page.evaluate('document.documentElement.scrollWidth');

		await page.setViewportSize({ width: 720, height: 450 });   // 1440 x 900 at 200 %
		assert.ok(await wide() <= 720, `${await wide()} px at 720`);
		await page.setViewportSize({ width: 320, height: 640 });
		assert.ok(await wide() <= 320, `${await wide()} px at 320`);
		await page.context().close();
	});

const LISTS = ['due', 'bonds', 'inspections', 'readings', 'failures', 'attachments', 'bond-states', 'odd-data', 'lines'].map((of) => `/list?of=${of}`);

for (const path of ['/', '/due', ...LISTS, '/repeat', '/report', `/bonds/${id('V-0007')}`, `/bonds/${id('V-0050')}`])
	test(`${path.replace(/\d+/, 'N')} shows every column on a tablet, upright or on its side`, async () => {
		const page = await open(path, { who: 'manager', size: TABLET, touch: true });
		const cut = () => [...document.querySelectorAll('main, main .scroll')].filter((el) => el.scrollWidth > el.clientWidth).map((el) => `${el.className} ${el.scrollWidth} of ${el.clientWidth} px`);

		assert.deepEqual(await page.evaluate(cut), [], 'upright');
		await page.setViewportSize({ width: 1180, height: 820 });
		assert.deepEqual(await page.evaluate(cut), [], 'on its side');
		await page.context().close();
	});

/* What can be reached, and where the keyboard is; a group of radios is one stop, so is the strip. */
const reachable = () => {
	const stop = (el) => el.type === 'radio' ? `radio ${el.name}` : `${el.tagName} ${el.id} ${el.getAttribute('href') ?? ''} ${(el.ariaLabel ?? el.textContent).trim().slice(0, 30)} ${el.dataset.field ?? ''}`;
	const scope = document.querySelector('dialog[open]') ?? document;
	return [...new Set([...scope.querySelectorAll('a[href]:not([tabindex="-1"]), button:enabled, input:enabled, select, textarea, [tabindex="0"]')]
		.filter((el) => el.checkVisibility({ visibilityProperty: true })).map(stop))];
};
const here = () => {
	const el = document.activeElement;
	const drawn = el.type === 'radio' ? el.nextElementSibling : el;
	const { left, top, width, height } = drawn.getBoundingClientRect();
	const over = document.elementFromPoint(left + width / 2, top + Math.min(height / 2, 20));
	return el === document.body ? null : {
		stop: el.type === 'radio' ? `radio ${el.name}` : `${el.tagName} ${el.id} ${el.getAttribute('href') ?? ''} ${(el.ariaLabel ?? el.textContent).trim().slice(0, 30)} ${el.dataset.field ?? ''}`,
		seen: getComputedStyle(drawn).outlineStyle !== 'none', covered: !(over && (el.contains(over) || over.contains(el) || over.contains(drawn)))
	};
};

for (const [name, path, how] of STATES.filter(([name]) => !/nothing|no such|refused/.test(name)))
	test(`${name} is reached by Tab alone, with the focus in sight`, async () => {
		const page = await show(path, how);
		const wanted = await page.evaluate(reachable);
		const reached = new Set(), unseen = [];

		await page.evaluate('document.activeElement?.blur()');
		for (let i = 0; i < wanted.length + 30; i++) {
			await page.keyboard.press('Tab');
			const at = await page.evaluate(here);
			if (!at)
				continue;   // the browser's own controls
			if (!at.seen || at.covered)
				unseen.push(`${at.stop}${at.covered ? ' covered' : ''}`);
			reached.add(at.stop);
		}
		assert.deepEqual(wanted.filter((stop) => !reached.has(stop)), [], 'not reached');
		assert.deepEqual([...new Set(unseen)], [], 'focus not seen');
		await page.context().close();
	});

for (const [name, path, how] of PLAIN)
	test(`${name} works in the system's own colours`, async () => {
		const page = await show(path, how, { context: { forcedColors: 'active' } });

		assert.deepEqual(await wrongs(page), []);
		const plain = await page.evaluate(() => [...document.querySelectorAll('button[aria-pressed="true"]')].filter((el) => el.checkVisibility())
			.filter((el) => getComputedStyle(el).borderTopWidth === '1px').map((el) => el.textContent));
		assert.deepEqual(plain, [], 'what is pressed looks pressed');
		const lost = await page.evaluate(() => [...document.querySelectorAll('.chart .trace, .chart .point > .ring, .chart .fit')].filter((el) => {
			const { stroke, fill } = getComputedStyle(el);
			return [stroke, fill].every((paint) => paint === 'none' || paint === getComputedStyle(document.body).backgroundColor);
		}).length);
		assert.equal(lost, 0, 'drawings stay visible');
		await page.context().close();
	});

test('every title says what and where', async () => {
	for (const [path, title] of [
		['/', /^What needs a visit, every line · \d+ overdue$/], ['/due', /^Due, every line · \d+ overdue$/], [`/due?line=${railway.lines.SAN}`, /^Due, Sandle branch · \d+ overdue$/],
		[`/bonds/${id('V-0007')}`, /^V-0007, Vale line · /], [`/bonds/${id('V-0007')}/inspect`, /^Inspect V-0007, Vale line/], [`/bonds/${id('V-0007')}/attach`, /^Attach V-0007, Vale line/],
		['/queue', /^On this device · 0 saved, 0 refused$/], ['/repeat', /^Repeat places, every line · 1$/], ['/report?lines=SAN', /^Report, Sandle branch, \d{4}-\d\d-\d\d · \d+ overdue$/],
		['/list?of=odd-data', /^Data that look wrong, every row · \d+ rows$/], ['/rulebook', /^Rulebook, version 1 · from 1900-01-01$/], ['/import', /^Import/], ['/sign-in', /^Sign in/]
	])
		assert.match(await (await open(path, { who: 'manager' })).title(), title);
});

for (const [path, most] of [['/sign-in', 100], ['/', 100], ['/due', 100], [`/bonds/${id('V-0007')}`, 100], ['/repeat', 100], ['/report', 100], ['/list?of=bonds', 100], ['/rulebook', 100], ['/import', 100], [`/bonds/${id('V-0007')}/inspect`, 67], [`/bonds/${id('V-0007')}/attach`, 64], ['/queue', 20]])
	test(`${path.replace(/\d+/, 'N')} is under ${most} kB when it is first loaded`, async () => {
		const page = await open('/sign-in');
		const network = await page.context().newCDPSession(page);
		const urls = new Map();
		let bytes = 0;

		await network.send('Network.enable');
		await network.send('Network.setCacheDisabled', { cacheDisabled: true });
		network.on('Network.requestWillBeSent', ({ requestId, request }) => urls.set(requestId, new URL(request.url).pathname));
		network.on('Network.loadingFinished', ({ requestId, encodedDataLength }) => {
			bytes += urls.get(requestId)?.startsWith('/api/') ? 0 : encodedDataLength;
		});
		await page.goto(new URL(path, page.url()).href);
		await rest(page);
		assert.ok(bytes > 3000 && bytes < most * 1000, `${bytes} bytes`);
		await page.context().close();
	});
