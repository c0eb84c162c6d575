import { get, SOON } from '../api.js';
import { keepDraft, watchKept } from '../logic/kept.js';
import { keepNight, nightOf, packOf, packs } from '../logic/packs.js';
import { knownAfter } from '../logic/attachment.js';
import { attachmentsOf, clockWords, cutWords, nextOf, wordMaps } from '../logic/shift.js';
import { correctionOf, movedVisit } from '../logic/visit-again.js';
import { send, serveQueue } from '../parts/queue.js';
import { queueHead } from '../parts/queue-head.js';
import { keepSession, lastSession } from '../parts/last-used.js';
import { darkSwitch, me } from '../parts/session.js';
import { make } from '../parts/template.js';
import { mountAttach } from '../round/attach.js';
import { mountBridge } from '../round/bridge.js';
import { canRead, mountCode } from '../round/code.js';
import { mountDepot } from '../round/depot.js';
import { mountFail } from '../round/fail.js';
import { mountFound } from '../round/found.js';
import { mountHandover } from '../round/handover.js';
import { mountHere } from '../round/here.js';
import { mountMend } from '../round/mend.js';
import { workOffline } from '../round/offline.js';
import { mountPhoto } from '../round/photo.js';
import { button } from '../round/pieces.js';
import { mountPast } from '../round/past.js';
import { mountRecord } from '../round/record.js';
import { record, recordAll, recordedIn, undo, UNDO_MS } from '../round/recorded.js';
import { takeAlong } from '../round/take-along.js';
import { mountWalk, standsOf } from '../round/walk.js';

/* The pages of a round, one at a time by the address's hash, with or without a server. */
const $ = (selector) => document.querySelector(selector);
const uuid = location.pathname.split('/')[2];
const root = $('.view');
const says = new Map();   // what the page has to say, by what it is about
let kept, night, entries = [], ticked = null, undoTimer;
let mounted = null;   // the record view, while it stands
let before = null;   // what was saved last, as the next bond's screen offers to undo it

async function start() {
	darkSwitch();
	queueHead($('.bar > .queue'));
	$('.send-now').addEventListener('click', send);
	workOffline({ cannot: (words) => say('offline', words),
		waits: (takeOver) => say('update', 'New pages are here.', ['Update now', () =>
			takeOver()]) });
	const known = uuid && await packOf(uuid);
	const stranger = await whoIs(Boolean(known) || Boolean(lastSession()));
	if (stranger)
		return;
	if (!uuid) {
		await showHere();
	} else {
		night = await nightOf(uuid);
		kept = known;
		if (kept)
			await show();
		await renew();
		watchKept(() => fresh());
		addEventListener('hashchange', () => show());
	}
	serveQueue();
}

/* What is here is shown also to whose session has ended: only sending needs one. */
async function whoIs(mayStay) {
	try {
		const { person } = await get('/api/session', SOON);

		keepSession(person);
	} catch (problem) {
		if (problem.status === 401 && !mayStay) {
			location.replace(`/sign-in?to=${encodeURIComponent(location.pathname +
				location.search)}`);
			return true;
		}
		if (problem.status === 401)
			say('session',
				'The session has ended: what is recorded is kept here, and sent once you ' +
				'sign in again.', ['Sign in', () =>
					location.assign(`/sign-in?to=${encodeURIComponent(location.pathname)}`)]);
	}
	return false;
}

/* The code of a bond: in the round that is here, the latest of several, or else its page. */
function openBond(here, id) {
	const round = here.find(({ pack }) => pack.bond_rows.some(({ bond_id: of }) =>
		String(of) === id));

	location.replace(round ? `/round/${round.uuid}#record=${id}` : `/bonds/${id}`);
}

async function showHere() {
	const here = await packs();
	const asked = new URLSearchParams(location.search).get('bond');

	if (/^\d+$/.test(asked ?? '')) {
		openBond(here, asked);
		return;
	}
	const { rows: all } = await get('/api/rounds?limit=100', SOON).catch(() => ({ rows: [] }));

	mountHere(root, { packs: here, theirs: all.filter((one) =>
		['planned', 'taken', 'under_way'].includes(one.state) && !here.some(({ uuid: of }) =>
			of === one.uuid)) });
	$('.back').href = '/due';
	title('Rounds', me()?.name ?? '');
}

function title(words, where) {
	$('h1').textContent = words;
	$('.where > p').textContent = where;
	document.title = `${words} · bondbook`;
}

