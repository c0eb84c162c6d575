import { get, getWords } from '../api.js';
import { dayOf } from '../logic/day.js';
import { filtersAddress, filtersQuery, readFilters } from '../logic/filters.js';
import { GRADES, STATES, axisOf, jumpWords } from '../logic/strip.js';
import { frame } from '../parts/frame.js';
import { gradeSign } from '../parts/grade-sign.js';
import { kindGlyph } from '../parts/kind-glyph.js';
import { lineMaps } from '../parts/line-maps.js';
import { showNotice } from '../parts/problems.js';
import { renewals } from '../parts/renewals.js';
import { strip } from '../parts/strip.js';
import { fillSelect, make } from '../parts/template.js';

const NEAR_MM = 250000;   // to either side of a place that was asked for

const $ = (selector) => document.querySelector(selector);
const id = location.pathname.match(/^\/lines\/(\d+)$/)?.[1];
const form = $('.filters');
const today = dayOf(new Date());

let filters = readFilters(location.search);
let person, line, words, drawn, view;

async function start() {
	const [who, known, got] = await Promise.all([frame(), getWords(), get(`/api/lines/${id}`)]);

	person = who;
	words = known;
	line = got;
	fillSelect(form.kind, words.bond_kind);
	fillSelect(form.criticality, words.criticality);
	fillSelect(form.state, STATES.map((state) => [state, words.due_state.get(state)]));
	fillSelect(form.grade, GRADES.map((grade) => [grade, words.grade.get(grade)]));
	fillSelect(form.verdict, [...words.verdict].filter(([code]) => code !== 'none'));
	for (const input of form.elements) {
		if (input.name)
			input.value = filters[input.name] ?? '';
	}
	$('h1').textContent = line.name;
	$('.printed').textContent = `Printed ${today}.`;
	drawn = strip($('.line-strip'), { line, words, filters: query(), view: viewOf(location.search),
		marks: marksOf(location.search), onView: seen });
	await showCounts();
}

/** The due list's filters, the line left to the strip. */
function query(more = {}) {
	return filtersQuery({ ...filters, line: '', sort: '', after: '', ...more }, today);
}

/* from and to as the strip keeps them in the address, or one place with some line around it. */
function viewOf(search) {
	const address = new URLSearchParams(search);
	const number = (name) => /^-?\d{1,12}$/.test(address.get(name) ?? '')
		? Number(address.get(name)) : null;
	const at = number('at');

	if (at !== null)
		return { from_mm: at - NEAR_MM, to_mm: at + NEAR_MM };
	return number('from_mm') !== null && number('to_mm') > number('from_mm')
		? { from_mm: number('from_mm'), to_mm: number('to_mm') } : null;
}

function marksOf(search) {
	const at = new URLSearchParams(search).get('at');
	return /^-?\d{1,12}$/.test(at ?? '')
		? [{ from_mm: Number(at), to_mm: Number(at), label: 'here' }] : [];
}

/** The view goes into the address, so that it can be sent to a colleague. */
function seen(next, got) {
	const address = new URLSearchParams(filtersAddress(filters));

	if (view) {
		address.set('from_mm', next.from_mm);
		address.set('to_mm', next.to_mm);
		history.replaceState(null, '', `?${address}`);
	}
	view = next;
	if ($('.sheets').hidden)
		showFacts(got);
}

function showFacts(got) {
	const axis = axisOf(got.axes, null);
	const dl = $('.sheet .facts');
	const pairs = [
		['Code', line.code], ['Name', line.name], ['Chainage', words.notation.get(line.notation)],
		['Electrification', words.electrification.get(line.electrification)],
		['Reaches', got.count
			? `${axis?.edges[0]?.text ?? ''} to ${axis?.edges[axis.edges.length - 1]?.text ?? ''}`
			: ''],
		['Tracks', got.tracks.map((track) => track.own_map ? `${track.name} (chainage of its own)`
			: track.name).join(', ') || 'none yet']
	];

	dl.replaceChildren(...pairs.filter(([, text]) => text)
		.flatMap(([term, text]) => [make('dt', term), make('dd', text)]));
	$('.jumps').replaceChildren(...got.axes.flatMap((one) => jumps(one, got)));
	$('.sheets').hidden = false;
	Promise.all([renewals($('.renewals'), { line, tracks: got.tracks, person, today }, words),
		lineMaps($('.maps'), $('#withdraw'), { line, person }, () => location.reload())])
		.catch((problem) => showNotice($('main > .notice'), problem.detail ?? problem.message,
			problem.status));
}

