// Takes the README's pictures of a served demo railway: pictures.mjs http://127.0.0.1:8080 FOLDER
import { execFileSync } from 'node:child_process';
import { mkdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';

import { chromium } from 'playwright-core';

import { palettePng } from './support/palette-png.mjs';

const FLAGS = ['--headless', '--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run',
	'--disable-background-networking', '--disable-component-update', '--disable-sync'];
const [base, folder] = process.argv.slice(2);
const browser = await chromium.launch({ executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium-headless-shell', args: FLAGS });
const desk = await browser.newContext({ viewport: { width: 1280, height: 720 } });
const page = await desk.newPage();

const take = async (from, name) => {
	await from.waitForLoadState('networkidle');
	writeFileSync(`${folder}/${name}.png`, palettePng(await from.screenshot()));
};

/* The first sheet as it comes out of the printer. */
const print = async (from, name) => {
	const pdf = `${folder}/${name}.pdf`;

	await from.waitForLoadState('networkidle');
	writeFileSync(pdf, await from.pdf({ preferCSSPageSize: true }));
	execFileSync('pdftoppm', ['-r', '90', '-png', '-singlefile', pdf, `${folder}/${name}`]);
	writeFileSync(`${folder}/${name}.png`, palettePng(readFileSync(`${folder}/${name}.png`)));
	rmSync(pdf);
};

mkdirSync(folder, { recursive: true });
await page.goto(`${base}/sign-in`);
await page.fill('[name=login]', 'manager');
await page.fill('[name=password]', 'demo-manager-2026');
await page.keyboard.press('Enter');
await page.waitForURL((url) => url.pathname !== '/sign-in');

await page.goto(`${base}/due?state=overdue`);
await take(page, 'due');

const { rows: [place] } = await (await desk.request.get(`${base}/api/repeat-places?limit=1`)).json();
const { rows: [failure] } = await (await desk.request.get(`${base}/api/failures?place=${place.id}`)).json();
/* a bond whose limit may be crossed about now, and by the fitted line later */
const days = (n) => new Date(Date.now() + n * 86400000).toISOString().slice(0, 10);
const { rows: forecast } = await (await desk.request.get(`${base}/api/due?sort=early&limit=200`)).json();
const rising = forecast.find((row) => row.early_day > days(-365) && row.crosses_day > days(180)) ?? { bond_id: failure.bond_id };
await page.setViewportSize({ width: 1280, height: 1000 });
await page.goto(`${base}/bonds/${rising.bond_id}`);
await page.waitForSelector('.rail-drawing');
await page.locator('.judged').first().evaluate((el) => scrollTo(0, el.getBoundingClientRect().top - 60));
await take(page, 'bond');
await page.setViewportSize({ width: 1280, height: 720 });

await page.goto(`${base}/repeat`);
await page.locator('tbody a').first().click();
await take(page, 'repeat');

await page.setViewportSize({ width: 1440, height: 900 });
await page.mouse.move(0, 0);
await page.goto(`${base}/report`);
await take(page, 'report');
await print(page, 'report-print');

await page.setViewportSize({ width: 1280, height: 720 });
await page.goto(`${base}/lines/${place.line_id}`);
await take(page, 'line');
await print(page, 'line-print');

await page.goto(`${base}/rounds`);
await page.waitForSelector('tbody a');
await take(page, 'rounds');

await page.goto(`${base}/rulebook`);
await page.click('.edit');
await page.fill('[name="interval_months.rail_joint.normal"]', '9');
await page.fill('[name="limits.rail_joint.cable_tolerance_percent"]', '5');
await page.press('[name="limits.rail_joint.cable_tolerance_percent"]', 'Tab');
await page.click('.try');
await page.waitForSelector('.tried summary');
await page.locator('.tried summary').first().click();
await page.locator('.changes .confirm').evaluate((el) => el.scrollIntoView());
await take(page, 'rulebook');
await page.click('.leave');

const tablet = await browser.newContext({ viewport: { width: 820, height: 1180 }, hasTouch: true, storageState: await desk.storageState() });
const form = await tablet.newPage();
await form.goto(`${base}/bonds/${failure.bond_id}/inspect`);
await form.locator('[data-name="instrument_id"] label').first().click();
await form.fill('[data-field="shown_uohm"]', '232,5');
await form.fill('[data-field="temp_c"]', '8');
const showResult = () => form.locator('.reading .result').first().evaluate((el) => el.scrollIntoView({ block: 'center' }));
await showResult();
await take(form, 'inspect');
await form.tap('.dark');
await showResult();
await take(form, 'inspect-dark');

await form.tap('.dark');
await form.goto(`${base}/bonds/${failure.bond_id}/attach?end=a`);
const { rows: [live] } = await (await desk.request.get(`${base}/api/attachments?bond=${failure.bond_id}&end=a&live=yes`)).json();
await form.fill('#offset', String((live.offset_mm ?? 0) + 30));
await form.locator('.spot').evaluate((el) => scrollTo(0, el.getBoundingClientRect().top - 130));
await take(form, 'attach');
await form.tap('.dark');

await form.tap('.dark');
const { rows: rounds } = await (await desk.request.get(`${base}/api/rounds`)).json();
await form.goto(`${base}/round/${rounds.find(({ state }) => state === 'taken').uuid}`);
await form.waitForSelector('.view h2');
await take(form, 'depot');
await form.goto(`${form.url()}#walk`);
await form.waitForSelector('.next');
await take(form, 'walk');
await form.locator('.next a[href^="#record="]').first().tap();
await form.waitForSelector('.keypad');
await form.waitForTimeout(1000);   // what is tapped at once is taken for a second tap
await form.locator('.both').tap();
for (const key of ['8', '7'])
	await form.locator(`.keypad [data-key="${key}"]`).tap();
await form.waitForTimeout(1500);
await take(form, 'record');
await form.goto(form.url().replace(/#.*/, '#walk'));
await form.waitForSelector('.next');
await form.tap('.dark');

/* the dark of the form is kept for the whole tablet */
await form.goto(`${base}/lines/${place.line_id}?at=${place.from_mm}`);
await take(form, 'line-dark');
await browser.close();