/* A newer package replaces the one that is here, whole. */
async function renew() {
	say('package', kept ? '' : 'Fetching the round …');
	try {
		kept = await takeAlong(uuid);
		say('package', '');
		await (root.children.length ? fresh() : show());
	} catch (problem) {
		say('package', kept ? ''
			: `${problem.detail ?? 'This tablet can keep nothing: its storage is ' +
			'full or switched off.'} The round is not on this tablet.`, ['Try again', renew]);
		if (kept)
			say('package', problem.detail ? ''
				: 'A newer package could not be kept: the tablet\'s storage is full.');
	}
}

function say(about, words, act) {
	if (words)
		says.set(about, [words, act]);
	else
		says.delete(about);
	$('.says').replaceChildren(...Array.from(says.values(), ([text, doing]) => {
		const el = make('p', text, 'notice');

		if (doing)
			el.append(' ', button(...doing));
		return el;
	}));
}

const view = () => location.hash.slice(1).split('=');

/* What is typed stays: a view with a form is not made anew under the fingers. */
function fresh() {
	const [name] = view();

	return FORMS.includes(name) || root.contains(document.activeElement) &&
		document.activeElement.matches('input')
		? undefined : show();
}

const VIEWS = { depot: showDepot, walk: showWalk, record: showRecord, commission: showRecord,
	attach: showAttach, failed: showFail, mend: showMend, bridge: showBridge, found: showFound,
	photo: showPhoto, code: showCode, correct: showAgain, move: showAgain, past: showPast,
	handover: showHandover };
const FORMS = ['record', 'commission', 'attach', 'failed', 'mend', 'bridge', 'found', 'photo',
	'code', 'correct', 'move'];
let turn = 0;

async function show() {
	const mine = ++turn;
	const now = await recordedIn(uuid);

	if (mine !== turn || !kept)
		return;
	entries = now;
	const { pack } = kept;
	const begun = entries.some(({ what, body }) => what === 'round-steps' &&
		body.step === 'begun') ||
		pack.round.state === 'under_way';
	const [name, of] = view();
	const known = name in VIEWS ? name : begun ? 'walk' : 'depot';

	mounted?.unmount();
	mounted = null;
	sayWhatIsKnown(pack);
	$('.back').href = known === 'walk' ? '#depot' : known === 'depot' ? '/round' : '#walk';
	VIEWS[known](pack, of);
	if (!FORMS.includes(name))
		return;
	ticked = null;   // (another view was left with an act, or without one)
	endUndo();   // the next bond is opened
}

function sayWhatIsKnown({ round }) {
	say('clock', clockWords(kept.ahead_ms));
	say('cut', cutWords(kept.pack));
	say('wish', round.wish ? `Newer wish of the planner: ${round.wish}` : '');
	say('withdrawn', round.state === 'withdrawn' ? 'The planner has withdrawn this round' +
		`${round.withdrawn_why ? `: ${round.withdrawn_why}` : ''}. What was recorded stays.` : '');
}

function showDepot({ round }) {
	title('Depot', round.crew);
	mountDepot(root, { kept, night, entries }, { change, start: begin, renew });
}

async function change(to, isTyped = false) {
	const focus = document.activeElement?.textContent;

	Object.assign(night, to);
	await keepNight(night).catch(cannotKeep);
	if (isTyped)
		return;
	await show();
	Array.from(root.querySelectorAll('button')).find(({ textContent: text }) =>
		text.split(':')[0] === focus?.split(':')[0])?.focus();
}

const cannotKeep = () => say('full',
	'This tablet can keep nothing now: its storage is full or switched off. ' +
	'Nothing was saved.');

/* The check of a kit is sent when all of it was looked at. */
async function begin(said) {
	const { pack, parts } = kept;
	const { kit, found = {}, instrument, possession, isolation } = night;
	const text = (value) => value?.trim() || undefined;

	await saving(async () => {
		await keepNight(night);
		if (kit && parts.every(({ name }) => found[name]))
			await record(kept, { what: 'kit-checks', label: kit,
				body: { kit, checked_day: pack.round.shift_day, ...found, at: undefined } });
		await record(kept, { what: 'round-steps', label: pack.round.crew, body: { round: uuid,
			step: 'begun',
			said: text(said), kit, instrument, possession: text(possession),
				isolation: text(isolation) } });
		location.hash = 'walk';
	});
}

async function saving(work) {
	try {
		await work();
		say('full', '');
		return true;
	} catch {
		cannotKeep();
		return false;
	}
}

