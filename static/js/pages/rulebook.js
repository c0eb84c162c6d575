import { get, getAll, getWords, post, put } from '../api.js';
import { dayOf } from '../logic/day.js';
import { readNumber } from '../logic/number.js';
import { broughtBy, countExamples, countWords, differences, figureWords, flatten, followingWords,
	fullTitle, namedProblems, nextVersion, unflatten, withdrawnWords } from '../logic/rulebook.js';
import { formDialog } from '../parts/form-dialog.js';
import { frame } from '../parts/frame.js';
import { clearProblem, showNotice, showProblem } from '../parts/problems.js';
import { rulebookTrial } from '../parts/rulebook-trial.js';
import { rulebookValues } from '../parts/rulebook-values.js';
import { rulebookVersions } from '../parts/rulebook-versions.js';
import { may } from '../parts/session.js';
import { fillSelect, stamp } from '../parts/template.js';

const ASK_AGAIN_MS = 500;
const DRAFT = 'draft:rulebook';

const $ = (selector) => document.querySelector(selector);
const form = $('main > form');
const changes = $('#changes');
const dialog = $('#adopt');

let values, words, person;
let versions;              // newest first, down to 1
let shown, inForce;        // of versions
let editing = false;
let typed, reasons;        // path -> what is typed, own reason; while editing
let confirmed = new Set(); // paths of values that stay, with a reason

async function start() {
	[person, words, { values }] = await Promise.all([frame(), getWords(),
		get('/api/rulebook/values')]);
	await load();
	follow();
}

async function load() {
	const [now, { rows }] = await Promise.all([get('/api/rulebook'), getAll('rulebooks', '')]);

	versions = (await Promise.all(rows.map(({ version }) => get(`/api/rulebooks/${version}`))))
		.map((one) => ({
		...one, from_day: one.rulebook.from_day, flat: flatten(one.rulebook),
		reasons: new Map(one.reasons.map(({ path, reason }) => [path, reason])),
		lacks: new Set(one.from_edition)
	}));
	inForce = versions.find(({ version }) => version === now.version);
	shown = versions.find(({ version }) =>
		version === Number(new URLSearchParams(location.search).get('version'))) ?? inForce;
	showVersion();
	if (may(person, 'manage') && readDraft()?.base === shown.version)
		edit();
}

function showVersion() {
	const since = broughtBy(values,
		versions.filter(({ version }) => version <= shown.version).reverse());
	const examples = countExamples(values, shown.flat, shown.reasons);
	const next = nextVersion(versions, inForce);

	rulebookValues($('.sections'), $('.contents'),
		{ values, now: editing ? typed : shown.flat, reasons: editing ? reasons : shown.reasons,
		since, lacks: shown.lacks, edition: shown.edition, words, editing });
	rulebookVersions($('.versions > .history'), versions, { values, words, inForce: inForce.version,
		shown: shown.version, withdraw: may(person, 'manage') ? askWithdraw : undefined });
	$('h1').textContent = editing ? 'Rulebook, a new version'
		: `Rulebook, version ${shown.version}`;
	document.title = editing ? `Rulebook, from version ${shown.version}`
		: `Rulebook, version ${shown.version} · from ${shown.from_day}`;
	$('.summary').textContent = `${editing ? `begins as version ${shown.version}`
		: shown === inForce ? `in force from ${shown.from_day}`
		: `from ${shown.from_day}; in force is version ${inForce.version}`}${next &&
		shown === inForce ? `. Version ${next.version} holds from ${next.from_day}` : ''}`;
	$('.why-version').textContent = `${shown.reason} (${[shown.person,
		shown.recorded_at.slice(0, 10)].filter(Boolean).join(', ')})`;
	$('.withdrawn').textContent = shown.withdrawn ? `Version ` +
		`${shown.version} was ${withdrawnWords(shown.withdrawn)} It counts for nothing.` : '';
	$('.lacking').textContent = shown.lacks.size ? `${countWords(shown.lacks.size, 'value is',
		'values are')} not in this version: from edition ${shown.edition} of the rules.` : '';
	$('.owned').textContent = examples ? `${countWords(examples, 'value is', 'values are')} ` +
		`still the program’s example. A railway’s engineer must own each of them.` : '';
	$('.owned').hidden = examples === 0;
	form.toggleAttribute('data-editing', editing);
	changes.hidden = !editing;
	$('.edit').hidden = editing || !may(person, 'manage');
	$('.leave').hidden = $('.changed').hidden = !editing;
}

