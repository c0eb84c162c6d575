import { get, getAll, getWords } from '../api.js';
import { dayOf } from '../logic/day.js';
import { daysFigure, dueBecause } from '../logic/due-words.js';
import { filtersAddress, filtersQuery, orderOf, readFilters,
	toggleWord } from '../logic/filters.js';
import { placeWords } from '../logic/place.js';
import { ROUND_MOST } from '../logic/round.js';
import { deferDialog } from '../parts/defer.js';
import { dueState } from '../parts/due-state.js';
import { following } from '../parts/following.js';
import { frame } from '../parts/frame.js';
import { gradeSign } from '../parts/grade-sign.js';
import { lineStrip } from '../parts/line-strip.js';
import { showNotice } from '../parts/problems.js';
import { roundDialog } from '../parts/make-round.js';
import { rowKeys } from '../parts/row-keys.js';
import { may } from '../parts/session.js';
import { ticks } from '../parts/ticks.js';
import { fillSelect, make, stamp } from '../parts/template.js';

const STATES = ['overdue', 'due', 'soon', 'deferred', 'later'];
const GRADES = ['act', 'unknown', 'watch', 'sound'];   // worst first
/* inspections and mendings apart: each figure shows the rows that it counts */
const PARTS = [
	['inspections_overdue', 'inspections overdue', { what: 'inspection', state: 'overdue' }],
	['inspections_due', 'inspections due', { what: 'inspection', state: 'due' }],
	['mendings_overdue', 'mendings overdue', { what: 'mending', state: 'overdue' }],
	['mendings_due', 'mendings due', { what: 'mending', state: 'due' }],
	['asked', 'wait for an answer', { asked: 'yes' }]
];
const PAGE = '100';

const $ = (selector) => document.querySelector(selector);
const form = $('.filters');
const body = $('.rows > tbody');
const today = dayOf(new Date());

let filters = readFilters(location.search);
let words, lineNames, page, mayDefer, askRound, asked = 0;

const showStrip = lineStrip($('.fold'));
const askDefer = deferDialog($('#defer'), () => load());
const ticked = ticks(body, $('.ticked'), toRound, tickAll);

async function start() {
	const [person, known, lines] = await Promise.all([frame(), getWords(), getAll('lines', '')]);

	words = known;
	mayDefer = may(person, 'plan');
	for (const el of document.querySelectorAll('.act, .defer-key'))
		el.hidden = !mayDefer;
	lineNames = new Map(lines.rows.map(({ id, name }) => [String(id), name]));
	askRound = roundDialog($('#make-round'), madeRounds, words.round_work);
	fillSelect(form.line, lineNames);
	fillSelect(form.what, words.due_what);
	fillSelect(form.kind, words.bond_kind);
	fillSelect(form.criticality, words.criticality);
	fillSelect(form.verdict, [...words.verdict].filter(([code]) => code !== 'none'));
	showFilters();
	following($('.following')).catch(() => {});
	await load();
}

/** The form says what the address says. */
function showFilters() {
	for (const input of form.elements) {
		if (input.name)
			input.value = filters[input.name] ?? '';
	}
}

/** New filters: into the address, a page back away, and asked for. */
function change(more) {
	filters = { ...filters, after: '', ...more };
	history.pushState(null, '', filtersAddress(filters) || location.pathname);
	load();
}

/** What the list is asked for, its order too. */
function query(of, more = {}) {
	return filtersQuery({ ...of, sort: orderOf(of) }, today, more);
}

async function load() {
	const turn = ++asked;

	try {
		const got = await get(`/api/due?${query(filters, { limit: PAGE })}`);
		if (turn !== asked)
			return;   // a later question is under way
		page = got;
		showNotice($('main > .notice'), '');
		show();
	} catch (problem) {
		if (turn === asked)
			showNotice($('main > .notice'), problem.detail ?? problem.message, problem.status);
	}
}

function show() {
	const total = STATES.reduce((sum, state) => sum + (page.totals?.[state] ?? 0), 0);

	const held = Array.from(body.rows).indexOf(document.activeElement.closest('tbody > tr'));

	body.replaceChildren(...page.rows.map(rowOf));
	if (held >= 0)
		body.rows[Math.min(held, body.rows.length - 1)]?.querySelector('a').focus();
	body.parentElement.hidden = page.rows.length === 0;
	showTotals(total);
	showEmpty(total);
	$('.pager > .first').hidden = !filters.after;
	$('.pager > .next').hidden = !page.next;
	$('.pager > .shown').textContent = page.rows.length
		? `${page.rows.length} rows on this page${page.next ? ', more follow' : filters.after
			? ', the last' : ''}` : '';
	for (const ending of ['csv', 'xlsx'])
		$(`.${ending}`).href = `/api/due.${ending}?${query({ ...filters, after: '' })}`;
	showTitle(total);
	showLine();
	ticked.show(mayDefer);
}

