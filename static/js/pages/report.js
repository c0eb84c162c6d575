import { get, getAll, getWords } from '../api.js';
import { dayOf } from '../logic/day.js';
import { newUuid } from '../logic/uuid.js';
import { placeWords, spanWords } from '../logic/place.js';
import { addGroups, bandWords, byLine, listFile, listPage, monthWords, shareOnTime,
	sums } from '../logic/report.js';
import { frame } from '../parts/frame.js';
import { gradeSign } from '../parts/grade-sign.js';
import { monthBars } from '../parts/month-bars.js';
import { printHead } from '../parts/print-head.js';
import { clearProblem, showNotice, showProblem } from '../parts/problems.js';
import { fillSelect, make, row, stamp } from '../parts/template.js';

const ASK_AGAIN_MS = 1000;
const LINES_NAMED = 6;   // in the heading; more are counted

const $ = (selector) => document.querySelector(selector);
const form = $('.filters');
const printed = dayOf(new Date());
const setHead = printHead();
let words, report, asked = 0;

async function start() {
	const [, known, lines] = await Promise.all([frame(), getWords(), getAll('lines', '')]);

	words = known;
	fillSelect($('#add'), lines.rows.map(({ code, name }) => [code, `${code} · ${name}`]));
	await fromAddress();
}

async function fromAddress() {
	const query = new URLSearchParams(location.search);

	for (const name of ['day', 'lines'])
		form[name].value = query.get(name) ?? '';
	await load();
}

/** What the form says, as the address and the API have it. */
function chosen() {
	const lines = form.lines.value.split(',').map((code) => code.trim()).filter(Boolean).join(',');
	return new URLSearchParams([['day', form.day.value], ['lines', lines]]
		.filter(([, value]) => value));
}

/** How far a report of a past day is, as long as it is awaited. */
async function tellProgress(turn, id) {
	while (turn === asked) {
		await new Promise((later) => setTimeout(later, ASK_AGAIN_MS));
		if (turn !== asked)
			return;
		const { done, of } = await get(`/api/progress/${id}`).catch(() => ({ of: 0 }));
		if (turn === asked && of)
			$('.summary').textContent = 'Judging the bonds as they were on the day: ' +
				`${done} of ${of}.`;
	}
}

async function load() {
	const turn = ++asked;

	$('.summary').textContent = 'The figures are being counted; for many lines that takes a while.';
	const query = chosen();
	query.set('progress', newUuid());
	tellProgress(turn, query.get('progress'));
	const got = await get(`/api/report?${query}`).catch((problem) => {
		asked += turn === asked;
		$('.summary').textContent = '';
		throw problem;
	});
	if (turn !== asked)
		return;
	asked++;
	report = got;
	clearProblem(form);
	showNotice($('main > .notice'), '');
	form.day.max = report.today;
	form.day.value = report.day;
	$('.report').hidden = report.lines.length === 0;
	$('.empty').hidden = report.lines.length > 0;
	show();
}

function show() {
	const all = addGroups(report.overdue.groups);

	showOverdue(all);
	showMonths(all);
	showBetter();
	showPlaces();
	showUnsurveyed();
	showOdd();
	showCounts(all);
	showTitle(all);
}

/** A figure that opens the rows that it counts; nothing to open when there are none. */
function figure(count, href, label) {
	const td = make('td', count ? '' : '0', count ? 'figure' : 'figure quiet');

	if (count) {
		const link = make('a', count);
		link.href = href;
		link.setAttribute('aria-label', `${count} ${label}`);
		td.append(link);
	}
	return td;
}

/** The list of a section as files. */
function showFiles(section, address, more = {}) {
	const files = stamp('files');
	const title = section.querySelector('h2').textContent;

	for (const [ending, word] of [['csv', 'CSV'], ['xlsx', 'Spreadsheet']]) {
		const link = files.querySelector(`.${ending}`);
		link.href = listFile(address, ending, more);
		link.setAttribute('aria-label', `${word}: ${title}`);
	}
	section.querySelector('.actions').replaceChildren(files);
}

/** Says in words what there is, and hides the table when it would be empty. */
function say(section, text, isEmpty) {
	section.querySelector('.said').textContent = text;
	section.querySelector('.scroll').hidden = isEmpty;
}

