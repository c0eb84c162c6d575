/* A round on a tablet, for the tests of its pages. */
import { newUuid } from '../../../static/js/logic/uuid.js';
import { rest, TABLET } from './browser.mjs';
import { TODAY } from './railway.mjs';

/** @param {Awaited<ReturnType<import('./begin.mjs').begin>>} program */
export function rounds({ served, api, railway, open }, labels) {
	const number = (label) => railway.bonds.get(label);
	const tablet = (path, more = {}) => open(path, { who: 'crew', size: TABLET, touch: true, ...more });

	return {
		number, tablet,
		async make(more = {}) {
			const uuid = newUuid();

			await api.put(`/api/rounds/${uuid}`, { work: 'inspect', crew: 'Night crew', persons: ['Colm Hart'], shift_day: TODAY,
				begins: '23:40', ends: '03:40', bonds: labels.map(number), ...more });
			return uuid;
		},
		/** Opened while the server answers: complete from then on. */
		async opened(uuid, hash = '', more = {}) {
			const page = await tablet(`/round/${uuid}${hash}`, more);

			await page.waitForFunction(async () => (await navigator.serviceWorker.getRegistration())?.active?.state === 'activated' &&
				document.querySelector('.view')?.children.length > 0);
			return page;
		},
		/** (a tap within 0.6 s of another counts as the same) */
		async tap(page, text) {
			await page.waitForTimeout(650);
			await page.locator(`:is(.view, .undo) :is(a, button):text-is("${text}")`).tap();
		},
		async sent(page) {
			await served.start();
			await page.goto(`${served.url}/queue`);
			await page.waitForFunction(() => document.querySelector('#saved .none:not([hidden])') && document.querySelector('#received li'), null, { timeout: 60000 });
			await rest(page);
		}
	};
}

/** Targets that are too small, gaps that are too narrow. */
export const tooSmall = (least) => Array.from(document.querySelectorAll('a, button, input:not([type=radio]), .choice > span, textarea')).filter((el) => el.offsetParent &&
	!el.closest('.skip')).map((el) => [el.textContent || el.id, el.getBoundingClientRect()])
	.filter(([, box]) => box.height < least - .5 || box.width < least - .5).map(([words, { width, height }]) => `${words}: ${width} x ${height}`);

export function tooNear(least) {
	const boxes = Array.from(document.querySelectorAll('.view :is(a, button, input:not([type=radio]), .choice > span, textarea)')).filter((el) => el.offsetParent)
		.map((el) => [el.textContent || el.id, el.getBoundingClientRect()]);
	const gap = (a, b) => Math.max(a.left - b.right, b.left - a.right, a.top - b.bottom, b.top - a.bottom);

	return boxes.flatMap(([name, a], i) => boxes.slice(i + 1).filter(([, b]) => gap(a, b) < least - .5).map(([other, b]) => `${name} | ${other}: ${gap(a, b)}`));
}
