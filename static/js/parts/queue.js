import { get, Problem, put, putPicture, SOON } from '../api.js';
import { changeEntry, drafts, entries, entryReceived, keepEntries, pictureOf, received, tellKept,
	watchKept } from '../logic/kept.js';
import { isMine, sorted, toSend, waitsFor } from '../logic/queue.js';
import { isTablet } from './device.js';
import { me } from './session.js';

/*
 * Sends what this device keeps, in order, one answer an entry: when it is saved, when the
 * connection or a page comes back, every half minute, and when asked to. One tab sends at a time,
 * and each person's own only.
 */
const AGAIN_MS = 30000;
const AWAY_MOST = 2;   // entries in a row that the server could not take: then it takes none
const NOT_YOURS = new Problem(0,
	{ detail: 'Somebody else is signed in now: who saved this has to sign in to send it.' });
/* of these the server asks if they come from a tablet, whose clock nobody mends at night */
const OF_CREWS = ['inspections', 'attachments', 'failures', 'repairs', 'photos'];

let running = null, isAsked = false, isServed = false;

/** @returns {Promise<void>} done when all was tried that was kept when it was called */
export function send() {
	isAsked = true;
	running ??= oneTab(runs).finally(() => {
		running = null;
	});
	return running.then(() => isAsked ? send() : undefined);
}

/* (without locks, which a page over http has not, sending twice stores once all the same) */
const oneTab = (work) => navigator.locks ? navigator.locks.request('bondbook-queue', work) : work();

async function runs() {
	while (isAsked) {
		isAsked = false;
		await run().catch((problem) => console.info('nothing sent:', problem?.message));
	}
}

async function run() {
	const waiting = toSend(await entries());
	let now, away = 0;

	if (!waiting.length)
		return;
	try {
		now = (await get('/api/session', SOON)).person.id;
	} catch (problem) {   // whose it would be is not known: nothing is sent under another's name
		waiting.forEach((entry) => tell(entry, { problem }));
		return;
	}
	for (const entry of waiting) {
		if (!isMine(entry, now)) {
			tell(entry, { problem: NOT_YOURS });
			continue;
		}
		const all = await entries();   // as they are now: its owner may have taken it out
		const still = all.find(({ uuid }) => uuid === entry.uuid);
		if (still?.state !== 'saved' || waitsFor(still, all))
			continue;
		const problem = await sendOne(still);
		away = problem?.passing ? away + 1 : 0;
		if (away === AWAY_MOST || (problem?.passing && problem.status < 500)) {
			/* nobody answers: the others would wait as long */
			waiting.slice(waiting.indexOf(entry) + 1).forEach((one) => tell(one, { problem }));
			return;
		}
	}
}

/* What a page is told passes through other tabs as plain data. */
function tell({ uuid }, { answer, problem }) {
	tellKept({ uuid, answer, problem: problem && { detail: problem.detail, errors: problem.errors,
		status: problem.status, passing: problem.passing } });
}

/** @returns {Promise<Problem|null>} null: it was received */
async function sendOne(entry) {
	try {
		for (const sha256 of entry.pictures ?? [])
			await sendPicture(sha256);
		const answer = await put(pathOf(entry), bodyOf(entry), SOON);
		await entryReceived(entry.uuid, Date.now());
		tell(entry, { answer });
		return null;
	} catch (problem) {
		if (!(problem instanceof Problem))
			throw problem;   // of the device, not of the server
		if (!problem.passing)
			await changeEntry(entry.uuid, { state: 'refused',
				problem: { detail: problem.detail, errors: problem.errors,
					status: problem.status } });
		else if (problem.status >= 500)
			await changeEntry(entry.uuid, { fails: entry.fails + 1 });
		tell(entry, { problem });
		return problem;
	}
}

/* What of it the server has not: a connection that broke in the middle is gone on with. */
async function sendPicture(sha256) {
	const path = `/api/photo-files/${sha256}`;
	const { received: had, whole } = await get(path, SOON);
	const picture = whole ? null : await pictureOf(sha256);

	if (!picture)
		return;   // (where neither has it, the server says so of the photo)
	try {
		await putPicture(had ? `${path}?from=${had}` : path, picture.bytes.slice(had),
			picture.type);
	} catch (problem) {
		if (problem.status !== 409 || !had)
			throw problem;
		await putPicture(path, picture.bytes, picture.type);   // what came before was not it
	}
}

