import { get, getAll, getWords, postFile, postFileForFile, put } from '../api.js';
import { choiceOf, columnsToLeaveOut, entryOf, fieldsWithoutUnit, importQuery, KINDS,
	missingFields, outcomeWords, ROW_MEANT, SAME, SEVERAL, strangeWords, unitSaid,
	unusedColumns, verdictWords } from '../logic/import.js';
import { readNumber } from '../logic/number.js';
import { choices } from '../parts/choices.js';
import { frame } from '../parts/frame.js';
import { importProgress } from '../parts/import-progress.js';
import { importMeant } from '../parts/import-meant.js';
import { importMeter } from '../parts/import-meter.js';
import { importDifferences } from '../parts/import-differences.js';
import { PREVIEW_ROWS, readShape, showWritten } from '../parts/import-written.js';
import { importWithdraw } from '../parts/import-withdraw.js';
import { showNotice } from '../parts/problems.js';
import { may } from '../parts/session.js';
import { fillSelect, make, row, stamp } from '../parts/template.js';

const MANY_WRONG = 20;   // more than these are also counted by reason

const $ = (selector) => document.querySelector(selector);
const form = $('main form');
const step = (name) => $(`.step[data-step="${name}"]`);

const differences = importDifferences($('.differences'), () => run(true));
const offerWithdrawal = importWithdraw($('#withdraw-import'), () => listEarlier());
const progress = importProgress($('.running'), $('progress'));
const [meter, fillMeant] = [importMeter($('#meter'), () => listEarlier()),
	importMeant($('#meant'), () => listEarlier())];

let kind, file, readKind, fields = [], words, person, engineer;
let proposal;       // of the API: reasons, columns, preview
let settings = {};  // as the API takes them: the proposal's, with what was changed since
let refused = {};   // field -> values that the last trial refused

async function start() {
	[person, words] = await Promise.all([frame(), getWords()]);
	choices($('[data-name="kind"]'), 'kind', KINDS.filter(([, , right]) => may(person, right)));
	engineer = may(person, 'manage');
	fillSelect($('#row-meant'), ROW_MEANT.filter(([, , word]) => engineer || !word));
	for (const el of document.querySelectorAll('.for-engineer'))
		el.hidden = !engineer;
	listEarlier();
}

/* What follows a changed step is not true any more. */
function hideFrom(name) {
	const names = ['written', 'mapping', 'tried'];
	for (const later of names.slice(names.indexOf(name)))
		step(later).hidden = true;
}

const firstNotice = $('.sheet .notice');
const say = (notice, problem) => showNotice(notice,
	[problem.detail ?? problem.message, ...(problem.errors ?? []).map((e) => e.detail)]
	.filter((text, i, all) => all.indexOf(text) === i).join(' '), problem.status);

/* given: settings stated before; what they leave open is proposed. */
async function readFile(given = {}) {
	differences.forget();   // chosen of a file's rows, not of the next one's
	const before = readKind === kind && proposal &&
		{ columns: proposal.columns.join('\n'), settings: readSettings() };

	showNotice(firstNotice, '');
	try {
		const query = new URLSearchParams({ kind, settings: JSON.stringify(given) });
		[{ fields }, proposal] = await Promise.all([
			get(`/api/imports/fields?kind=${kind}`),
				postFile(`/api/imports/propose?${query}`, file)]);
	} catch (problem) {
		hideFrom('written');
		say(firstNotice, problem);
		return;
	}
	settings = proposal.settings;
	// the file, mended: what was said holds, except of how its bytes are read
	if (before && before.columns === proposal.columns.join('\n')) {
		const { sheet, separator, encoding, begins_row, ends_row } = settings;
		settings = { ...settings, ...before.settings,
			sheet, separator, encoding, begins_row, ends_row, ...given };
	}
	readKind = kind;
	refused = {};
	asked = [];
	$('.left-out .choices').replaceChildren();
	settings.columns = (settings.columns ?? [])
		.filter(({ column }) => column == null || proposal.columns.includes(column));
	hideFrom('tried');
	showWritten($('[data-step="written"]'), proposal, settings);
	await listMappings();
	showMapping();
	step('written').hidden = step('mapping').hidden = false;
}

