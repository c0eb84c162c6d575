import { get, getAll, getWords } from '../api.js';
import { dayOf } from '../logic/day.js';
import { placeWords, spanWords } from '../logic/place.js';
import { frame } from '../parts/frame.js';
import { lineStrip } from '../parts/line-strip.js';
import { clearProblem, showNotice, showProblem } from '../parts/problems.js';
import { repeatChart } from '../parts/repeat-chart.js';
import { repeatExplained } from '../parts/repeat-explained.js';
import { rowKeys } from '../parts/row-keys.js';
import { strip } from '../parts/strip.js';
import { fillSelect, make, row, stamp } from '../parts/template.js';

const $ = (selector) => document.querySelector(selector);
const form = $('.filters');
const SETTINGS = ['window_m', 'period_months'];
const FILTERS = ['line', 'least', 'since', ...SETTINGS];
const body = $('main > .scroll > .rows > tbody');
const showStrip = lineStrip($('.fold'));
const NEAR_MM = 150000;   // of line shown to either side of a place

let words, lineNames, asked = 0;

/* Who and what was involved: the member of the API, its heading, the words of its codes. */
const INVOLVED = [
	['modes', 'What failed', 'failure_mode'], ['methods', 'Methods of attachment', 'attach_method'],
	['kits', 'Kits'], ['batches', 'Batches'], ['people', 'People']
];

async function start() {
	const [, known, lines] = await Promise.all([frame(), getWords(), getAll('lines', '')]);

	words = known;
	lineNames = new Map(lines.rows.map(({ id, name }) => [String(id), name]));
	fillSelect(form.line, lineNames);
	await fromAddress();
}

async function fromAddress() {
	const query = new URLSearchParams(location.search);
	const open = query.get('place');

	for (const name of FILTERS)
		form[name].value = query.get(name) ?? '';
	await load();
	const link = open && body.querySelector(`a[data-place="${CSS.escape(open)}"]`);
	if (link) {
		await toggle(link);
		link.scrollIntoView({ block: 'center' });
	}
}

async function load() {
	const turn = ++asked;
	const query = chosen();
	const { rows } = await getAll('repeat-places', query);

	if (turn !== asked)
		return;
	showNotice($('main > .notice'), '');
	clearProblem(form);
	$('.trial').hidden = !SETTINGS.some((name) => query.has(name));
	const where = form.line.selectedOptions[0].text;
	body.replaceChildren(...rows.map(rowOf));
	$('main > .scroll').hidden = rows.length === 0;
	$('.empty').hidden = rows.length > 0;
	$('.empty').replaceChildren(stamp(String(query) ? 'no-match' : 'none'));
	$('h1').textContent = `Repeat places, ${where}`;
	$('.summary').textContent = `${rows.length} ${rows.length === 1 ? 'place' : 'places'}`;
	document.title = `Repeat places, ${where} · ${rows.length}`;
	$('caption').textContent =
		`Repeat places, ${filterWords(where)}. Printed ${dayOf(new Date())}.`;
	for (const ending of ['csv', 'xlsx'])
		$(`.${ending}`).href = `/api/repeat-places.${ending}?${query}`;
	showStrip(form.line.value ? { id: form.line.value, name: where } : null, words, '',
		{ marks: rows.map(markOf) });
}

/* The place as the strip points it out. */
function markOf(place) {
	return { from_mm: place.from_mm, to_mm: place.to_mm, track: place.track, rail: place.rail,
		label: `${place.count} failures` };
}

/* What the filters say, as the API takes it. */
function chosen() {
	return new URLSearchParams(FILTERS.map((name) => [name, form[name].value.trim()])
		.filter(([, value]) => value)
		.map(([name, value]) => [name, name === 'window_m' ? value.replace(',', '.') : value]));
}

function filterWords(where) {
	return [where, form.least.value && `at least ${form.least.value} failures`,
		form.since.value && `still failing since ${form.since.value}`,
		form.window_m.value && `within ${form.window_m.value} m`,
		form.period_months.value && `within ${form.period_months.value} months`].filter(Boolean)
			.join('; ');
}

