/* rules.wasm as the server serves it, in a browser under its policy: the case files again. */
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';

import { begin } from './support/begin.mjs';
import { TABLET } from './support/browser.mjs';
import { CASES, RULEBOOK, wrongAnswers } from './support/cases.mjs';

const { open, served, railway } = await begin();
const path = `/bonds/${railway.bonds.get('V-0007')}/inspect`;

test('is served as what it is, small, and for ever under its name', async () => {
	const html = await (await fetch(served.url + path)).text();
	const [, name] = html.match(/href="(\/rules-[A-Z0-9]{8}\.wasm)"/);
	const got = await fetch(served.url + name);

	assert.equal(got.headers.get('content-type'), 'application/wasm');
	assert.match(got.headers.get('cache-control'), /immutable/);
	assert.match(got.headers.get('content-security-policy'), /script-src 'self' 'wasm-unsafe-eval';/);
	assert.ok((await got.arrayBuffer()).byteLength < 110000);
});

test('answers every case in the browser as the native rules do', async () => {
	const page = await open(path, { who: 'crew', size: TABLET, touch: true });
	// the loader as it stands in the source: a data URL would be against the policy
	const loader = readFileSync(new URL('../../static/js/logic/rules.js', import.meta.url), 'utf8').replaceAll(/^export /gm, '');
	const wrong = await page.evaluate(`(async () => {
		${loader}
		const rules = await loadRules(fetch(document.querySelector('link[href$=".wasm"]').href));
		return (${wrongAnswers})(rules, ${JSON.stringify(CASES)}, ${JSON.stringify(RULEBOOK)});
	})()`);

	assert.deepEqual(wrong, []);
});

test('is fetched once: what is announced is what is used', async () => {
	const page = await open(path, { who: 'crew', size: TABLET, touch: true });
	assert.equal(await page.evaluate('performance.getEntriesByType("resource").filter(({ name }) => name.endsWith(".wasm")).length'), 1);
});