function showWalk(pack) {
	title('Walk', pack.round.crew);
	mountWalk(root, { pack, entries, ticked, canRead: canRead() }, { notReached, tick });
}

/* A tick moves nothing: neither the page nor the focus. */
function tick(to) {
	const at = scrollY;
	const isSame = Boolean(to) && Boolean(ticked);
	const n = Array.from(root.querySelectorAll('.tick')).indexOf(document.activeElement);

	ticked = to;
	showWalk(kept.pack);
	scrollTo(0, isSame ? at : 0);
	root.querySelectorAll('.tick')[n]?.focus({ preventScroll: true });
}

async function notReached(row, why) {
	await saving(async () => {
		const { uuid: id } = await record(kept, { what: 'inspections', label: row.label,
			bond_id: row.bond_id,
			body: { bond_id: row.bond_id, day: kept.pack.round.shift_day, round: uuid,
				outcome: 'not_reached', note: why } }, { undoable: true });

		offerUndo(`${row.label} not reached, ${why}: saved on this tablet.`, [id]);
	});
}

function offerUndo(text, ids, entry = null) {
	const bar = $('.undo');

	clearTimeout(undoTimer);
	bar.querySelector('span').textContent = text;
	bar.hidden = false;
	bar.querySelector('button').onclick = () => takeOut(ids, entry);
	undoTimer = setTimeout(endUndo, UNDO_MS);
}

/* What was keyed stands in its form again. */
async function takeOut(ids, entry) {
	endUndo();
	const isOut = await undo(...ids);

	say('undone', isOut ? '' : 'It is too late: it may have been sent. Withdraw it instead.');
	if (isOut && entry?.typed) {
		const { what, typed, label, page, bond_id: bond } = entry;
		await keepDraft({ uuid: ids[0], what, bond_id: bond, label, page, round: uuid, typed,
			person: me(), at_ms: Date.now() });
	}
	const to = isOut && entry?.typed ? new URL(entry.page, location).hash : '#walk';
	if (location.hash === to)
		await show();
	else
		location.hash = to;
}

function endUndo() {
	clearTimeout(undoTimer);
	$('.undo').hidden = true;
}

/** A bond of the round by its number, with its row; to the walk where there is none. */
function bondOf(pack, of) {
	const at = pack.bond_rows.findIndex(({ bond_id: id }) => String(id) === of);
	const row = pack.bond_rows[at];

	if (at < 0)
		location.replace('#walk');
	else
		title(row.label, row.chainage ?? '');
	return at < 0 ? null : { ...pack.bonds[at], row };
}

const proofOf = (pack, { known }) => pack.rulebook.proof?.[known.limit?.kind] ?? null;

/* After a new attachment a reading is its commissioning, and compared with none of the former. */
function showRecord(pack, of, start = null) {
	const bond = bondOf(pack, of);

	if (!bond)
		return;
	const made = attachmentsOf(entries, bond.bond_id).map(({ body }) => body);
	mounted = mountRecord(root, { pack, bond: { ...bond, known: knownAfter(bond.known, made) },
		entries, words: wordMaps(kept.words), saved: before, start, settings: { ...settings(pack),
			...view()[0] === 'commission' && { purpose: 'commissioning' } } },
	{ save: (all) => saveOne(bond.row, all), night: (to) => change(to, true),
		to: (name) => { location.hash = `${name}=${bond.bond_id}`; } });
	before = null;
}

/* An inspection of this tablet once more, corrected or at the bond that it was. */
function showAgain(pack, of) {
	const [id, other] = of.split(',');
	const entry = entries.find(({ uuid: its, what }) => its === id && what === 'inspections');
	const to = other ?? String(entry?.bond_id);
	const bond = entry && bondOf(pack, to);

	if (!bond)
		toWalk();
	else
		showRecord(pack, to, other ? movedVisit(entry, { bond_id: bond.bond_id,
			proof: proofOf(pack, bond) }) : correctionOf(entry, proofOf(pack, bond)));
}

function showPast(pack, of) {
	const bond = bondOf(pack, of);

	if (bond)
		mountPast(root, { pack, bond, entries, words: wordMaps(kept.words) },
			{ leave: toWalk, withdraw: async (all) => await saveAll(all) && show() });
}

function showAttach(pack, of) {
	const bond = bondOf(pack, of);

	if (bond)
		mountAttach(root, { pack, bond, words: wordMaps(kept.words), settings: settings(pack),
			made: attachmentsOf(entries) },
		{ leave: toWalk, save: (entry) => saving(() => keepOne(bond.row, entry)) });
}