const pathOf = ({ what, uuid }) => `/api/${what}/${uuid}`;

const bodyOf = ({ what, body }) =>
	OF_CREWS.includes(what) ? { ...body, sent_from: isTablet() ? 'tablet' : 'desk' } : body;

/**
 * Keeps an entry; it is "saved" when the promise is kept, and not before.
 *
 * @param {object} entry  of logic/kept.js, without what the queue says of it
 * @returns {Promise<object>} what is kept under its id: another than this where one was kept
 *	already that may have been sent
 */
export const keep = async (entry) => (await keepAll([entry]))[0];

/** Entries of one act: all are saved, or none. */
export async function keepAll(all) {
	const by = me();
	const kept = await keepEntries(all.map((entry) => ({ label: '', bond_id: null,
		page: location.pathname, typed: {}, person: by && { id: by.id, name: by.name }, ...entry,
		saved_ms: Date.now() })));

	navigator.storage?.persist?.().catch(() => {});   // else a full device may clear it all
	return kept;
}

/**
 * Sends, and gives what the server said of one entry.
 *
 * @returns {Promise<object>} the answer
 * @throws what it said no to; passing: it waits here
 */
export async function answerTo(uuid) {
	let said = null;
	const end = watchKept((event) => {
		if (event?.uuid === uuid)
			said = event;
	});

	await send();
	end();
	if (said?.problem)
		throw keptStill(new Problem(said.problem.status, said.problem));
	return said?.answer ?? stands(uuid);
}

/* Another tab had its answer, or it was not its turn. */
async function stands(uuid) {
	const [all, had] = await Promise.all([entries(), received()]);
	const entry = all.find((one) => one.uuid === uuid);

	if (had.some((one) => one.uuid === uuid))
		return {};
	if (!entry)
		throw new Problem(409, { detail: 'It was taken out on another page of this device.' });
	if (entry.state === 'refused')
		throw keptStill(new Problem(422, entry.problem));
	const before = waitsFor(entry, all);
	throw keptStill(new Problem(0, { detail: before
		? `It is sent after what it speaks of, ${before.label}.`
		: 'The server takes nothing now.' }));
}

const keptStill = (problem) => Object.assign(problem, { isKept: true });

/**
 * Keeps an entry and sends it; where the device cannot keep it, it is sent all the same.
 *
 * @param {object} entry  as keep() takes it
 * @param {() => void} [saved]  called once it is on the disk
 * @returns {Promise<object>} the server's answer
 * @throws {Problem} isKept: it waits here; else it is nowhere but on the page
 */
export async function record(entry, saved = () => {}) {
	let kept;

	try {
		kept = await keep(entry);
	} catch {
		return sendUnkept(entry);
	}
	if (JSON.stringify(kept.body) !== JSON.stringify(entry.body))
		throw new Problem(409, { detail: 'This was saved already, on another page, and ' +
			'otherwise. Look at what is on record before you save it again.' });
	saved();
	return answerTo(entry.uuid);
}

async function sendUnkept(entry) {
	try {
		const { person } = await get('/api/session', SOON);
		if (!isMine({ person: me() }, person.id))
			throw NOT_YOURS;
		return await put(pathOf(entry), bodyOf(entry), SOON);
	} catch (problem) {
		if (!problem.passing)
			throw problem;
		throw new Problem(problem.status, { detail: `This device cannot keep it: its storage is ` +
			`full or switched off. ${problem.detail} Free some space, then save again; what you ` +
			`typed is still here.` });
	}
}

/** What is kept, of who is signed in and of others: as sorted() of logic/queue.js has it. */
export async function keptNow(personId = me()?.id) {
	const [waiting, begun, had] = await Promise.all([entries(), drafts(), received()]);

	return sorted({ entries: [...waiting, ...had], drafts: begun }, personId, Date.now());
}

/** Sends from this page from now on, by itself. */
export function serveQueue() {
	if (isServed)
		return;
	isServed = true;
	addEventListener('online', send);
	document.addEventListener('visibilitychange', () => document.hidden || send());
	setInterval(send, AGAIN_MS);
	send();
}
