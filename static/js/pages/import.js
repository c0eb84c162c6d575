import { get, getAll, getWords, postFile, put } from '../api.js';
import { importQuery, KINDS, missingFields, outcomeWords, SETTINGS, unusedColumns, verdictWords } from '../logic/import.js';
import { choices } from '../parts/choices.js';
import { frame } from '../parts/frame.js';
import { showNotice } from '../parts/problems.js';
import { fillSelect, make, row, stamp } from '../parts/template.js';

const PREVIEW_ROWS = 5;

const $ = (selector) => document.querySelector(selector);
const form = $('form');
const step = (name) => $(`.step[data-step="${name}"]`);

let words, notations;
let kind, file, fields = [];
let proposal;       // of the API, with what was changed since
let mapping = {};   // field -> column

async function start() {
	choices($('[data-name="kind"]'), 'kind', KINDS);
	const [, known] = await Promise.all([frame(), getWords()]);
	words = known;
	notations = [...(words.notation ?? [])];
	listEarlier();
}

/* What follows a changed step is not true any more. */
function hideFrom(name) {
	const names = ['written', 'mapping', 'tried'];
	for (const later of names.slice(names.indexOf(name)))
		step(later).hidden = true;
}

const firstNotice = $('.sheet .notice');
const say = (notice, problem) => showNotice(notice, [problem.detail ?? problem.message, ...(problem.errors ?? []).map((e) => e.detail)]
	.filter((text, i, all) => all.indexOf(text) === i).join(' '), problem.status);

async function readFile(settings) {
	const before = settings ? proposal?.columns.join('\n') : null;

	showNotice(firstNotice, '');
	try {
		const query = new URLSearchParams({ kind });
		if (settings)
			query.set('settings', JSON.stringify(settings));
		[{ fields }, proposal] = await Promise.all([
			get(`/api/imports/fields?kind=${kind}`), postFile(`/api/imports/propose?${query}`, file)]);
	} catch (problem) {
		hideFrom('written');
		say(firstNotice, problem);
		return;
	}
	if (proposal.columns.join('\n') !== before)   // the same columns: what was chosen holds
		mapping = { ...proposal.mapping };
	hideFrom('tried');
	showSettings();
	showPreview();
	await listMappings();
	showMapping();
	step('written').hidden = step('mapping').hidden = false;
}

function settingsOf(source) {
	return Object.fromEntries([...SETTINGS.map(([name]) => name), 'notation']
		.filter((name) => source[name] != null).map((name) => [name, source[name]]));
}

function showSettings() {
	const shown = [...SETTINGS, ...(proposal.notation ? [['notation', 'Chainages', notations]] : [])];

	$('.proposal').replaceChildren(...shown.map(([name, title, offered]) => {
		const el = stamp('setting');
		const select = el.querySelector('select');
		const known = offered.some(([value]) => value === proposal[name]) ? offered : [...offered, [proposal[name], proposal[name]]];
		select.id = `setting-${name}`;
		select.name = name;
		Object.assign(el.querySelector('label'), { htmlFor: select.id, textContent: title });
		fillSelect(select, known);
		select.value = proposal[name];
		el.querySelector('.help').textContent = proposal.reasons?.[name] ?? '';
		return el;
	}));
}

function showPreview() {
	$('.preview > thead > tr').replaceChildren(...proposal.columns.map((column) => Object.assign(make('th', column), { scope: 'col' })));
	$('.preview > tbody').replaceChildren(...proposal.preview.slice(0, PREVIEW_ROWS).map((cells) => row(...cells)));
}

function showMapping() {
	$('.mapping > tbody').replaceChildren(...fields.map((field) => {
		const tr = stamp('mapped', { takes: [field.required && 'needed', field.type, field.help].filter(Boolean).join(' · ') });
		const select = tr.querySelector('select');
		select.id = `field-${field.name}`;
		select.dataset.field = field.name;
		Object.assign(tr.querySelector('label'), { htmlFor: select.id, textContent: field.unit ? `${field.title}, ${field.unit}` : field.title });
		if (field.required)
			tr.querySelector('label').append(make('strong', ' *'));
		fillSelect(select, proposal.columns.map((column) => [column, column]));
		select.value = mapping[field.name] ?? '';
		showValues(tr, select.value);
		return tr;
	}));
	showUnused();
}

function showValues(tr, column) {
	const at = proposal.columns.indexOf(column);
	const values = at < 0 ? [] : proposal.preview.slice(0, PREVIEW_ROWS).map((cells) => cells[at]).filter(Boolean);
	tr.querySelector('.values').textContent = values.slice(0, 3).join(' · ');
}

function showUnused() {
	const unused = unusedColumns(proposal.columns, mapping);
	$('.unused').textContent = unused.length ? `Not used from the file: ${unused.join(', ')}.` : 'Every column of the file is used.';
}