function showMapping() {
	const entries = new Map(settings.columns.map((entry) => [entry.field, entry]));

	$('.mapping > tbody').replaceChildren(...fields.map((field) => {
		const tr = stamp('mapped',
			{ takes: [field.required && 'needed', field.words ? [...words[field.words].values()]
			.join(', ') : field.type, field.help].filter(Boolean).join(' · ') });
		const [select, input] = [tr.querySelector('.from'), tr.querySelector('input')];
		const { choice, text } = choiceOf(entries.get(field.name));

		select.id = `field-${field.name}`;
		select.dataset.field = field.name;
		Object.assign(tr.querySelector('label'), { htmlFor: select.id,
			textContent: field.unit ? `${field.title}, ${field.unit}` : field.title });
		tr.querySelector('.in').setAttribute('aria-label', `Unit of ${field.title} in the file`);
		if (field.required)
			tr.querySelector('label').append(make('strong', ' *'));
		fillSelect(select, [...proposal.columns.map((column) => [column, column]),
			[SAME, 'the same in every row …'], [SEVERAL, 'several columns together …']]);
		select.value = choice;
		input.value = text;
		showValues(tr);
		fillSelect(tr.querySelector('.in'),
			(field.units ?? []).map(({ code, title }) => [code, title]));
		showUnit(tr, field, entries.get(field.name)?.unit);
		showStrange(tr, field);
		return tr;
	}));
	$('.replacements').replaceChildren(...(settings.words ?? []).filter((one) => !isMeaning(one))
		.map(replacement));
	$('.conditions').replaceChildren(...(settings.only ?? []).map(condition));
	$('.tolerance').hidden = kind !== 'maps';
	$('.stated').hidden = kind !== 'inspections';
	$('#row-meant').value = settings.row_meant ?? '';
	$('#tolerance').value = settings.tolerance_m ?? '';
	$('#leave').checked = settings.leave_wrong_out === true;
	showUnused();
}

/* The unit of a column is proposed by what the file says, and stated by who looks at it. */
function showUnit(tr, field, unit) {
	const choice = tr.querySelector('.from').value;
	const said = unitSaid(proposal, field, choice);
	const select = tr.querySelector('.in');

	tr.querySelector('.unit-of').hidden = !field.units || !choice || choice === SAME;
	select.value = unit ?? said.unit ?? '';
	tr.querySelector('.help').textContent = said.why;
}

function valuesOf(column) {
	const at = proposal.columns.indexOf(column);
	return at < 0 ? [] : proposal.preview.map((cells) => cells[at]).filter(Boolean);
}

/* True for the meaning of one word of the file, which is said beside its field. */
function isMeaning({ field, from, to }) {
	const list = fields.find(({ name }) => name === field)?.words;
	return Boolean(list && from && from !== '*' && words[list].has(to));
}

/* The file's own words for what the register names: each is given its meaning once. */
function showStrange(tr, { name, words: list }) {
	const meanings = (settings.words ?? []).filter((one) => one.field === name && isMeaning(one));
	const values = [...valuesOf(tr.querySelector('.from').value), ...(refused[name] ?? [])];
	const strange = list
		? new Set([...strangeWords(values, words[list]), ...meanings.map(({ from }) => from)]) : [];

	tr.querySelector('.strange').replaceChildren(...Array.from(strange, (value, i) => {
		const one = stamp('strange');
		const select = one.querySelector('select');
		select.id = `word-${name}-${i}`;
		Object.assign(select.dataset, { of: name, from: value });
		Object.assign(one.querySelector('label'),
			{ htmlFor: select.id, textContent: `“${value}”` });
		fillSelect(select, words[list]);
		select.value = meanings.find(({ from }) => from === value)?.to ?? '';
		return one;
	}));
}

function showValues(tr) {
	const [select, input] = [tr.querySelector('.from'), tr.querySelector('input')];
	const values = valuesOf(select.value).slice(0, PREVIEW_ROWS);
	const own = select.value === SAME || select.value === SEVERAL;

	input.hidden = !own;
	input.setAttribute('aria-label',
		select.value === SAME ? `${tr.querySelector('label').textContent}: the value`
		: `${tr.querySelector('label').textContent}: {column}-{column}`);
	input.placeholder = select.value === SEVERAL
		? `{${proposal.columns[0]}}-{${proposal.columns[1] ?? proposal.columns[0]}}` : '';
	tr.querySelector('.values').textContent = values.slice(0, 3).join(' · ');
}

