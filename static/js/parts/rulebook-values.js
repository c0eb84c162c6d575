import { countWords, figureWords, fullTitle, gridOf, inSections, LACKS, OWN, restsOn,
	valueWords } from '../logic/rulebook.js';
import { fillSelect, make, stamp } from './template.js';

/**
 * The rulebook as a document, or as a form: each value in its section, with its unit and why. In
 * the form a value's input has its path as name.
 *
 * @param {HTMLElement} el
 * @param {HTMLElement} contents  gets a link to each section
 * @param {{values: object[], now: Map, reasons: Map, since: Map, lacks: Set, edition: number,
 *	words: object, editing: boolean}} given since: path -> the version that brought a value; lacks:
 *	paths that the version does not have
 */
export function rulebookValues(el, contents, given) {
	const sections = inSections(given.values).map((section, i) => sectionOf(section, i, given));

	el.replaceChildren(...sections);
	contents.replaceChildren(...sections.map((section) => {
		const link = make('a', section.querySelector('h2').textContent);
		link.href = `#${section.querySelector('h2').id}`;
		return link;
	}));
}

function sectionOf({ title, intro, singles, cells }, number, given) {
	const section = stamp('section');
	const head = section.querySelector('h2');

	head.id = `section-${number + 1}`;
	head.textContent = `${number + 1}. ${title}`;
	section.setAttribute('aria-labelledby', head.id);
	section.querySelector('.intro').textContent = intro ?? '';
	if (cells.length)
		section.append(...tableOf(title, cells, given));
	if (singles.length)
		section.append(singlesOf(title, singles, given));
	return section;
}

function singlesOf(title, singles, given) {
	const table = stamp('singles');

	table.setAttribute('aria-label', `${title}, single values`);
	table.querySelector('tbody').append(...singles.map((value) => {
		const is = given.now.get(value.path) ?? null;
		const { word, why } = rests(value, is, given);
		const tr = stamp('single',
			{ title: value.titles.at(-1), help: value.help, unit: value.unit, word, why });

		tr.querySelector('.is').append(shown(value, is, given));
		tr.dataset.basis = word === OWN ? 'own' : word === LACKS ? 'lacks' : value.basis;
		return tr;
	}));
	return table;
}

const rests = (value, is, { reasons, words, since, lacks, edition }) => restsOn(value, is,
	reasons.get(value.path), words.rulebook_basis, since.get(value.path),
	lacks.has(value.path) ? edition : 0);

/* What is the railway's own is bold, what the version does not have is marked, and both are said
 * beneath: a table has no room for reasons. */
function tableOf(title, cells, given) {
	const { columns, rows } = gridOf(cells);
	const table = stamp('grid');
	const own = [], lacking = [];

	table.setAttribute('aria-label', title);
	table.querySelector('thead > tr').append(...columns.map((column) => {
		const th = Object.assign(make('th', `${column.title} `, 'figure'), { scope: 'col' });
		th.append(make('span', column.unit, 'unit'));
		return th;
	}));
	table.querySelector('tbody').append(...rows.map((row) => {
		const tr = document.createElement('tr');

		tr.append(Object.assign(make('th', row.title), { scope: 'row' }),
			...row.cells.map((value) => {
			const td = make('td', '', 'figure');
			const is = given.now.get(value.path) ?? null;
			const { word, why } = rests(value, is, given);

			td.append(shown(value, is, given));
			if (word === OWN) {
				td.dataset.basis = 'own';
				own.push([value, is, why]);
			} else if (word === LACKS) {
				td.dataset.basis = 'lacks';
				lacking.push([value, is]);
			}
			return td;
		}));
		return tr;
	}));
	return [table, basesOf(columns, given.words), ...(own.length ? [ownOf(own, given)] : []),
		...(lacking.length ? [lackingOf(lacking, given)] : [])];
}

/* Of each column once; of several that rest on the same, together. */
function basesOf(columns, words) {
	const list = make('dl', '', 'facts bases');
	const bySource = new Map();

	for (const column of columns)
		bySource.set(column.source, [...(bySource.get(column.source) ?? []), column]);
	for (const [source, [first, ...more]] of bySource)
		list.append(make('dt', more.length === columns.length - 1 ? 'The figures given'
			: more.length ? first.titles[2] : first.title),
			make('dd', withSign(words.rulebook_basis.get(first.basis), source)));
	return list;
}

/* "standard: 5 % of ...", but not "example: An example: ...". */
const withSign = (sign, source) => source.toLowerCase().slice(0, 20).includes(sign) ? source
	: `${sign}: ${source}`;

function ownOf(own, { words }) {
	const box = make('div', '', 'own');
	const list = document.createElement('ul');

	list.append(...own.map(([value, is, why]) => {
		const li = make('li',
			`${value.titles.slice(1).join(', ')}: ${figureWords(value, is, words)}`);
		li.append(is === value.default ? ''
			: ` (given: ${valueWords(value, value.default, words)})`, why ? `. ${why}` : '');
		return li;
	}));
	box.append(make('h3', `In bold, ${OWN}: ${countWords(own.length, 'figure')}`), list);
	return box;
}

function lackingOf(lacking, { words, edition }) {
	const box = make('div', '', 'own');
	const list = document.createElement('ul');

	list.append(...lacking.map(([value, is]) => make('li',
		`${value.titles.slice(1).join(', ')}: ${figureWords(value, is, words)}`)));
	box.append(make('h3', `In italics, ` +
		`${LACKS}, from edition ${edition} of the rules: ${countWords(lacking.length, 'figure')}`),
		list);
	return box;
}

/* A figure, or the input for it. */
function shown(value, is, { editing, words }) {
	if (!editing)
		return make('span', is === null ? '–' : valueWords(value, is, words));
	const input = document.createElement(value.type === 'word' ? 'select' : 'input');

	input.name = value.path;
	input.id = `value-${value.path}`;
	input.setAttribute('aria-label', `${fullTitle(value)}${value.unit ? `, ${value.unit}` : ''}`);
	if (value.type === 'word') {
		fillSelect(input, words[value.words]);
	} else {
		input.inputMode = value.type === 'whole' ? 'numeric' : 'decimal';
		input.autocomplete = 'off';
		input.placeholder = value.required ? '' : 'not used';
		input.title = `${value.least} to ${value.most}${value.unit ? ` ${value.unit}` : ''}`;
	}
	input.value = is ?? '';
	return input;
}
