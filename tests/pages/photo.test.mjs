/* Photos: taken in a round without the server, sent after what they belong to, each there once with the very bytes; added, seen and withdrawn at the desk. */
import assert from 'node:assert/strict';
import { createHash } from 'node:crypto';
import { readdirSync, renameSync } from 'node:fs';
import { join } from 'node:path';
import { test } from 'node:test';

import { pictureAlone, sha256, sha256Here } from '../../static/js/logic/picture.js';
import { newUuid } from '../../static/js/logic/uuid.js';
import { begin } from './support/begin.mjs';
import { rest, TABLET } from './support/browser.mjs';
import { TODAY } from './support/railway.mjs';

const { served, api, railway, open } = await begin();
const LABELS = ['V-0001', 'V-0005', 'V-0009', 'V-0013'];
const number = (label) => railway.bonds.get(label);
const hash = (bytes) => createHash('sha256').update(bytes).digest('hex');

/* What a camera writes beside the picture: Exif (CIPA DC-008) that turns it by a quarter, with a GPS mark. */
const EXIF = Buffer.from('ffe1' + '0038' + '457869660000' + '4d4d002a00000008' + '0002' + '01120003000000010006' + '0000' + '882500040000000100000026' + '00000000' + '0000000000000000', 'hex');
const exif = () => {
	const segment = Buffer.from(EXIF);
	segment.writeUInt16BE(segment.length - 2, 2);
	return segment;
};

/** A JPEG of a camera: of that size, with its Exif. */
async function camera(page, width, height, colour) {
	const base64 = await page.evaluate(async ([w, h, c]) => {
		const canvas = new OffscreenCanvas(w, h);
		const context = canvas.getContext('2d');
		context.fillStyle = c;
		context.fillRect(0, 0, w / 2, h);
		const bytes = new Uint8Array(await (await canvas.convertToBlob({ type: 'image/jpeg', quality: 0.9 })).arrayBuffer());
		let text = '';
		for (const byte of bytes)
			text += String.fromCharCode(byte);
		return btoa(text);
	}, [width, height, colour]);
	const plain = Buffer.from(base64, 'base64');
	return { name: `${colour}.jpg`, mimeType: 'image/jpeg', buffer: Buffer.concat([plain.subarray(0, 2), exif(), plain.subarray(2)]) };
}

test('a hash is the same with the browser\'s and without', async () => {
	/* FIPS 180-4's examples, and every length about a block */
	assert.equal(Buffer.from(sha256Here(Buffer.from('abc'))).toString('hex'), 'ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad');
	for (let length = 0; length < 200; length++) {
		const bytes = Uint8Array.from({ length }, (_, i) => i * 7 & 255);
		assert.equal(Buffer.from(sha256Here(bytes)).toString('hex'), hash(bytes), `of ${length} bytes`);
		assert.equal(await sha256(bytes), hash(bytes));
	}
});

test('what other programs wrote is taken out of a JPEG, and the rest stays byte for byte', () => {
	const head = Buffer.from('ffd8', 'hex'), jfif = Buffer.from('ffe000104a46494600010100000100010000', 'hex');
	const comment = Buffer.from('fffe00046869', 'hex'), photoshop = Buffer.from('ffed0004aabb', 'hex'), rest = Buffer.from('ffdb000400ffffda0003aaffe100ffd9', 'hex');
	const whole = Buffer.concat([head, jfif, exif(), comment, photoshop, rest]);

	assert.deepEqual(Buffer.from(pictureAlone(whole)), Buffer.concat([head, jfif, rest]));
	assert.deepEqual(Buffer.from(pictureAlone(Buffer.from('\x89PNG'))), Buffer.from('\x89PNG'));
});

async function round() {
	const uuid = newUuid();

	await api.put(`/api/rounds/${uuid}`, { work: 'inspect', crew: 'Night crew', persons: ['Colm Hart'], shift_day: TODAY,
		begins: '23:40', ends: '03:40', bonds: LABELS.map(number) });
	const page = await open(`/round/${uuid}`, { who: 'crew', size: TABLET, touch: true });
	await page.waitForFunction(async () => (await navigator.serviceWorker.getRegistration())?.active?.state === 'activated' && document.querySelector('.view')?.children.length > 0);
	return { uuid, page };
}

async function take(page, url, label, file, of = 'the bond') {
	await page.goto(`${url}#photo=${number(label)}`);
	await page.waitForSelector(`h2:text("Photo of ${label}")`);
	await page.locator(`.taps > button:text-is("${of}")`).first().tap();
	await page.locator('.pick > input').first().setInputFiles(file);
	await page.waitForSelector('[role=status]:text("saved on this tablet")');
}