function lineOf(template, options, values) {
	const el = stamp(template);
	const select = el.querySelector('.of');

	for (const field of el.querySelectorAll('.field')) {
		const input = field.querySelector('input, select');
		input.id = `line-${++lines}`;
		field.querySelector('label').htmlFor = input.id;
	}
	fillSelect(select, options);
	for (const [name, value] of Object.entries(values))
		el.querySelector(`.${name}`).value = value ?? '';
	el.querySelector('.drop').addEventListener('click', () => el.remove());
	return el;
}

let lines = 0;
const replacement = ({ field = fields[0].name, from, to } = {}) =>
	lineOf('replacement', fields.map(({ name, title }) => [name, title]), { of: field, from, to });
const condition = ({ column = proposal.columns[0], begins_with: from } = {}) =>
	lineOf('condition', proposal.columns.map((one) => [one, one]), { of: column, from });

/* What the page says now, as the API takes it. */
function readSettings() {
	const value = (el, name) => el.querySelector(`.${name}`).value.trim();
	const tolerance = readNumber($('#tolerance').value).value;

	settings.columns = [...document.querySelectorAll('.mapping > tbody > tr')].map((tr) =>
		entryOf(tr.querySelector('.from').dataset.field, tr.querySelector('.from').value,
			tr.querySelector('input').value, tr.querySelector('.in').value)).filter(Boolean);
	settings.words = [
		...[...document.querySelectorAll('.strange select')].filter((el) => el.value)
			.map((el) => ({ field: el.dataset.of, from: el.dataset.from, to: el.value })),
		...[...document.querySelectorAll('.replacements > *')].map((el) =>
			({ field: value(el, 'of'), from: value(el, 'from') || undefined,
				to: value(el, 'to') || undefined }))
	];
	settings.only = [...document.querySelectorAll('.conditions > *')].map((el) =>
		({ column: value(el, 'of'), begins_with: value(el, 'from') }))
			.filter((one) => one.begins_with);
	Object.assign(settings, readStated(), readShape(step('written')), differences.chosen());
	settings.tolerance_m = kind === 'maps' ? tolerance ?? undefined : undefined;
	settings.leave_wrong_out = $('#leave').checked || undefined;
	settings.left_out = readLeftOut();
	return settings;
}

/* What is stated of the log: figures that are none go as they are, and are refused in words. */
function readStated() {
	const text = (id) => kind === 'inspections' && $(id).value.trim() || undefined;
	const figure = (id) => text(id) && (readNumber(text(id)).value ?? text(id));

	return { row_meant: text('#row-meant'), meter_percent: figure('#stated-percent'),
		meter_uohm: figure('#stated-uohm'), stated_reason: text('#stated-reason') };
}

/* What was said of columns that are in use meanwhile is not said any more. */
function readLeftOut() {
	const boxes = [...document.querySelectorAll('.left-out input')];
	const shown = new Set(boxes.map(({ value }) => value));
	const out = [...(settings.left_out ?? []).filter((column) => !shown.has(column)),
		...boxes.filter(({ checked }) => checked).map(({ value }) => value)];
	const unused = unusedColumns(proposal.columns, settings.columns, settings.only);

	return out.filter((column) => unused.includes(column));
}

let asked = [];     // sentences of the last trial that was refused as a whole

function showUnused() {
	const { columns, only, left_out: out = [] } = readSettings();
	const unused = unusedColumns(proposal.columns, columns, only);
	const figures = columnsToLeaveOut(unused, valuesOf, asked);

	$('.left-out').hidden = figures.length === 0;
	$('.left-out .choices').replaceChildren(...figures.map((column, i) => {
		const label = make('label', '', 'choice');
		const input = Object.assign(document.createElement('input'), { type: 'checkbox',
			id: `left-out-${i}`, value: column, checked: out.includes(column) });
		label.append(input, make('span', `${column}, as ${valuesOf(column)[0] ?? 'further down'}`));
		return label;
	}));
	$('.unused').textContent = unused.length ? `Not used from the file: ${unused.join(', ')}.`
		: 'Every column of the file is used.';
}

