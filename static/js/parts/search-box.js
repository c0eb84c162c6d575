import { get } from '../api.js';
import { make } from './template.js';

const TITLES = { place: 'Places', bond: 'Bonds', line: 'Lines', instrument: 'Instruments',
	person: 'People' };
const ASK_AFTER_MS = 150;

/**
 * The one search box: a bond's label, a line and a chainage, a person, an instrument. A combobox:
 * what is found stands in a list beneath, arrows walk it, Enter opens. "/" comes here from
 * anywhere on the page, unless single keys are switched off.
 *
 * @param {HTMLElement} el  .find of the page's head, with its input and its list
 */
export function searchBox(el) {
	const input = el.querySelector('input');
	const list = el.querySelector('[role="listbox"]');
	const said = el.querySelector('[role="status"]');
	let timer, asked = 0, found = '', at = -1;

	const options = () => [...list.querySelectorAll('[role="option"]')];

	async function ask() {
		const turn = ++asked;
		const text = input.value.trim();

		if (!text) {
			close();
			return;
		}
		try {
			const { groups } = await get(`/api/search?${new URLSearchParams({ q: text })}`);
			if (turn === asked)
				found = text, show(groups);
		} catch (problem) {
			if (turn === asked)
				show([], problem.detail ?? problem.message);
		}
	}

	function show(groups,
		trouble = 'Nothing begins so. A place is a line and its chainage, like VAL 12+345.') {
		list.replaceChildren(...groups.map(group));
		options().forEach((option, i) => { option.id = `find-${i}`; });
		el.querySelector('.none').textContent = groups.length ? '' : trouble;
		said.textContent = groups.length ? `${options().length} found` : trouble;
		list.hidden = groups.length === 0;
		input.setAttribute('aria-expanded', String(groups.length > 0));
		el.dataset.open = '';
		choose(-1);
	}

	function close() {
		asked++;
		clearTimeout(timer);
		delete el.dataset.open;
		list.hidden = true;
		input.setAttribute('aria-expanded', 'false');
		choose(-1);
	}

	function choose(to) {
		const all = options();

		at = to;
		all.forEach((option, i) => option.setAttribute('aria-selected', String(i === to)));
		if (to >= 0) {
			input.setAttribute('aria-activedescendant', all[to].id);
			all[to].scrollIntoView({ block: 'nearest' });
		} else
			input.removeAttribute('aria-activedescendant');
	}

	/* Enter before anything is chosen: once what was typed is found, the first of it. */
	async function enter() {
		if (found !== input.value.trim() || !('open' in el.dataset)) {
			clearTimeout(timer);
			await ask();
		}
		const option = options()[Math.max(at, 0)];
		if (option?.href)
			location.assign(option.href);
	}

	input.addEventListener('input', () => {
		clearTimeout(timer);
		timer = setTimeout(ask, ASK_AFTER_MS);
	});
	input.addEventListener('focus', () => input.value.trim() && ask());
	input.addEventListener('keydown', (e) => {
		const count = options().length;

		if (e.key === 'ArrowDown' || e.key === 'ArrowUp') {
			if (!('open' in el.dataset))
				ask();
			else if (count)
				choose(e.key === 'ArrowDown' ? (at + 1) % count : (at <= 0 ? count : at) - 1);
		} else if (e.key === 'Enter')
			enter();
		else if (e.key === 'Escape' && 'open' in el.dataset)
			close();
		else
			return;
		e.preventDefault();
		e.stopPropagation();
	});
	el.addEventListener('focusout', (e) => {
		if (!el.contains(e.relatedTarget))
			close();
	});
	document.addEventListener('keydown', (e) => {
		const typing =
			e.target.closest?.('input:not([type="checkbox"], [type="radio"]), select, textarea');
		if (e.key !== '/' || e.ctrlKey || e.altKey || e.metaKey || typing ||
			document.querySelector('dialog[open]') || localStorage.getItem('single-keys') === 'off')
			return;
		e.preventDefault();
		input.focus();
		input.select();
	});
}

function group({ kind, rows }) {
	const el = make('div', '', 'group');
	const title = make('div', TITLES[kind] ?? kind, 'title');

	title.id = `find-${kind}`;
	el.setAttribute('role', 'group');
	el.setAttribute('aria-labelledby', title.id);
	el.append(title, ...rows.map(option));
	return el;
}

/* What leads to no page is there to be read. */
function option({ title, detail, href }) {
	const el = make(href ? 'a' : 'div', '', 'option');

	el.setAttribute('role', 'option');
	el.tabIndex = -1;
	if (href)
		el.href = href;
	el.append(make('strong', title), ' ', make('span', detail ?? ''));
	return el;
}