function jumps(axis, got) {
	const track = got.tracks.find((one) => one.id === axis.track_id);
	const heading = make('h3',
		track ? `On ${track.name}` : got.axes.length > 1 ? 'On the other tracks' : '');
	const list = make('ul', '', 'jump-list');

	list.append(...axis.breaks.map((jump) => {
		const li = make('li', jumpWords(jump) + ' ');
		const link = Object.assign(make('a', 'Show'), { href: `?at=${jump.mm}` });
		link.setAttribute('aria-label', `Show the jump at ${jump.before}`);
		link.addEventListener('click', (e) => {
			e.preventDefault();
			drawn.look({ from_mm: jump.mm - NEAR_MM, to_mm: jump.mm + NEAR_MM });
			$('.strip').scrollIntoView({ block: 'nearest' });
		});
		li.append(link);
		return li;
	}));
	return [heading, axis.breaks.length ? list
		: make('p', 'Nowhere: chainage and distance are the same all along.', 'quiet')]
		.filter((el) => el.textContent);
}

/** Bonds by kind, and by state and grade; each figure leads to the list that it counts. */
async function showCounts() {
	const columns = [...STATES.map((state) => ({ state })), ...GRADES.map((grade) => ({ grade }))];
	const counts = await Promise.all(columns.map(async (by) =>
		kindsOf(await get(`/api/lines/${id}/strip?buckets=1&${new URLSearchParams(by)}`))));
	const kinds = [...words.bond_kind.keys()].filter((kind) => counts.some((count) => count[kind]));
	const sum = (list) => list.reduce((a, b) => a + b, 0);
	const rowOf = (kind) => columns.map((_, i) => kind ? counts[i][kind] ?? 0
		: sum(Object.values(counts[i])));
	const all = rowOf('');
	const total = sum(all.slice(0, STATES.length));
	const act = all[columns.findIndex(({ grade }) => grade === 'act')];

	$('.counts-of-kinds thead > tr').replaceChildren(th('Kind'),
		...STATES.map((state) => th(words.due_state.get(state), 'figure')),
		...GRADES.map(gradeHeading), th('all', 'figure'));
	$('.counts-of-kinds tbody')
		.replaceChildren(...[...kinds, ''].map((kind) => countRow(kind, columns, rowOf(kind))));
	$('.counts-of-kinds').hidden = total === 0;
	$('.sheet .none').hidden = total > 0;
	$('.summary').textContent = `${line.code} · ${total} bonds in service, ${all[0]} overdue${act
		? `, ${act} graded act` : ''}`;
	document.title = `${line.name} · ${all[0]} overdue`;
	$('.to-due').href = `/due?line=${id}`;
	$('.to-repeat').href = `/repeat?line=${id}`;
	$('.to-bonds').href = `/list?of=bonds&line=${id}`;
}

function gradeHeading(grade) {
	const heading = th('', 'figure');
	gradeSign(heading.appendChild(make('span')), grade, words.grade.get(grade));
	return heading;
}

function kindsOf({ bonds, buckets }) {
	const counts = {};
	for (const kinds of bonds?.map((bond) => ({ [bond.kind]: 1 })) ??
		buckets.map((bucket) => bucket.kinds)) {
		for (const [kind, count] of Object.entries(kinds))
			counts[kind] = (counts[kind] ?? 0) + count;
	}
	return counts;
}

function countRow(kind, columns, counts) {
	const tr = make('tr');
	const name = Object.assign(make('th', kind ? '' : 'every kind'), { scope: 'row' });
	const all = counts.slice(0, STATES.length).reduce((a, b) => a + b, 0);

	if (kind)
		name.append(kindGlyph(kind), ` ${words.bond_kind.get(kind)}`);
	tr.append(name, ...counts.map((count, i) => figure(count, { kind, ...columns[i] })),
		figure(all, { kind }));
	return tr;
}

function figure(count, more) {
	const td = make('td', '', 'figure');
	if (count)
		td.append(Object.assign(make('a', count),
			{ href: `/due${filtersAddress({ line: id, ...more })}` }));
	else
		td.textContent = '0';
	return td;
}

function th(text, className = '') {
	return Object.assign(make('th', text, className), { scope: 'col' });
}

form.addEventListener('submit', (e) => e.preventDefault());
form.addEventListener('change', (e) => {
	filters = { ...filters, [e.target.name]: e.target.value };
	drawn.filter(query());
});
form.querySelector('.clear').addEventListener('click', () => {
	form.reset();
	filters = {};
	drawn.filter(query());
});

start().catch((problem) => showNotice($('main > .notice'), problem.detail ?? problem.message,
	problem.status));