async function listMappings() {
	const { rows } = await getAll('import-mappings', '');
	const select = $('#load');
	select.length = 1;
	fillSelect(select, rows.filter((one) => one.kind === kind).map(({ name }) => [name, name]));
}

/** Sends the file: as a trial, or to import it. */
async function run(dry) {
	const missing = missingFields(fields, readSettings().columns);
	const tried = step('tried');
	const notice = tried.querySelector('.notice');

	clearResult();
	tried.hidden = false;
	const unitless = fieldsWithoutUnit(fields, settings.columns);
	if (missing.length || unitless.length) {
		const titles = (all) => all.map(({ title }) => title).join(', ');
		showNotice(notice, [missing.length && `Say where these come from: ${titles(missing)}.`,
			unitless.length && `Say in which unit the file has these: ${titles(unitless)}.`]
			.filter(Boolean).join(' '));
		notice.focus();
		return;
	}
	const id = busy(true, dry);
	try {
		showResult(await postFile(
			`/api/imports?${importQuery(kind, settings, dry, file.name)}&progress=${id}`, file));
		asked = [];
	} catch (problem) {
		say(notice, problem);
		asked = [problem, ...(problem.errors ?? [])].map(({ detail }) => detail);
		showUnused();
	} finally {
		busy(false, dry);
	}
	tried.focus();
	if (!dry)
		listEarlier();
}

/* Gives the id by which it is asked how far the file is. */
function busy(on, dry) {
	for (const button of form.querySelectorAll('.try, .import, .read, .save-wrong'))
		button.disabled = on;
	return on ? progress.begin(dry ? 'Every row is tried. Nothing is changed.'
		: 'Importing. Once its rows are being taken you may leave this page: the import goes on '
			+ 'and is listed below.') : progress.end();
}

function clearResult() {
	showNotice(step('tried').querySelector('.notice'), '');
	$('.outcome').replaceChildren();
	$('.wrong').hidden = $('.import').hidden = $('.save-wrong').hidden = true;
	for (const el of document.querySelectorAll('.verdict, .more-wrong'))
		el.textContent = '';
	$('.reasons').replaceChildren();
	$('.findings').replaceChildren();
}

function showResult(outcome) {
	$('#tried-title').textContent = outcome.dry_run ? '4. What would happen'
		: '4. What has happened';
	$('.outcome').replaceChildren(...outcomeWords(outcome).map(([word, count]) => {
		const el = document.createElement('div');
		el.append(make('dt', word), make('dd', count));
		return el;
	}));
	const kept = outcome.wrong === 0 || settings.leave_wrong_out === true;
	$('.verdict').textContent = verdictWords({ ...outcome, kept });
	$('.findings').replaceChildren(...outcome.findings.map(({ sentence }) => make('li', sentence)));
	showWrong(outcome);
	differences.show(outcome);
	const button = $('.import');
	button.hidden = !outcome.dry_run || !kept || outcome.added + outcome.changed === 0;
	button.textContent = outcome.changed
		? `Import: ${outcome.added} new, ${outcome.changed} changed`
		: outcome.wrong ? `Import the ${outcome.added} right rows`
		: `Import all ${outcome.added} rows`;
}

function showWrong({ wrong_rows: rows, wrong_rows_left_out: more, reasons }) {
	$('.wrong').hidden = $('.save-wrong').hidden = rows.length === 0;
	$('.wrong > tbody').replaceChildren(...rows.map((one) =>
		row([one.row, 'figure'], [one.line, 'figure'], one.column, one.value, one.reason)));
	$('.more-wrong').textContent = more ? `And ${more} more that are not shown here.` : '';
	$('.reasons').replaceChildren(...(rows.length > MANY_WRONG ? reasons : [])
		.map(({ count, column, example }) =>
		make('li', `${count} × ${column || 'the whole row'}, like: ${example}`)));
	noteRefused(rows);
}

/** All wrong rows as they stand in the file, each with what is wrong: to be mended there. */
async function saveWrong() {
	const notice = step('tried').querySelector('.notice');
	const link = document.createElement('a');

	showNotice(notice, '');
	busy(true, true);
	try {
		link.href = URL.createObjectURL(await postFileForFile(
			`/api/imports/wrong-rows?${importQuery(kind, settings, true)}`, file));
		link.download = `${file.name.replace(/\.[^.]*$/, '')}-wrong.csv`;
		link.click();
		URL.revokeObjectURL(link.href);
	} catch (problem) {
		say(notice, problem);
	} finally {
		busy(false, true);
	}
}

