/* The code of a bond: on its page and on paper, read as a camera reads it; it opens the bond in the round that is on the tablet, or else its page. */
import assert from 'node:assert/strict';
import { execFileSync } from 'node:child_process';
import { existsSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { test } from 'node:test';

import { bondOfCode } from '../../static/js/logic/address.js';
import { newUuid } from '../../static/js/logic/uuid.js';
import { begin } from './support/begin.mjs';
import { DESK, TABLET } from './support/browser.mjs';
import { TODAY } from './support/railway.mjs';

const READER = '/usr/bin/zbarimg';
const { served, api, railway, open } = await begin();
const number = (label) => railway.bonds.get(label);

/** What the codes of a picture say, by a reader that is not ours. */
function read(png) {
	const folder = mkdtempSync(join(tmpdir(), 'bondbook-code-'));

	writeFileSync(join(folder, 'a.png'), png);
	try {
		return execFileSync(READER, ['--nodbus', '--raw', '-q', join(folder, 'a.png')], { stdio: ['ignore', 'pipe', 'ignore'] }).toString().trim().split('\n').sort();
	} finally {
		rmSync(folder, { recursive: true });
	}
}

test('only the code of a bond of this register is taken for one', () => {
	const at = 'https://bonds.example:8443';

	assert.equal(bondOfCode(`${at}/round?bond=17`, at), 17);
	for (const text of ['https://other.example/round?bond=17', `${at}/round?bond=17&x=1`, `${at}/round?bond=`, `${at}/bonds/17`, `${at}/round?bond=1e3`, `x${at}/round?bond=17`,
		'http://bonds.example:8443/round?bond=17', '17', ''])
		assert.equal(bondOfCode(text, at), null, text);
});

test('the code on a bond\'s page, light and dark, is read as its address', { skip: !existsSync(READER) }, async () => {
	for (const dark of [false, true]) {
		const page = await open(`/bonds/${number('V-0001')}`, { size: DESK, dark });
		await page.waitForFunction(() => document.querySelector('.code > img').naturalWidth > 0);
		assert.deepEqual(read(await page.locator('.code > img').screenshot()), [`${served.url}/round?bond=${number('V-0001')}`]);
		await page.context().close();
	}
});

test('each bond of a sheet of paper has its own', { skip: !existsSync(READER) }, async () => {
	const uuid = newUuid(), labels = ['V-0001', 'V-0005', 'V-0009'];
	await api.put(`/api/rounds/${uuid}`, { work: 'inspect', crew: 'Night crew', persons: ['Colm Hart'], shift_day: TODAY, begins: '23:40', ends: '03:40', bonds: labels.map(number) });
	const page = await open(`/rounds/${uuid}`, { who: 'planner', context: { deviceScaleFactor: 3 } });
	await page.evaluate(() => { window.print = () => { document.body.dataset.printed = 'yes'; }; });
	await page.click('.print');
	await page.waitForSelector('body[data-printed]');
	await page.emulateMedia({ media: 'print' });
	assert.deepEqual(read(await page.locator('.paper > .page').first().screenshot()), labels.map((label) => `${served.url}/round?bond=${number(label)}`).sort());
	await page.context().close();
});

test('it opens the bond in the round on the tablet, without a server too, and else its page', async () => {
	const uuid = newUuid();
	await api.put(`/api/rounds/${uuid}`, { work: 'inspect', crew: 'Night crew', persons: ['Colm Hart'], shift_day: TODAY, begins: '23:40', ends: '03:40', bonds: [number('V-0005')] });
	const page = await open(`/round/${uuid}`, { who: 'crew', size: TABLET, touch: true });
	await page.waitForFunction(async () => (await navigator.serviceWorker.getRegistration())?.active?.state === 'activated' && document.querySelector('.view')?.children.length > 0);

	await page.goto(`${served.url}/round?bond=${number('V-0009')}`);
	await page.waitForURL(`**/bonds/${number('V-0009')}`);
	await served.stop();
	await page.goto(`${served.url}/round?bond=${number('V-0005')}`);
	await page.waitForURL(`**/round/${uuid}#record=${number('V-0005')}`);
	await page.waitForFunction(() => document.querySelector('h1').textContent === 'V-0005');
	await served.start();
	await page.context().close();

	const stranger = await open(`/round?bond=${number('V-0005')}`, { who: null });
	await stranger.waitForURL('**/sign-in?to=*');
	assert.equal(new URL(stranger.url()).searchParams.get('to'), `/round?bond=${number('V-0005')}`);
	await stranger.context().close();
});

test('where the browser reads codes, the walk does: a bond of the round opens, another\'s code is said to be none', async () => {
	const uuid = newUuid();
	await api.put(`/api/rounds/${uuid}`, { work: 'inspect', crew: 'Night crew', persons: ['Colm Hart'], shift_day: TODAY, begins: '23:40', ends: '03:40', bonds: [number('V-0005')] });
	const page = await open('/round', { who: 'crew', size: TABLET, touch: true });
	/* (this browser has no reader of its own here, and no camera) */
	await page.addInitScript(() => {
		window.codes = [];
		window.BarcodeDetector = class { async detect() { return window.codes.splice(0).map((rawValue) => ({ rawValue })); } };
		Object.defineProperty(navigator, 'mediaDevices', { value: { getUserMedia: async () => document.createElement('canvas').captureStream() } });
		HTMLMediaElement.prototype.play = async () => {};
	});
	await page.goto(`${served.url}/round/${uuid}#walk`);
	await page.waitForSelector('.walk');
	await page.waitForTimeout(650);
	await page.locator('a:text-is("Read a code")').tap();
	await page.waitForSelector('video');
	await page.evaluate(() => { window.codes.push('https://elsewhere.example/round?bond=1'); });
	await page.waitForSelector('[role=status]:text("no code of a bond")');
	await page.evaluate((text) => { window.codes.push(text); }, `${served.url}/round?bond=${number('V-0009')}`);
	await page.waitForSelector('[role=status]:text("not in this round")');
	await page.evaluate((text) => { window.codes.push(text); }, `${served.url}/round?bond=${number('V-0005')}`);
	await page.waitForURL(`**#record=${number('V-0005')}`);
	await page.context().close();
});