test('photos of a round without the server are there once, the very bytes, after what they belong to, with nothing of the camera', async () => {
	const { uuid, page } = await round();
	const url = `${served.url}/round/${uuid}`;
	const files = [];
	for (const [i, colour] of ['red', 'green', 'blue', 'black'].entries())
		files.push(await camera(page, i % 2 ? 2400 : 900, i % 2 ? 1800 : 1200, colour));

	await served.stop();
	await page.goto(`${url}#walk`);
	await page.waitForTimeout(650);
	await page.locator('.view button:text-is("buried")').tap();
	await page.waitForSelector('.undo:not([hidden])');
	await take(page, url, 'V-0001', files[0], 'inspection');
	await take(page, url, 'V-0005', files[1]);
	await take(page, url, 'V-0009', files[2]);
	await take(page, url, 'V-0009', files[3]);
	await page.reload();
	await page.goto(`${served.url}/queue`);
	await page.waitForFunction(() => document.querySelectorAll('#saved li').length === 5);
	assert.match(await page.textContent('#saved'), /Photo/);

	await served.start();
	await page.goto(`${served.url}/queue`);
	await page.waitForFunction(() => document.querySelectorAll('#received li').length === 5, null, { timeout: 60000 });
	const rows = (await api.get('/api/photos?limit=100')).rows;
	assert.deepEqual(rows.map(({ label }) => label).sort(), ['V-0001', 'V-0005', 'V-0009', 'V-0009']);
	const visit = (await api.get(`/api/inspections?bond=${number('V-0001')}&limit=500`)).rows.find(({ outcome }) => outcome === 'not_reached');
	const ofVisit = rows.find(({ label }) => label === 'V-0001');
	assert.deepEqual([ofVisit.entry, ofVisit.entry_id, ofVisit.round], ['inspection', visit.uuid, uuid]);
	/* turned as the camera said, the longest side 1600 */
	assert.deepEqual(rows.map(({ width, height }) => [width, height]).sort(([, a], [, b]) => a - b), [[1200, 900], [1200, 900], [1200, 1600], [1200, 1600]]);
	for (const row of rows) {
		const bytes = Buffer.from(await page.evaluate(async (path) => Array.from(new Uint8Array(await (await fetch(path)).arrayBuffer())), `/api/photos/${row.uuid}/picture`));
		assert.equal(hash(bytes), row.sha256);
		assert.equal(bytes.indexOf('Exif'), -1);
	}
	assert.equal(await page.evaluate(() => new Promise((resolve) => {
		indexedDB.open('bondbook').onsuccess = ({ target: { result: db } }) => {
			db.transaction('pictures').objectStore('pictures').count().onsuccess = ({ target }) => resolve(target.result);
		};
	})), 0, 'what the server has takes no room here any more');
	await page.context().close();
});

test('what is no picture is refused here, in words, and nothing is kept', async () => {
	const { uuid, page } = await round();

	await page.goto(`${served.url}/round/${uuid}#photo=${number('V-0013')}`);
	await page.waitForSelector('.pick');
	await page.locator('.pick > input').first().setInputFiles({ name: 'a.jpg', mimeType: 'image/jpeg', buffer: Buffer.from('<html>') });
	await page.waitForSelector('[role=status]:text("no picture that this device can open")');
	assert.equal((await api.get(`/api/photos?bond=${number('V-0013')}`)).rows.length, 0);
	await page.context().close();
});

test('at the desk one is added, seen small and large, said to be missing, and withdrawn', async () => {
	const page = await open(`/bonds/${number('V-0017') ?? number('V-0013')}`, { who: 'crew' });
	const bond = number('V-0017') ?? number('V-0013');

	await page.click('.add-photo');
	await page.setInputFiles('#photo-file', await camera(page, 2000, 1000, 'teal'));
	await page.fill('#photo-note', 'lug loose');
	await page.click('#add-photo button.main');
	await page.waitForSelector('.history .photo img');
	await page.waitForFunction(() => document.querySelector('.history .photo img').naturalWidth > 0);
	const [row] = (await api.get(`/api/photos?bond=${bond}`)).rows;
	assert.deepEqual([row.width, row.height, row.note, row.done_by], [800, 1600, 'lug loose', 'Colm Hart']);
	assert.deepEqual(await page.evaluate(() => { const { naturalWidth: w, naturalHeight: h } = document.querySelector('.history .photo img'); return [w, h]; }), [160, 320]);
	const large = await page.request.get(served.url + await page.getAttribute('.history .photo', 'href'));
	assert.equal(hash(await large.body()), row.sha256);

	const at = join(served.folder, 'photos', row.small_sha256);
	assert.ok(readdirSync(join(served.folder, 'photos')).includes(row.sha256));
	renameSync(at, `${at}.away`);
	await page.reload();
	await page.waitForSelector('.history .notice:text("missing on the server")');
	renameSync(`${at}.away`, at);

	await page.reload();
	await rest(page);
	await page.locator('.history > li:has(.photo) .withdraw').click();
	await page.fill('#withdraw textarea, #withdraw input', 'A face is on it.');
	await page.click('#withdraw button.main');
	await page.waitForSelector('.history .what:text("Photo (withdrawn from sight)")');
	assert.equal(await page.locator('.history .photo').count(), 0);
	assert.equal((await page.request.get(`${served.url}/api/photos/${row.uuid}/picture`)).status(), 404);
	await page.context().close();
});