function showCode(pack) {
	title('Read a code', pack.round.crew);
	mountCode(root, { pack },
		{ leave: toWalk, found: (id) => { location.hash = `record=${id}`; } });
}

function showPhoto(pack, of) {
	const bond = bondOf(pack, of);

	if (bond)
		mountPhoto(root, { pack, bond, entries: entries.filter(({ bond_id: its }) =>
			its === bond.bond_id) },
		{ leave: toWalk, save: (entry) => saving(() => keepOne(bond.row, entry)) });
}

const toWalk = () => { location.hash = 'walk'; };

const settings = ({ round }) => ({ day: round.shift_day, instrument: night.instrument,
	kit: night.kit, method: night.method, temp_c: night.temp_c, temp_at_ms: night.temp_at_ms,
	person: me() });

/* After a bond the next one stands there, and the walk once none is open. */
async function saveOne(row, all) {
	const isKept = await saveAll(all);

	if (!isKept)
		return false;
	entries = await recordedIn(uuid);
	const ids = all.map(({ uuid: id }) => id);
	const isAgain = all.length > 1 || all[0].body.corrects;
	const next = !isAgain && nextOf(kept.pack.bond_rows, standsOf(kept.pack, entries),
		row.bond_id);
	before = next && { words: row.label, until_ms: Date.now() + UNDO_MS,
		undo: () => takeOut(ids, all[0]) };
	location.hash = next ? `record=${next.bond_id}` : 'walk';
	return true;
}

const IN_ROUND = ['inspections', 'failures', 'repairs', 'bridges', 'bridges-off', 'photos'];

const keepOne = (row, entry) => keepAll([{ label: row.label, bond_id: row.bond_id, ...entry }]);

/* What one act records: together on the disk, and together taken out again. */
async function keepAll(all) {
	const made = await recordAll(kept, all.map(({ body, ...entry }) => ({ ...entry,
		body: IN_ROUND.includes(entry.what) ? { ...body, round: uuid } : body })),
	{ undoable: true });
	const [{ label }] = made;
	const ids = made.map(({ uuid: id }) => id);

	offerUndo(`${label}${made.length > 1 ? ` and ${made.length - 1} more` : ''}: saved on this ` +
		'tablet.', ids, made.length === 1 ? made[0] : null);
	return ids;
}

const saveAll = (all) => saving(() => keepAll(all));

function showFail(pack, of) {
	const rows = pack.bond_rows.filter(({ bond_id: id }) => of?.split(',').includes(String(id)));

	if (rows.length === 0) {
		toWalk();
		return;
	}
	title(rows.length === 1 ? rows[0].label : `${rows.length} bonds`, 'failed');
	mountFail(root, { pack, rows, entries, words: wordMaps(kept.words) },
		{ leave: toWalk, save: saveAll });
}

function showMend(pack, of) {
	const bond = bondOf(pack, of);

	if (bond)
		mountMend(root, { pack, bond, entries, words: wordMaps(kept.words) },
			{ leave: toWalk, save: saveAll });
}

function showBridge(pack, of) {
	const bond = bondOf(pack, of);

	if (bond)
		mountBridge(root, { pack, bond, entries },
			{ leave: toWalk, save: saveAll,
				off: async (bridge) => await bridgeOff(bridge) && toWalk() });
}

function showFound(pack) {
	const last = entries.filter(({ bond_id: id }) => id).at(-1)?.bond_id;

	title('Not in the book', pack.round.crew);
	mountFound(root, { pack, last: pack.bond_rows.find(({ bond_id: id }) => id === last),
		words: wordMaps(kept.words) }, { leave: toWalk, save: saveAll });
}

const bridgeOff = (bridge) => saving(() => record(kept, { what: 'bridges-off',
	label: bridge.label, body: { bridge: bridge.uuid, round: uuid,
		off_day: kept.pack.round.shift_day } }));

function showHandover(pack) {
	title('Hand over', pack.round.crew);
	mountHandover(root, { pack, entries }, {
		bridgeOff,
		done: (said) => saving(() => record(kept, { what: 'round-steps', label: pack.round.crew,
			body: { round: uuid, step: 'done', said: said || undefined } })) });
}

start().catch((problem) => say('start',
	problem?.detail ?? 'This tablet can keep nothing: its storage is full or ' +
	'switched off. The round cannot be taken along.'));