async function listMappings() {
	const saved = await get('/api/import-mappings').catch(() => ({ rows: [] }));
	const select = $('#load');
	select.length = 1;
	fillSelect(select, saved.rows.filter((one) => !one.kind || one.kind === kind).map(({ name }) => [name, name]));
}

/** Sends the file: as a trial, or to import it. */
async function run(dry) {
	const missing = missingFields(fields, mapping);
	const tried = step('tried');
	const notice = tried.querySelector('.notice');

	clearResult();
	tried.hidden = false;
	if (missing.length) {
		showNotice(notice, `Say which column of the file gives: ${missing.map(({ title }) => title).join(', ')}.`);
		notice.focus();
		return;
	}
	busy(true, dry);
	try {
		showResult(await postFile(`/api/imports?${importQuery(kind, settingsOf(proposal), mapping, dry)}`, file));
	} catch (problem) {
		say(notice, problem);
	} finally {
		busy(false, dry);
	}
	tried.focus();
	if (!dry)
		listEarlier();
}

function busy(on, dry) {
	$('.running').textContent = on ? dry ? 'Reading every row. Nothing is changed.' : 'Importing. You may leave this page: the import goes on and is listed below.' : '';
	$('progress').hidden = !on;
	for (const button of form.querySelectorAll('.try, .import, .read'))
		button.disabled = on;
}

function clearResult() {
	showNotice(step('tried').querySelector('.notice'), '');
	$('.outcome').replaceChildren();
	$('.wrong').hidden = $('.import').hidden = true;
	for (const el of document.querySelectorAll('.verdict, .more-wrong'))
		el.textContent = '';
}

function showResult(outcome) {
	$('#tried-title').textContent = outcome.dry_run ? '4. What would happen' : '4. What has happened';
	$('.outcome').replaceChildren(...outcomeWords(outcome).map(([word, count]) => {
		const el = document.createElement('div');
		el.append(make('dt', word), make('dd', count));
		return el;
	}));
	$('.verdict').textContent = verdictWords(outcome);
	$('.wrong').hidden = !outcome.wrong_rows?.length;
	$('.wrong > tbody').replaceChildren(...(outcome.wrong_rows ?? []).map((one) =>
		row([one.row, 'figure'], [one.line, 'figure'], one.column, one.value, one.reason)));
	$('.more-wrong').textContent = outcome.wrong_rows_left_out ? `And ${outcome.wrong_rows_left_out} more that are not shown here.` : '';
	const button = $('.import');
	button.hidden = !outcome.dry_run || outcome.wrong > 0 || outcome.added === 0;
	button.textContent = `Import all ${outcome.added} rows`;
}

async function listEarlier() {
	const { rows } = await getAll('imports', '', 20).catch(() => ({ rows: [] }));
	$('.earlier').hidden = rows.length === 0;
	$('.earlier tbody').replaceChildren(...rows.slice(0, 20).map((one) => row([one.recorded_at.replace('T', ' ').slice(0, 16), 'keep'],
		KINDS.find(([name]) => name === one.kind)?.[1] ?? one.kind, one.file_name, [one.rows, 'figure'], [one.added, 'figure'], one.person)));
}

form.addEventListener('submit', (e) => e.preventDefault());
form.addEventListener('change', (e) => {
	const { target } = e;
	if (target.name === 'kind' || target.name === 'file') {
		kind = form.elements.kind.value;
		[file] = form.elements.file.files;
		$('.read').disabled = !kind || !file;
		hideFrom('written');
	} else if (target.closest('.proposal')) {
		proposal[target.name] = target.value;
		readFile(settingsOf(proposal));
	} else if (target.dataset.field) {
		if (target.value)
			mapping[target.dataset.field] = target.value;
		else
			delete mapping[target.dataset.field];
		showValues(target.closest('tr'), target.value);
		showUnused();
		hideFrom('tried');
	}
});
$('.read').addEventListener('click', () => readFile());
$('.try').addEventListener('click', () => run(true));
$('.import').addEventListener('click', () => run(false));
$('#load').addEventListener('change', async (e) => {
	try {
		const saved = await get(`/api/import-mappings/${encodeURIComponent(e.target.value)}`);
		const { mapping: columns, ...settings } = saved.settings ?? saved;
		await readFile(settingsOf({ ...proposal, ...settings }));
		mapping = Object.fromEntries(Object.entries(columns).filter(([, column]) => proposal.columns.includes(column)));
		showMapping();
	} catch (problem) {
		say(firstNotice, problem);
	}
});
$('.save').addEventListener('click', async () => {
	const name = $('#save').value.trim();
	const said = $('.saved');
	if (!name) {
		said.textContent = 'Give it a name first.';
		return;
	}
	try {
		await put(`/api/import-mappings/${encodeURIComponent(name)}`, { kind, settings: { ...settingsOf(proposal), mapping } });
		said.textContent = `Saved as ${name}.`;
		await listMappings();
	} catch (problem) {
		said.textContent = problem.detail ?? problem.message;
	}
});

start().catch((problem) => say($('.main-notice'), problem));