function showOverdue(all) {
	const section = $('.overdue');
	const table = section.querySelector('table');
	const head = table.tHead.rows[1];
	const { bands, groups, list } = report.overdue;
	const lines = byLine(groups);
	const told = lines.filter(({ rows }) => rows.length);

	showFiles(section, list, { state: 'overdue,deferred' });
	section.querySelector('.rule').textContent = report.overdue.rule;
	say(section, overdueWords(all, lines.length - told.length), told.length === 0);
	for (const old of head.querySelectorAll('.band'))
		old.remove();
	table.tHead.querySelector('.of-inspections').colSpan = bands.length + 3;
	head.cells[6].after(...bands.map((band) => {
		const th = make('th', bandWords(band), 'figure band');
		th.scope = 'col';
		th.append(' ', make('span', 'days', 'unit'));
		return th;
	}));
	table.replaceChildren(table.tHead, ...told.map(lineBody),
		...(told.length > 1 ? [totalBody(all, list)] : []));
}

function overdueWords({ bonds, inspections, mendings, deferred }, quietLines) {
	if (bonds === 0)
		return 'No bond was in service on these lines on the day.';
	const left = quietLines
		? ` ${quietLines} ${quietLines === 1 ? 'line has' : 'lines have'} neither.` : '';
	return `${inspections.overdue} ${inspections.overdue === 1 ? 'inspection' : 'inspections'} ` +
		`and ${mendings.overdue} ${mendings.overdue === 1 ? 'mending' : 'mendings'} overdue, ` +
		`${deferred} ${deferred === 1 ? 'bond' : 'bonds'} deferred, of ${bonds} bonds in ` +
		`service.${left} Kinds with nothing overdue or deferred are left out below.`;
}

function lineBody(line) {
	const body = make('tbody');
	const address = report.overdue.list;
	const name = report.lines.find(({ code }) => code === line.line).name;

	body.append(stateRow(line, make('th', ''), address, { lines: line.line }, name),
		...line.rows.map((group) => {
		const th = make('th', words.bond_kind.get(group.kind), 'kind');
		th.scope = 'row';
		return stateRow(group, th, group.list, {}, `${words.bond_kind.get(group.kind)}, ` +
			`${words.criticality.get(group.criticality)}, ${name}`);
	}));
	const th = body.rows[0].cells[0];
	const link = make('a', name);
	body.rows[0].cells[1].remove();
	th.colSpan = 2;
	link.href = `/lines/${line.line_id}`;
	th.scope = 'rowgroup';
	th.append(link);
	body.rows[0].className = 'group';
	return body;
}

function totalBody(all, list) {
	const body = make('tbody');
	const th = make('th', 'All lines');

	th.scope = 'row';
	body.append(stateRow(all, th, list, {}, 'all lines'));
	body.rows[0].className = 'group';
	return body;
}

function stateRow(counted, th, address, more, label) {
	const tr = make('tr');
	const to = (filters) => listPage(address, { ...more, ...filters });
	const { inspections, mendings } = counted;
	const of = (what, state) => ({ what, state });

	tr.append(th,
		make('td', counted.criticality ? words.criticality.get(counted.criticality) : '', 'keep'),
		figure(counted.bonds, to({}), `bonds, ${label}`),
		figure(mendings.overdue, to(of('mending', 'overdue')), `mendings overdue, ${label}`),
		make('td', mendings.oldest_due_day ?? '', 'keep day'),
		figure(mendings.deferred, to(of('mending', 'deferred')), `mendings deferred, ${label}`),
		figure(inspections.overdue, to(of('inspection', 'overdue')),
			`inspections overdue, ${label}`),
		...report.overdue.bands.map((band, i) => figure(inspections.by_band[i],
			to({ ...of('inspection', 'overdue'), over_from: band.from_days, over_to: band.to_days ??
				'' }), `inspections overdue ${bandWords(band)} days, ${label}`)),
		make('td', inspections.oldest_due_day ?? '', 'keep day'), figure(inspections.deferred,
			to(of('inspection', 'deferred')), `inspections deferred, ${label}`));
	return tr;
}

/** The newest month on top. */
function showMonths(all) {
	const section = $('.months');
	const { months, rule } = report.on_time;
	const body = section.querySelector('tbody');
	const total = sums(months, 'on_time', 'late', 'not_judged', 'deferred', 'not_done');
	const span = { from: months[0].from, to: months.at(-1).to };

	showFiles(section, months[0].list, span);
	section.querySelector('.rule').textContent = rule;
	say(section, monthsWords(total, all.inspections.overdue - total.not_done),
		Object.values(total).every((n) => n === 0));
	body.replaceChildren(...months.map((month, i) => monthRow(month,
		monthWords(month, i === months.length - 1))).reverse());
	monthBars(Array.from(body.rows, (tr) => tr.cells[1]), [...months].reverse(),
		section.querySelector('.key'));
	body.append(monthRow({ ...total, list: months[0].list, not_done_list: months[0].not_done_list },
		'Two years', span));
	body.lastChild.className = 'group';
}