function rowOf(place) {
	const tr = stamp('row', {
		...place, line: lineNames.get(String(place.line_id)) ?? place.line, place: spanWords(place),
		rail: placeWords(place, words.rail),
		span_m: (place.span_mm / 1000).toFixed(1),
		days_apart: place.days_apart
	});
	const link = tr.querySelector('a');

	link.dataset.place = place.id;
	link.href = address(place.id);
	tr.place = place;
	return tr;
}

function address(open) {
	const query = chosen();
	if (open)
		query.set('place', open);
	const text = query.toString();
	return text ? `?${text}` : location.pathname;
}

/** Opens a place beneath its row, or closes it. */
async function toggle(link) {
	const tr = link.closest('tr');
	const isOpen = link.getAttribute('aria-expanded') === 'true';

	link.setAttribute('aria-expanded', String(!isOpen));
	history.replaceState(null, '', address(isOpen ? null : tr.place.id));
	if (isOpen) {
		tr.nextElementSibling.remove();
		return;
	}
	const detail = stamp('detail');
	tr.after(detail);
	try {
		const query = chosen();
		query.delete('line');
		query.delete('since');
		showPlace(detail, await get(`/api/repeat-places/${tr.place.id}?${query}`));
	} catch (problem) {
		showNotice(detail.querySelector('.notice'), problem.detail ?? problem.message,
			problem.status);
	}
}

function showPlace(detail, place) {
	const failures = [...place.failures].sort((a, b) => a.found_day.localeCompare(b.found_day))
		.map((failure, i) =>
			({ ...failure, number: i + 1, mode_title: words.failure_mode.get(failure.mode) }));

	detail.querySelector('.words').replaceChildren(repeatExplained(place.explained));
	strip(detail.querySelector('.place-strip'), {
		line: { id: place.line_id, name: lineNames.get(String(place.line_id)) ?? place.line },
		words, marks: [markOf(place)],
		view: { from_mm: place.from_mm - NEAR_MM, to_mm: place.to_mm + NEAR_MM }
	});
	repeatChart(detail.querySelector('.chart'), place, failures);
	detail.querySelector('.events > tbody').replaceChildren(...failures.map((failure) => {
		const tr = row([failure.number, 'figure'], [failure.found_day, 'keep'], '',
			[failure.chainage, 'keep'],
			failure.end_words ?? '', failure.mode_title, failure.cause,
				failure.made_good_day ?? 'not yet');
		const link = make('a', failure.label);
		link.href = `/bonds/${failure.bond_id}`;
		tr.cells[2].append(link);
		return tr;
	}));
	detail.querySelector('.involved').replaceChildren(...INVOLVED.flatMap(([name, title, list]) =>
		place[name]?.length ? [involved(title, place[name], words[list])] : []));
}

function involved(title, counted, titles) {
	const el = stamp('involved', { title });
	el.querySelector('ul').append(...counted.map(({ what, count }) => make('li',
		`${count} × ${titles?.get(what) ?? what ?? 'not recorded'}`)));
	return el;
}

function change() {
	history.pushState(null, '', address(null));
	load().catch(say);
}

/* What is wrong with a filter stands beside it. */
function say(problem) {
	if (problem.errors?.some(({ field }) => form.elements.namedItem(field)))
		showProblem(form, problem);
	else
		showNotice($('main > .notice'), problem.detail ?? problem.message, problem.status);
}

form.addEventListener('submit', (e) => e.preventDefault());
form.addEventListener('change', change);
form.querySelector('.clear').addEventListener('click', () => {
	form.reset();
	change();
});
body.addEventListener('click', (e) => {
	const link = e.target.closest('a[data-place]');
	if (link && !e.ctrlKey && !e.metaKey && !e.shiftKey) {
		e.preventDefault();
		toggle(link);
	}
});
addEventListener('popstate', () => fromAddress().catch(say));
rowKeys(body);

start().catch(say);
