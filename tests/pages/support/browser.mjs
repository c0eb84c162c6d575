/* Chromium and what every page is held to: no error on its console, nothing that its policy forbids. */
import assert from 'node:assert/strict';
import { existsSync, readFileSync } from 'node:fs';
import { createRequire } from 'node:module';

import { chromium } from 'playwright-core';

import { PEOPLE } from './served.mjs';

const CHROMIUM = process.env.CHROMIUM ?? '/usr/bin/chromium-headless-shell';
const FLAGS = ['--headless', '--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run',
	'--disable-background-networking', '--disable-component-update', '--disable-sync'];
const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');

export const DESK = { width: 1440, height: 900 };
export const TABLET = { width: 820, height: 1180 };

export const hasBrowser = () => existsSync(CHROMIUM);

/**
 * @param {import('./served.mjs').Served} served
 * @returns an object that opens pages; end() closes the browser and says what the pages complained of
 */
export async function browse(served) {
	const browser = await chromium.launch({ executablePath: CHROMIUM, args: FLAGS });
	const complaints = [];
	const cookies = new Map();

	function watch(page) {
		page.setDefaultTimeout(20000);   // other work may have the processor
		countAsked(page);
		page.on('pageerror', (e) => complaints.push(`${page.url()}: ${e.stack}`));
		page.on('console', (said) => {
			// an answer that is a refusal, or none, is reported by the browser itself
			if (said.type() === 'error' && !/^Failed to load resource/.test(said.text()))
				complaints.push(`${page.url()}: ${said.text()}`);
		});
		return page;
	}

	async function sessionOf(who) {
		if (!cookies.has(who)) {
			const { login, password } = PEOPLE[who];
			const response = await fetch(`${served.url}/api/session`, {
				method: 'POST', body: JSON.stringify({ login, password }), headers: { 'content-type': 'application/json' }
			});
			const [name, value] = response.headers.get('set-cookie').split(';')[0].split('=');
			cookies.set(who, { name, value, url: served.url });
		}
		return cookies.get(who);
	}

	return {
		/**
		 * A page in a context of its own, loaded and at rest.
		 *
		 * @param {string} path
		 * @param {{who?: string|null, size?, dark?: boolean, touch?: boolean, context?: object}} [how]
		 *	who: one of PEOPLE, null for a stranger
		 */
		async open(path, { who = 'planner', size = DESK, dark = false, touch = false, context: more = {} } = {}) {
			const context = await browser.newContext({ viewport: size, colorScheme: dark ? 'dark' : 'light', hasTouch: touch, acceptDownloads: true, timezoneId: 'UTC', ...more });
			if (who)
				await context.addCookies([await sessionOf(who)]);
			const page = watch(await context.newPage());
			context.on('page', watch);
			await page.goto(served.url + path);
			await rest(page);
			return page;
		},
		complaints,
		async end() {
			await browser.close();
			assert.deepEqual(complaints, [], 'no page complained on its console');
		}
	};
}

const asked = new WeakMap();   // page -> how many of its requests have no answer yet

function countAsked(page) {
	const count = (step) => () => { asked.set(page, asked.get(page) + step); };

	asked.set(page, 0);
	page.on('request', count(1));
	page.on('requestfinished', count(-1));
	page.on('requestfailed', count(-1));
}

/** Until the page has what it asked for, and asks for nothing more. */
export async function rest(page) {
	for (let quiet = 0; quiet < 4; quiet = asked.get(page) ? 0 : quiet + 1)
		await page.waitForTimeout(15);
	await page.evaluate(() => new Promise((drawn) => requestAnimationFrame(() => setTimeout(drawn))));
}

/** What axe finds wrong with the page as it stands; [] is good. Of `coloursOnly` the contrasts: enough
 * where only the colours are others than when all was looked at. */
export async function wrongs(page, { coloursOnly = false } = {}) {
	if (!await page.evaluate('"axe" in window'))
		await page.evaluate(axe);
	const violations = await page.evaluate(async (runOnly) => (await window.axe.run(document, { runOnly, resultTypes: ['violations'],
		rules: runOnly.type === 'tag' ? { 'color-contrast-enhanced': { enabled: true } } : {} })).violations,
	coloursOnly ? { type: 'rule', values: ['color-contrast', 'color-contrast-enhanced', 'link-in-text-block'] } :
		{ type: 'tag', values: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'] });

	return violations.flatMap(({ id, nodes }) => nodes.map((node) => `${id}: ${node.target.join(' ')}: ${node.failureSummary.split('\n').slice(1).join(' ')}`));
}