function monthRow(month, name, span = null) {
	const tr = make('tr');
	const th = make('th', name, 'keep');
	const visits = (timely) => listPage(month.list, { ...span, timely });
	const left = listPage(month.not_done_list,
		span ? { last_from: span.from, last_to: span.to } : {});

	th.scope = 'row';
	tr.append(th, make('td', '', 'bars'), figure(month.on_time, visits('on_time'),
		`on time, ${name}`), figure(month.late, visits('late'), `late, ${name}`),
		figure(month.not_done, left, `not done, ${name}`), figure(month.deferred,
			visits('deferred'), `deferred, ${name}`), figure(month.not_judged, visits('not_judged'),
			`not judged, ${name}`), make('td', shareOnTime(month), 'figure'));
	return tr;
}

function monthsWords(total, earlier) {
	const share = shareOnTime(total);
	if (!share)
		return 'No inspection was due or made in these two years.';
	return `${share} % on time in two years.${earlier > 0
		? ` ${earlier} more ${earlier === 1 ? 'is' : 'are'} overdue since before them.` : ''}`;
}

/** What is of today, when the report is of another day. */
const asOf = (day) => day === report.day ? '' : ` As of today, ${day}.`;

/** Those that wait for an engineer first. */
function showBetter() {
	const section = $('.better');
	const { rows, list, waiting, count, as_of: day } = report.better_by_correction;

	showFiles(section, list);
	say(section, (count ? `${count} ${count === 1 ? 'correction'
		: 'corrections'} made a bond better, ${waiting} of them ${waiting === 1 ? 'waits'
		: 'wait'} for an engineer: until then the worse grade stands.${count > rows.length
		? ` The first ${rows.length} are below, the files have all.` : ''}`
		: 'No correction has made a bond of these lines better.') + asOf(day), count === 0);
	section.querySelector('tbody').replaceChildren(...rows.map((better) => {
		const tr = row('', better.line, words.entry.get(better.entry), ['', 'keep'], ['', 'keep'],
			[better.reason, 'wraps'], better.waits ? 'waits for an engineer' : 'counts');
		const link = make('a', better.label, 'keep');
		link.href = `/bonds/${better.bond_id}`;
		tr.cells[0].append(link);
		gradeSign(tr.cells[3].appendChild(make('span')), better.grade_before,
			words.grade.get(better.grade_before));
		gradeSign(tr.cells[4].appendChild(make('span')), better.grade_after,
			words.grade.get(better.grade_after));
		return tr;
	}));
}

function showPlaces() {
	const section = $('.places');
	const { rows, list, count, more, as_of: day } = report.repeat_places;

	showFiles(section, list);
	say(section, (rows.length ? `${count} ${count === 1 ? 'place' : 'places'}, the worst ` +
		`first.${more ? ` The worst ${rows.length} are below, the files have all.` : ''}`
		: 'No place on these lines has failed repeatedly.') + asOf(day), rows.length === 0);
	section.querySelector('tbody').replaceChildren(...rows.map((place) => {
		const tr = row('', place.line, [placeWords(place, words.rail), 'keep'],
			[place.first_day, 'keep'], [place.last_day, 'keep'],
			[place.days_apart, 'figure']);
		const link = make('a', spanWords(place), 'keep');
		link.href = `/repeat?place=${place.id}`;
		tr.cells[0].append(link);
		tr.prepend(figure(place.count, listPage('/api/failures', { place: place.id }),
			`failures at ${spanWords(place)}`));
		return tr;
	}));
}

/* The report's lines as a filter; every one when none was named. */
const lineFilter = () =>
	({ lines: report.every_line ? '' : report.lines.map(({ code }) => code).join(',') });

function showUnsurveyed() {
	const section = $('.unsurveyed');
	const { rows, as_of: day } = report.unsurveyed;
	const { bonds } = sums(rows, 'bonds');

	if (rows.length)
		showFiles(section, rows[0].list, lineFilter());
	say(section,
		(bonds ? `${bonds} known from a failure log or an import only: somebody must go and see.`
		: 'None: every bond in service has been seen.') + asOf(day), bonds === 0);
	section.querySelector('tbody').replaceChildren(...rows.filter((of) => of.bonds).map((of) => {
		const tr = row(report.lines.find(({ code }) => code === of.line).name);
		tr.append(figure(of.bonds, listPage(of.list), `still to be surveyed, ${of.line}`));
		return tr;
	}));
}

