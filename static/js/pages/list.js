import { get, getAll, getWords } from '../api.js';
import { dayOf } from '../logic/day.js';
import { enteredWords } from '../logic/doer.js';
import { cellLink, cellText, describedList, namesOfLists } from '../logic/list-view.js';
import { frame } from '../parts/frame.js';
import { gradeSign, verdictSign } from '../parts/grade-sign.js';
import { printHead } from '../parts/print-head.js';
import { clearProblem, showNotice, showProblem } from '../parts/problems.js';
import { rowKeys } from '../parts/row-keys.js';
import { make, stamp } from '../parts/template.js';
import { withdrawRows } from '../parts/withdraw-row.js';

const PAGE = '500';
const MANY = 7;              // columns: more do not fit beside each other on a tablet
const WORDS_OF_ROW = 4;      // cells that name it
const PRINTED_MOST = 5000;   // rows; the files have more

const $ = (selector) => document.querySelector(selector);
const form = $('.filters');
const body = $('.rows > tbody');
const name = new URLSearchParams(location.search).get('of') ?? '';
const printed = dayOf(new Date());
const setHead = printHead();
let list, words, page, takeBack, asked = 0;

async function start() {
	const [person, description, known] = await Promise.all([frame(), get('/api'), getWords()]);

	words = known;
	list = describedList(description, name);
	if (!list) {
		showLists(description);
		if (name)
			showNotice($('main > .notice'), `There is no list "${name}".`);
		for (const el of document.querySelectorAll('.actions, .scroll, .keys'))
			el.hidden = true;
		return;
	}
	takeBack = withdrawRows($('#withdraw'), name, person,
		() => load(page.after).catch(tell));
	$('h1').textContent = list.title;
	$('.what').textContent = list.summary;
	form.replaceChildren(...list.filters.map(field),
		...(list.filters.some(({ rare }) => !rare) ? [clearButton()] : []));
	$('.rows').classList.toggle('many', list.columns.length > MANY);
	$('.rows > thead > tr').replaceChildren(...list.columns.map(heading));
	if (takeBack)
		$('.rows > thead > tr').prepend(heading({ title: 'Withdraw', name: 'withdraw' }));
	await fromAddress();
}

/** Every list that the register has, where none is asked for. */
function showLists(description) {
	const lists = namesOfLists(description);

	$('h1').textContent = 'Lists';
	document.title = 'Lists · bondbook';
	$('.lists').hidden = false;
	$('.lists').replaceChildren(...lists.map(({ name: of, title, summary }) => {
		const li = make('li');
		const link = make('a', title);
		link.href = `/list?of=${of}`;
		li.append(link, ' ', make('span', summary, 'quiet'));
		return li;
	}));
}

function field(filter) {
	const el = stamp('field');
	const input = filter.type === 'word' || filter.type === 'flag' ? choice(filter) : make('input');

	input.id = `filter-${filter.name}`;
	input.name = filter.name;
	if (input.matches('input')) {
		input.type = filter.type === 'day' ? 'date' : 'text';
		input.autocomplete = 'off';
	}
	// after it: what holds without
	el.querySelector('label').textContent = filter.title.split(';')[0];
	el.querySelector('label').htmlFor = input.id;
	el.append(input);
	return el;
}

function choice({ type, words: of }) {
	const select = make('select');
	const options = type === 'flag' ? [['yes', 'yes'], ['no', 'no']] : [...words[of] ?? []];

	select.append(new Option('any', ''),
		...options.map(([value, text]) => new Option(text, value)));
	return select;
}

function clearButton() {
	const button = make('button', 'Clear', 'clear');

	button.type = 'button';
	button.addEventListener('click', () => {
		for (const input of form.elements)
			input.value = '';
		change();
	});
	return button;
}

const isFigure = ({ type, name: column }) => type === 'number' || column.startsWith('chainage');

function heading(column) {
	const th = make('th', column.title, isFigure(column) ? 'figure' : '');

	th.scope = 'col';
	if (column.unit)
		th.append(' ', make('span', column.unit, 'unit'));
	return th;
}

/** The form says what the address says; several words at once are one more choice. */
async function fromAddress() {
	const query = new URLSearchParams(location.search);

	for (const input of form.elements) {
		if (!input.name)
			continue;
		const value = query.get(input.name) ?? '';
		if (input.matches('select') &&
			!Array.from(input.options, (option) => option.value).includes(value)) {
			const of = list.filters.find((filter) => filter.name === input.name).words;
			input.append(new Option(value.split(',').map((code) => words[of]?.get(code) ?? code)
				.join(', '), value));
		}
		input.value = value;
		input.parentElement.hidden = !value &&
			list.filters.find((filter) => filter.name === input.name).rare;
	}
	await load(query.get('after') ?? '');
}