/** The strip of the line that is chosen, by the filters of the list. */
function showLine() {
	const line = filters.line && { id: filters.line, name: lineNames.get(filters.line) };

	showStrip(line || null, words,
		filtersQuery({ ...filters, line: '', sort: '', after: '' }, today));
}

function rowOf(due) {
	const tr = stamp('row', {
		...due, over: daysFigure(due.days_over),
		rail: placeWords(due, words.rail),
		kind: words.bond_kind.get(due.kind), criticality: words.criticality.get(due.criticality),
		last_inspection_day: due.last_inspection_day ?? 'never',
		why: dueBecause(due, words)
	});

	dueState(tr.querySelector('.state'), due.state,
		`${words.due_what.get(due.what)} ${words.due_state.get(due.state)}`);
	gradeSign(tr.querySelector('.grade'), due.grade, words.grade.get(due.grade));
	tr.querySelector('a').href = `/bonds/${due.bond_id}`;
	tr.querySelector('.line').href = `/lines/${due.line_id}?at=${due.distance_mm}`;
	tr.querySelector('.line').title = lineNames.get(String(due.line_id)) ?? '';
	tr.querySelector('.act').hidden = !mayDefer;
	tr.querySelector('.defer').setAttribute('aria-label', `Defer ${due.label}`);
	tr.due = due;
	ticked.row(tr, due);
	return tr;
}

function showTotals(total) {
	const states = [['', 'all', total],
		...STATES.map((state) => [state, words.due_state.get(state), page.totals?.[state] ?? 0])];
	const grades = GRADES.map((grade) => [grade, words.grade.get(grade),
		page.totals?.[grade] ?? 0]);

	$('.totals.by-what').replaceChildren(...PARTS.map(partLink));
	showButtons('state',
		states.map(([state, text, count]) => countButton('state', state, text, count)));
	showButtons('grade', grades.map(([grade, text, count]) => {
		const button = countButton('grade', grade, '', count);
		gradeSign(button.insertBefore(make('span'), button.firstChild), grade, text);
		return button;
	}));
}

/** A figure of inspections or mendings, as the way to its rows; back again when they are shown. */
function partLink([name, text, of]) {
	const shown = Object.entries(of).every(([filter, word]) => filters[filter] === word);
	const more = shown ? Object.fromEntries(Object.keys(of).map((filter) => [filter, ''])) : of;
	const link = make('a', '');

	link.dataset.part = name;
	link.href = `/due${filtersAddress({ ...filters, after: '', ...more })}`;
	if (shown)
		link.setAttribute('aria-current', 'true');
	link.append(make('span', page.totals?.[name] ?? 0, 'count'), ` ${text}`);
	return link;
}

/* The one that has the focus keeps it. */
function showButtons(name, buttons) {
	const group = $(`.totals.by-${name}`);
	const held = group.contains(document.activeElement) ? document.activeElement.dataset.word
		: undefined;

	group.replaceChildren(...buttons);
	if (held !== undefined)
		group.querySelector(`[data-word="${held}"]`)?.focus();
}

function countButton(name, word, text, count) {
	const el = Object.assign(make('button'), { type: 'button' });
	const chosen = (filters[name] ?? '').split(',');

	el.dataset.word = word;
	el.setAttribute('aria-pressed', String(word ? chosen.includes(word) : !filters[name]));
	el.append(`${text} `, make('span', count, 'count'));
	return el;
}

function showEmpty(total) {
	const bare = !Object.keys(filters).some((name) => name !== 'sort' && filters[name]);
	const empty = $('.empty');

	empty.hidden = page.rows.length > 0;
	empty.replaceChildren(stamp(bare && total === 0 ? 'no-bonds' : 'no-match'));
}

/** The filter in words: for the title, the heading, and the sheet that is printed. */
function filterWords() {
	const chosen = (name) => filters[name] && form[name].selectedOptions?.[0]?.text;
	return [
		chosen('line'), filters.what && `${filters.what.replaceAll(',', ', ')} alone`,
		filters.state && `only ${filters.state.replaceAll(',', ', ')}`,
		chosen('kind'), filters.criticality && `criticality ${chosen('criticality')}`,
		filters.grade && `graded ${filters.grade.replaceAll(',', ', ')}`,
		filters.verdict && `worst reading ${chosen('verdict')}`,
		filters.crosses_before && `may cross its limit before ${filters.crosses_before}`,
		filters.asked && (filters.asked === 'yes' ? 'with a reading that waits for an answer'
			: 'without a question'),
		filters.days && `due within ${filters.days} days`,
		filters.q && `label begins with "${filters.q}"`
	].filter(Boolean);
}

