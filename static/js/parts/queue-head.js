import { watchKept } from '../logic/kept.js';
import { queueLinks } from '../logic/queue.js';
import { keptNow, serveQueue } from './queue.js';
import { make } from './template.js';

/**
 * What is kept on this device, in the head of a page: how many are saved, refused, unfinished,
 * received, each a link to its list. Nothing while there is nothing.
 *
 * @param {HTMLElement} el  a nav
 */
export function queueHead(el) {
	let turn = 0;

	async function show() {
		const mine = ++turn;
		const links = await keptNow().then(queueLinks, () => []);

		if (mine === turn && el.dataset.are !== JSON.stringify(links))
			fill(el, links);
	}
	watchKept(show);
	show();
}

/* (made anew only when they change, so that the focus stays) */
function fill(el, links) {
	el.dataset.are = JSON.stringify(links);
	el.hidden = links.length === 0;
	el.replaceChildren(...links.map(({ href, text, state }) => {
		const link = Object.assign(make('a', text), { href });
		link.dataset.state = state;
		return link;
	}));
}

/** The same in the head of a page that is no form: it sends too. */
export function sendingHead(el) {
	queueHead(el);
	serveQueue();
}