function showOdd() {
	const section = $('.odd');
	const { rows, list, as_of: day } = report.odd;
	const { count } = sums(rows, 'count');
	const body = section.querySelector('tbody');

	showFiles(section, list);
	say(section, (count ? `${count} found. Nothing of it was refused; somebody should look.`
		: 'Nothing looks wrong.') + asOf(day), count === 0);
	body.replaceChildren(...[...words.odd]
		.flatMap(([what, title]) => rows.filter((found) => found.what === what).map((found) => {
		const tr = row(title, report.lines.find(({ code }) => code === found.line).name);
		tr.append(figure(found.count, listPage(found.list), `${title}, ${found.line}`));
		return tr;
	})));
}

/** Ten minutes before the meeting: these. */
function showCounts(all) {
	const { months } = report.on_time;
	const total = sums(months, 'on_time', 'late', 'not_done');
	const span = { from: months[0].from, to: months.at(-1).to };
	const unsurveyed = sums(report.unsurveyed.rows, 'bonds').bonds;
	const states = (state, what = '') => listPage(report.overdue.list, { what, state });
	const { asked, better_by_correction: better } = report;
	const figures = [
		[all.inspections.overdue, 'inspections overdue', states('overdue', 'inspection')],
		[all.mendings.overdue, 'mendings overdue', states('overdue', 'mending')],
		[all.deferred, 'deferred', states('deferred')],
		[asked.bonds, 'wait for an answer', asked.bonds && listPage(asked.list)],
		[better.as_of === report.day ? better.waiting : '', 'corrections wait',
			better.waiting && listPage(better.list, { waits: 'yes' })],
		[shareOnTime(total) && `${shareOnTime(total)} %`, 'on time in two years',
			listPage(months[0].list, span)],
		[report.repeat_places.count, 'repeat places', listPage(report.repeat_places.list)],
		[unsurveyed, 'still to be surveyed',
			unsurveyed && listPage(report.unsurveyed.rows[0].list, lineFilter())],
		[sums(report.odd.rows, 'count').count, 'data that look wrong', listPage(report.odd.list)]
	];

	$('.counts')
		.replaceChildren(...figures.filter(([count]) => count !== '').map(([count, word, href]) => {
		const link = stamp('count', { count, word });
		if (href)
			link.href = href;
		return link;
	}));
}

function whereWords() {
	const { every_line: every, lines } = report;
	if (every)
		return 'every line';
	return lines.length > LINES_NAMED ? `${lines.length} lines`
		: lines.map(({ name }) => name).join(', ');
}

function showTitle({ overdue, inspections, mendings, deferred, bonds }) {
	const where = whereWords();
	const names = report.lines.map(({ code, name }) => `${name} (${code})`).join(', ');

	$('h1').textContent = `Report, ${where}`;
	$('.summary').textContent =
		`${report.day}: ${inspections.overdue} inspections and ${mendings.overdue} mendings ` +
		`overdue, ${deferred} deferred of ${bonds} bonds; rulebook version ${report.rulebook}`;
	document.title = `Report, ${where}, ${report.day} · ${overdue} overdue`;
	$('.printed').replaceChildren(...[
		['Day', report.day],
		['Lines', report.every_line ? `every line, ${report.lines.length}` : names],
		['Rulebook', `version ${report.rulebook}, in force from ${report.rulebook_from}`],
		['Printed', printed]
	].flatMap(([term, text]) => [make('dt', term), make('dd', text)]));
	setHead(`Report of ` +
		`${report.day}, ${where}, by rulebook version ${report.rulebook}. Printed ${printed}.`);
}

function change() {
	const query = chosen();

	if (query.get('day') === report?.today)
		query.delete('day');   // an address without a day is of the day on which it is opened
	history.pushState(null, '', String(query) ? `?${query}` : location.pathname);
	load().catch(tell);
}

/* What is wrong with the day or the lines stands beside them. */
function tell(problem) {
	if (problem.errors?.some(({ field }) => form.elements.namedItem(field)))
		showProblem(form, problem);
	else
		showNotice($('main > .notice'), problem.detail ?? problem.message, problem.status);
}

form.addEventListener('submit', (e) => {
	e.preventDefault();
	change();
});
form.addEventListener('change', (e) => {
	if (e.target.id === 'add') {
		if (e.target.value)
			form.lines.value = [...form.lines.value.split(',').map((code) => code.trim())
				.filter((code) => code && code !== e.target.value), e.target.value].join(',');
		e.target.value = '';
	}
	change();
});
form.querySelector('.clear').addEventListener('click', () => {
	form.day.value = form.lines.value = '';
	change();
});
$('.print').addEventListener('click', () => window.print());
addEventListener('popstate', () => fromAddress().catch(tell));

start().catch(tell);
