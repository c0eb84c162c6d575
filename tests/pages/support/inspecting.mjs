/* What the tests of the inspection's page do with it. */
import { rest, TABLET } from './browser.mjs';

/** @param {{open, api, railway}} on  what begin() gives */
export function inspecting({ open, api, railway }) {
	const number = (label) => railway.bonds.get(label);
	const rowsOf = (list) => async (label) => (await api.get(`/api/${list}?bond=${number(label)}`)).rows;
	const tap = (page, selector) => page.locator(selector).tap();
	const choose = (page, name, value) => page.locator(`.choice:has(input[name="${name}"][value="${value}"])`).tap();
	const figure = (page, name) => page.locator(`[data-field="${name}"]`).first();
	const quantity = (card, value) => card.locator(`.choice:has(input[value="${value}"])`).tap();

	async function meter(page, serial = 'M-204') {
		const { rows } = await api.get('/api/instruments');
		await choose(page, 'instrument_id', String(rows.find((one) => one.serial === serial).id));
	}

	async function seenGood(page) {
		await choose(page, 'seen_a', 'good');
		await choose(page, 'seen_b', 'good');
	}

	async function measure(page, shown, temp) {
		await figure(page, 'shown_uohm').fill(shown);
		await figure(page, 'temp_c').fill(temp);
	}

	return {
		number, tap, choose, figure, quantity, meter, seenGood, measure,
		path: (label) => `/bonds/${number(label)}/inspect`,
		tablet: (where, more = {}) => open(where, { who: 'crew', size: TABLET, touch: true, ...more }),
		inspections: rowsOf('inspections'), readings: rowsOf('readings'),
		state: (page) => page.textContent('.state .words'),
		verdict: (page) => page.locator('.reading > .result > .verdict').first(),
		means: (page) => page.locator('.reading .means').first().textContent(),
		save: (page) => tap(page, 'form button.save'),

		/** Fills in what every inspection has, and one reading. */
		async fillIn(page) {
			await choose(page, 'outcome', 'complete');
			await choose(page, 'seen_a', 'good');
			await choose(page, 'seen_b', 'corroded');
			await meter(page);
			await quantity(page.locator('.reading').first(), 'end_to_end');
			await measure(page, '152,4', '31');
		},

		async saved(page, title = 'Saved on the server') {
			await page.waitForFunction((wanted) => document.querySelector('.result h2').textContent === wanted, title);
			await rest(page);
		}
	};
}