/** What the filters say, as the API and the address take it. */
function chosen() {
	return new URLSearchParams(Array.from(form.elements)
		.filter((input) => input.name && input.value.trim())
		.map((input) => [input.name, input.value.trim()]));
}

async function load(after) {
	const turn = ++asked;
	const query = chosen();

	query.set('limit', PAGE);
	if (after)
		query.set('after', after);
	const got = await get(`/api/${name}?${query}`);
	if (turn !== asked)
		return;
	clearProblem(form);
	showNotice($('main > .notice'), '');
	page = { ...got, after };
	show();
}

function show() {
	const { rows, next, after } = page;

	body.replaceChildren(...rows.map(rowOf));
	body.parentElement.hidden = rows.length === 0;
	$('.empty').hidden = rows.length > 0 || !filterWords();
	$('.empty.bare').hidden = rows.length > 0 || Boolean(filterWords());
	$('.pager > .first').hidden = !after;
	$('.pager > .next').hidden = !next;
	$('.summary').textContent = countWords(rows.length, next, after);
	$('caption').textContent =
		`${list.title}: ${filterWords() || 'every row'}. ${countWords(rows.length, next, after)}.`;
	setHead(`${list.title}: ${filterWords() || 'every row'}. Printed ${printed}.`);
	document.title =
		`${list.title}, ${filterWords() || 'every row'} · ${countWords(rows.length, next, after)}`;
	showFiles();
}

function countWords(count, next, after) {
	const rows = `${count} ${count === 1 ? 'row' : 'rows'}`;
	return next || after ? `${rows} on this page${next ? ', more follow' : ', the last'}` : rows;
}

function rowOf(of) {
	const tr = make('tr');

	tr.append(...list.columns.map((column) => {
		const text = cellText(column,
			column.name === 'entered_by' ? enteredWords(of) : of[column.name], words);
		const href = text && cellLink(name, column, of);
		const td = make('td', href ? '' : text,
			isFigure(column) ? 'figure keep' : text.length > 30 ? 'wraps' : 'keep');

		td.dataset.head = column.unit ? `${column.title}, ${column.unit}` : column.title;
		if (SIGNS[column.words] && of[column.name]) {
			td.textContent = '';
			SIGNS[column.words](td.appendChild(make('span')), of[column.name], text);
		} else if (href) {
			const link = make('a', text);
			link.href = href;
			td.append(link);
		}
		return td;
	}));
	if (takeBack)
		tr.prepend(takeBack(of, Array.from(tr.cells).slice(0, WORDS_OF_ROW)
			.map((td) => td.textContent).filter(Boolean).join(', ')));
	return tr;
}

/* What is more than a word. */
const SIGNS = { grade: gradeSign, verdict: verdictSign };

function filterWords() {
	return Array.from(form.elements).filter((input) => input.name && input.value.trim())
		.map((input) => `${input.labels[0].textContent}: ${input.selectedOptions?.[0].text ??
			input.value.trim()}`).join('; ');
}

function showFiles() {
	const query = chosen();
	const text = String(query) ? `?${query}` : '';
	const kinds = [['csv', 'CSV'], ['xlsx', 'Spreadsheet'],
		...(list.places ? [['geojson', 'GeoJSON']] : [])];

	$('.files').replaceChildren(...kinds.flatMap(([ending, word]) => {
		const link = make('a', word, `button ${ending}`);
		link.href = `/api/${name}.${ending}${text}`;
		link.download = '';
		return [link, ' '];
	}));
}

function change() {
	history.pushState(null, '', `?${new URLSearchParams([['of', name], ...chosen()])}`);
	load('').catch(tell);
}

function next() {
	if (page?.next) {
		history.pushState({ paged: true }, '',
			`?${new URLSearchParams([['of', name], ...chosen(), ['after', page.next]])}`);
		load(page.next).then(() => scrollTo(0, 0)).catch(tell);
	}
}

/** Every row of the filter is printed, not a page of it. */
async function printAll() {
	const { rows, whole } = await getAll(name, chosen(), PRINTED_MOST);
	const before = page;

	page = { rows, next: whole ? null : 'more', after: '' };
	show();
	window.print();
	page = before;
	show();
}

function tell(problem) {
	if (problem.errors?.some(({ field: at }) => form.elements.namedItem(at)))
		showProblem(form, problem);
	else
		showNotice($('main > .notice'), problem.detail ?? problem.message, problem.status);
}

form.addEventListener('submit', (e) => e.preventDefault());
form.addEventListener('change', change);
$('.pager > .next').addEventListener('click', next);
$('.pager > .first').addEventListener('click', change);
$('.print').addEventListener('click', () => printAll().catch(tell));
addEventListener('popstate', () => fromAddress().catch(tell));

rowKeys(body, { n: next, p: () => history.state?.paged ? history.back() : page?.after && change() },
	$('.single-keys'));

start().catch(tell);