/** While what is derived is made again: how far that is. */
async function follow() {
	const now = await get('/api/rulebook/following');
	const share = now.of_bonds ? now.followed_bonds / now.of_bonds : null;
	const bar = $('.following > progress');

	$('.following').hidden = now.followed;
	if (now.followed)
		return;
	$('.following > p').textContent = `Due days, grades and repeat places are being made again. ` +
		`${followingWords(now)} You may leave this page.`;
	if (share === null)
		bar.removeAttribute('value');
	else
		bar.value = share;
	setTimeout(() => follow().catch(() => {}), ASK_AGAIN_MS);
}

/* ---- a version that was wrong ---- */

let wrong;                 // the version that is asked about
const withdrawal = formDialog($('#withdraw'),
	({ reason }) => put(`/api/rulebooks/${wrong.version}/withdrawal`, { reason }), async () => {
	await load();
	await follow();
});

function askWithdraw(one) {
	wrong = one;
	$('#withdraw-title').textContent = `Withdraw version ${one.version} as wrong`;
	withdrawal.open();
}

/* ---- editing ---- */

function readDraft() {
	try {
		return JSON.parse(localStorage.getItem(DRAFT));
	} catch {
		return null;
	}
}

function keepDraft() {
	try {
		localStorage.setItem(DRAFT,
			JSON.stringify({ base: shown.version, typed: [...typed], reasons: [...reasons],
			confirmed: [...confirmed], reason: form.reason.value, from_day: form.from_day.value }));
		$('.draft').hidden = false;
	} catch { /* then it lives as long as the page */ }
}

function edit() {
	const draft = readDraft();
	const kept = draft?.base === shown.version ? draft : null;
	const newer = versions.find(({ version }) => version > shown.version);

	typed = new Map([...shown.flat, ...(kept?.typed ?? [])]);
	reasons = new Map(kept?.reasons ?? shown.reasons);
	confirmed = new Set(kept?.confirmed);
	form.from_day.value = kept?.from_day ?? dayOf(new Date());
	form.reason.value = kept?.reason ?? '';
	$('#stays').length = 1;
	fillSelect($('#stays'), values.map((value) => [value.path, fullTitle(value)]));
	$('.superseded').textContent = newer
		? `Version ${newer.version} was adopted after version ${shown.version}, with which you ` +
		`begin: what it changed is not in what you adopt here.` : '';
	editing = true;
	showVersion();
	showDifferences();
}

function leave() {
	try {
		localStorage.removeItem(DRAFT);
	} catch { /* nothing was kept */ }
	editing = false;
	clearProblem(form);
	trial.clear();
	showVersion();
}

/* What an input says; a text that is no number stays as it was typed, and is refused when it is
 * sent. */
function valueOf(input) {
	const value = values.find(({ path }) => path === input.name);
	const text = input.value.trim();

	if (value.type === 'word')
		return text;
	const { value: number, problem } = readNumber(text);
	return problem ? text : number;
}

const changedNow = () => differences(values, shown.flat, typed);

function showDifferences() {
	const changed = changedNow();
	const stay = values.filter(({ path }) => confirmed.has(path) &&
		!changed.some((one) => one.path === path))
		.map((value) => ({ ...value, before: typed.get(value.path) ?? null,
			after: typed.get(value.path) ?? null }));

	$('.differences').replaceChildren(...[...changed, ...stay].map((value) => {
		const li = stamp('difference', { title: fullTitle(value),
			before: figureWords(value, value.before, words), after: value.before === value.after
			? 'stays' : figureWords(value, value.after, words) });
		const input = li.querySelector('input');

		input.id = `reason-${value.path}`;
		input.dataset.path = value.path;
		input.value = value.before === value.after ||
			reasons.get(value.path) !== shown.reasons.get(value.path)
			? reasons.get(value.path) ?? '' : '';
		Object.assign(li.querySelector('label'), { htmlFor: input.id });
		return li;
	}));
	$('#changes-title').textContent = changed.length
		? `You change ${countWords(changed.length, 'value')}` : 'What you change';
	$('.changed').textContent = `${countWords(changed.length, 'value')} changed`;
	changes.querySelector('.none').hidden = changed.length + stay.length > 0;
}