function showTitle(total) {
	const where = (filters.line && form.line.selectedOptions[0]?.text) || 'every line';
	const { overdue = 0, inspections_overdue: inspections = 0, mendings_overdue: mendings = 0,
		act = 0 } = page.totals ?? {};

	$('h1').textContent = `Due, ${where}`;
	const alone = ['inspection', 'mending'].includes(filters.what);

	$('.summary').textContent = `${alone ? `${overdue} of ${countOf(total, filters.what)} overdue`
		: `${overdue} of ${countOf(total, 'bond')} overdue: ${countOf(inspections,
			'inspection')}, ${countOf(mendings, 'mending')}`}${act ? `; ${act} graded act` : ''}`;
	document.title = `Due, ${where} · ${overdue} ${alone ? `${filters.what}s ` : ''}overdue`;
	$('caption').textContent =
		`Due, ${filterWords().join('; ') || 'every bond'}. Printed ${today}. ${page.rows.length} ` +
		`rows${page.next ? ' of more: "Print all" on the page prints every one' : ''}.`;
}

const countOf = (count, thing) => `${count} ${thing}${count === 1 ? '' : 's'}`;

/** Fetches every row of the filter first: what is printed is the list, not a page of it. */
async function printAll() {
	const { rows, whole } = await getAll('due', query({ ...filters, after: '' }));

	page = { ...page, rows, next: whole ? null : page.next };
	show();
	window.print();
	load();
}

form.addEventListener('submit', (e) => e.preventDefault());
form.addEventListener('change', (e) => {
	if (e.target.name && e.target.name !== 'q')
		change({ [e.target.name]: e.target.value.trim() });
});
let typing;
form.q.addEventListener('input', () => {
	clearTimeout(typing);
	typing = setTimeout(() => change({ q: form.q.value.trim() }), 250);
});
form.querySelector('.clear').addEventListener('click', () => {
	change({ line: '', what: '', state: '', grade: '', asked: '', verdict: '', crosses_before: '',
		kind: '', criticality: '', days: '', q: '', sort: '' });
	showFilters();
});
for (const name of ['state', 'grade']) {
	$(`.totals.by-${name}`).addEventListener('click', (e) => {
		const word = e.target.closest('button')?.dataset.word;
		if (word !== undefined)
			change({ [name]: word ? toggleWord(filters[name], word) : '' });
	});
}
$('.totals.by-what').addEventListener('click', (e) => {
	const part = e.target.closest('a')?.dataset.part;
	if (!part || e.ctrlKey || e.metaKey || e.shiftKey)
		return;
	e.preventDefault();
	filters = readFilters(new URL(e.target.closest('a').href).search);
	change({});
	showFilters();
	$(`[data-part="${part}"]`).focus();
});
body.addEventListener('click', (e) => {
	if (e.target.matches('.defer'))
		deferRow(e.target.closest('tr'));
});
$('.pager > .next').addEventListener('click', next);
$('.pager > .first').addEventListener('click', () => change({}));
$('.print').addEventListener('click', () => printAll()
	.catch((problem) => showNotice($('main > .notice'), problem.detail ?? problem.message)));
addEventListener('popstate', () => {
	filters = readFilters(location.search);
	showFilters();
	load();
});

function next() {
	if (page?.next) {
		history.pushState({ paged: true }, '', filtersAddress({ ...filters, after: page.next }));
		filters = { ...filters, after: page.next };
		load().then(() => scrollTo(0, 0));
	}
}

function deferRow(tr) {
	if (tr && mayDefer)
		askDefer({ id: tr.due.bond_id, label: tr.due.label }).catch((problem) =>
			showNotice($('main > .notice'), problem.detail ?? problem.message, problem.status));
}

/** Every bond that the filter shows is ticked, on whatever page it stands. */
async function tickAll() {
	const { rows, whole } = await getAll('due', query({ ...filters, after: '' }), ROUND_MOST);

	ticked.all(rows);
	showNotice($('main > .notice'), whole ? ''
		: `The first ${rows.length} are ticked: more are seldom put on rounds at once. ` +
			'Narrow the filter for the others.');
}

/* Of both kinds together nothing is chosen beforehand. */
function toRound(bonds) {
	const mendings = bonds.filter(({ what }) => what === 'mending').length;
	const work = mendings === 0 ? 'inspect' : mendings === bonds.length ? 'mend' : '';

	askRound(bonds, work).catch((problem) =>
		showNotice($('main > .notice'), problem.detail ?? problem.message, problem.status));
}

async function madeRounds(made) {
	ticked.none();
	if (made.length === 1)
		location.assign(`/rounds/${made[0]}`);
	else
		location.assign('/rounds');
}

rowKeys(body, {
	n: next,
	p: () => history.state?.paged ? history.back() : filters.after && change({}),
	d: deferRow,
	x: (tr) => mayDefer && tr?.querySelector('.tick > input').click()
}, $('.single-keys'));

start().catch((problem) => showNotice($('main > .notice'), problem.detail ?? problem.message,
	problem.status));