/* A word that a row was refused for can be given its meaning above. */
function noteRefused(rows) {
	refused = {};
	for (const { field, column } of settings.columns) {
		const values = rows.filter((one) => column && one.column === column && one.value)
			.map((one) => one.value);
		const known = fields.find(({ name }) => name === field);
		if (known?.words && values.length)
			refused[field] = values;
	}
	for (const tr of document.querySelectorAll('.mapping > tbody > tr')) {
		const field = fields.find(({ name }) => name === tr.querySelector('.from').dataset.field);
		if (refused[field.name])
			showStrange(tr, field);
	}
}

async function listEarlier() {
	const [{ rows }, stated] = await Promise.all([get('/api/imports?limit=20'), meter.stated()]);
	$('.earlier').hidden = rows.length === 0;
	$('.earlier tbody').replaceChildren(...rows.map((one) => withMeter(one, stated,
		row([one.entered_at.replace('T', ' ').slice(0, 16), 'keep'],
		KINDS.find(([name]) => name === one.kind)?.[1] ?? one.kind, one.file_name,
			[one.rows, 'figure'], [one.added, 'figure'], [one.already, 'figure'],
			[one.left_out, 'figure'], one.entered_by, '', '', ''))));
}

function withMeter(one, stated, tr) {
	const [meant, standing, measured] = [...tr.children].slice(-3);
	fillMeant(meant, one, engineer);
	meter.fillCell(measured, one, stated, engineer);
	offerWithdrawal(standing, one, engineer);
	return tr;
}

form.addEventListener('submit', (e) => e.preventDefault());
form.addEventListener('change', (e) => {
	const { target } = e;
	if (target.name === 'kind' || target.name === 'file') {
		kind = form.elements.kind.value;
		[file] = form.elements.file.files;
		$('.read').disabled = !kind || !file;
		hideFrom('written');
	} else if (target.closest('.differences')) {
		$('.import').hidden = true;   // until it was tried with this choice
	} else if (target.closest('.proposal')) {
		readFile({ ...readSettings(), [target.name]: target.value || undefined });
	} else if (target.closest('[data-step="written"]')) {
		// other names: what was said of the former columns means nothing
		readFile(target.name === 'begins_row' ? { ...readSettings(), columns: undefined,
			as_above: undefined, in_rows: undefined } : readSettings());
	} else {
		if (target.dataset.field) {
			const field = fields.find(({ name }) => name === target.dataset.field);
			showValues(target.closest('tr'));
			showUnit(target.closest('tr'), field);
			showStrange(target.closest('tr'), field);
		}
		if (target.closest('.step'))
			hideFrom('tried');
		if (target.closest('.mapping'))
			showUnused();
	}
});
for (const [button, act] of [['.read', () => readFile()], ['.try', () => run(true)],
	['.import', () => run(false)], ['.save-wrong', saveWrong]])
	$(button).addEventListener('click', act);
$('#load').addEventListener('change', async (e) => {
	try {
		const saved = await get(`/api/import-mappings/${encodeURIComponent(e.target.value)}`);
		await readFile({ words: [], only: [], left_out: [], leave_wrong_out: false,
			...saved.settings });
	} catch (problem) {
		say(firstNotice, problem);
	}
});
$('.add-replacement').addEventListener('click', () => $('.replacements').append(replacement()));
$('.add-condition').addEventListener('click', () => $('.conditions').append(condition()));
$('.save').addEventListener('click', async () => {
	const name = $('#save').value.trim();
	const said = $('.saved');
	if (!name) {
		said.textContent = 'Give it a name first.';
		return;
	}
	try {
		await put(`/api/import-mappings/${encodeURIComponent(name)}`,
			{ kind, settings: readSettings() });
		said.textContent = `Saved as ${name}.`;
		await listMappings();
	} catch (problem) {
		said.textContent = problem.detail ?? problem.message;
	}
});

start().catch((problem) => say($('.main-notice'), problem));