/* A value that changed loses the reason that it had before: that one was of another value. */
function body() {
	const changed = new Set(changedNow().map(({ path }) => path));
	const given = [...reasons].filter(([path, reason]) => reason.trim() &&
		!(changed.has(path) && reason === shown.reasons.get(path)));

	typed.set('from_day', form.from_day.value);
	return { rulebook: unflatten(typed), reason: form.reason.value,
		after_version: versions[0].version,
		reasons: given.map(([path, reason]) => ({ path, reason })) };
}

/* "limits.structure" is beside the first figure of that kind. */
function inputOf(name) {
	return form.elements.namedItem(name) ?? form.querySelector(`[name^="${CSS.escape(name)}."]`);
}

const showRefused = ({ errors, ...problem }) => showProblem(form,
	{ ...problem, errors: namedProblems(errors ?? [], values) }, inputOf);

/* Texts that are no numbers, said at once: the server only knows that they are none. */
function refuseTexts() {
	const errors = values.filter(({ type, path }) => type !== 'word' &&
		typeof typed.get(path) === 'string')
		.map(({ path }) => ({ field: path, detail: readNumber(typed.get(path)).problem }));

	clearProblem(form);
	if (errors.length)
		showProblem(form, { errors }, inputOf);
	return errors.length > 0;
}

/** Asks once more. */
function adopt() {
	if (refuseTexts())
		return;
	$('#adopt-title').textContent = `Adopt version ${versions[0].version + 1} of the rulebook`;
	$('#adopt .what').textContent = `You change ` +
		`${countWords(changedNow().length, 'value')}. It holds from ${form.from_day.value ||
		'a day that is still to be said'}. Due days, grades and repeat places are then made ` +
		`again in the background; the verdicts given before stay in the history.`;
	$('#adopt .untried').textContent = tried === JSON.stringify(body().rulebook) ? ''
		: 'You have not tried these values: the trial says which bonds would be overdue and ' +
		'which verdicts would change.';
	showNotice(dialog.querySelector('.notice'), '');
	dialog.showModal();
}

/* What is refused stands beside its value, not in the dialog. */
async function adoptNow() {
	const button = dialog.querySelector('.main');

	button.disabled = true;
	try {
		await post('/api/rulebooks', body());
		dialog.close();
		leave();
		history.replaceState(null, '', '/rulebook');
		await load();
		$('#main').focus();
		scrollTo(0, 0);           // where the new version stands, and how far it is followed
		await follow();
	} catch (problem) {
		if (dialog.open && problem.errors?.length) {
			dialog.close();
			showRefused(problem);
		} else {
			showNotice(dialog.open ? dialog.querySelector('.notice') : $('.main-notice'),
				problem.detail ?? problem.message, problem.status);
		}
	} finally {
		button.disabled = false;
	}
}

const trial = rulebookTrial($('.tried'), () => words);
let tried = '';            // the rulebook of the last trial

async function tryIt() {
	if (refuseTexts())
		return;
	const { rulebook } = body();
	const button = $('.try');
	button.disabled = true;
	try {
		if (await trial.run(rulebook))
			tried = JSON.stringify(rulebook);
	} catch (problem) {
		showRefused(problem);
	} finally {
		button.disabled = false;
	}
}

const say = (problem) => showNotice($('.main-notice'), problem.detail ?? problem.message,
	problem.status);

form.addEventListener('submit', (e) => e.preventDefault());
form.addEventListener('input', ({ target }) => {
	if (target.dataset.path)
		reasons.set(target.dataset.path, target.value);
	else if (target.closest('.sections')) {
		typed.set(target.name, valueOf(target));
		// not on leaving the field: the buttons below would move under the finger
		showDifferences();
	}
	keepDraft();
});
$('.add-stays').addEventListener('click', () => {
	const chosen = $('#stays').value;
	if (!chosen)
		return;
	confirmed.add(chosen);
	showDifferences();
	document.getElementById(`reason-${chosen}`).focus();
});
$('.edit').addEventListener('click', () => {
	edit();
	$('.sections input').focus();
});
$('.leave').addEventListener('click', leave);
$('.try').addEventListener('click', tryIt);
$('.adopt').addEventListener('click', adopt);
dialog.querySelector('form').addEventListener('submit', (e) => {
	e.preventDefault();
	adoptNow();
});
dialog.querySelector('.cancel').addEventListener('click', () => dialog.close());
$('.print').addEventListener('click', () => print());

start().catch(say);
