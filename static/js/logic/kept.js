import { oldThings } from './kept-before.js';
import { isHeld } from './queue.js';

/*
 * What this device keeps, in IndexedDB: drafts, forms being filled in; entries, what a person has
 * saved, in the order in which it was saved, until the server has it; received, what it had
 * lately. Each function is one transaction, and its promise is kept when that is on the disk
 * (strict durability): only then may a page say "saved". It is broken when nothing was kept
 * (storage full, or switched off).
 *
 * @typedef {{id: number, name: string}} Person
 * @typedef {{uuid: string, what: string, bond_id: string|number|null, label: string, page: string,
 *	person: Person|null, typed: object, at_ms: number}} Draft
 *	uuid: the id of the entry that it becomes; what: the list of the API that it goes to; page:
 *	where it is filled in; at_ms: when it was last changed
 * @typedef {{n: number, uuid: string, what: string, bond_id: string|number|null, label: string,
 *	page: string, person: Person|null, body: object, typed: object, state: 'saved'|'refused'|
 *	'received', problem: object|null, fails: number, saved_ms: number, received_ms?: number,
 *	round?: string, held_until_ms?: number, pictures?: string[]}} Entry
 *	n: its place in the order; problem: why the server refused it; fails: how often the server
 *	could not take it; round: the round in which it was recorded; held_until_ms: until then it can
 *	be undone, and is not sent; pictures: of a photo, the SHA-256 of each, kept beside it
 */
const NAME = 'bondbook', VERSION = 2;
const STORES = ['drafts', 'entries', 'received', 'pictures'];
const RECEIVED_MOST = 200;

let opened = null;

/** The value of a request of IndexedDB. */
const got = (request) => new Promise((resolve, reject) => {
	request.onsuccess = () => resolve(request.result);
	request.onerror = () => reject(request.error);
});

function open() {
	opened ??= openOnce().catch((problem) => {
		opened = null;
		throw problem;
	});
	return opened;
}

async function openOnce() {
	const asked = indexedDB.open(NAME, VERSION);

	asked.onupgradeneeded = ({ oldVersion: before }) => {
		if (before < 1) {
			asked.result.createObjectStore('drafts', { keyPath: 'uuid' });
			asked.result.createObjectStore('entries', { keyPath: 'n', autoIncrement: true })
				.createIndex('uuid', 'uuid', { unique: true });
			asked.result.createObjectStore('received', { keyPath: 'n' })
				.createIndex('uuid', 'uuid', { unique: true });
		}
		asked.result.createObjectStore('pictures', { keyPath: 'sha256' });
	};
	const db = await got(asked);
	/* later pages must not wait for this one; what closed is opened anew */
	db.onversionchange = () => db.close();
	db.onclose = () => { opened = null; };
	await takeOver(db).catch((problem) => console.info('kept as it was:', problem?.message));
	return db;
}

/** Runs work({drafts, entries, received}) in one transaction; its value, once it is on the disk. */
async function within(mode, work) {
	try {
		return await attempt(await open(), mode, work);
	} catch (problem) {
		if (problem?.name !== 'InvalidStateError')
			throw problem;
		opened = null;   // the system closed it behind the page's back
		return attempt(await open(), mode, work);
	}
}

async function attempt(db, mode, work) {
	const tx = db.transaction(STORES, mode, { durability: 'strict' });
	const done = new Promise((resolve, reject) => {
		tx.oncomplete = resolve;
		tx.onabort = () => reject(tx.error ?? new Error('The device kept nothing.'));
	});
	const value = work(Object.fromEntries(STORES.map((name) => [name, tx.objectStore(name)])));

	if (value instanceof Promise)
		value.catch(() => tx.error ?? tx.abort());   // all of it, or nothing
	else
		tx.commit?.();
	const [kept] = await Promise.all([value, done]);
	return kept;
}

/* Pages are told of each change, those of other tabs too. */
const channel = typeof BroadcastChannel === 'undefined' ? null : new BroadcastChannel(NAME);
const watchers = new Set();

channel?.addEventListener('message', ({ data }) => watchers.forEach((told) => told(data)));
channel?.unref?.();   // (node: what only listens keeps no test alive)

/**
 * @param {(said: {uuid: string, answer?: object, problem?: object}|null) => void} told  null: what
 *	is kept has changed; else what the server said of an entry, in whichever tab
 * @returns {() => void} ends it
 */
export function watchKept(told) {
	watchers.add(told);
	return () => watchers.delete(told);
}

export function tellKept(said = null) {
	watchers.forEach((told) => told(said));
	channel?.postMessage(said);
}

async function change(work) {
	const value = await within('readwrite', work);
	tellKept();
	return value;
}

/** @returns {Promise<Draft[]>} the one that was changed last comes first */
export const drafts = async () => (await within('readonly', (kept) => got(kept.drafts.getAll())))
	.sort((a, b) => b.at_ms - a.at_ms);

let counted = null;   // the draft that was told of last: one more letter of it is no news

export async function keepDraft(draft) {
	await within('readwrite', (kept) => { kept.drafts.put(draft); });
	if (counted !== draft.uuid)
		tellKept();
	counted = draft.uuid;
}

export function dropDraft(uuid) {
	counted = null;
	return change((kept) => { kept.drafts.delete(uuid); });
}

/** @returns {Promise<Entry[]>} in the order in which they were saved */
export const entries = () => within('readonly', (kept) => got(kept.entries.getAll()));
export const received = () => within('readonly', (kept) => got(kept.received.getAll()));

/** What is kept under an id, in a transaction. */
const entryOf = async (kept, uuid) => await got(kept.entries.index('uuid').get(uuid)) ??
	got(kept.received.index('uuid').get(uuid));

/**
 * Keeps what was saved, and its draft no longer. One of the same id that was refused is mended by
 * it and keeps its place; any other stays as it is: what may have been sent is never overwritten.
 *
 * @param {Omit<Entry, 'n'|'state'|'problem'|'fails'>} entry  its pictures with their bytes:
 *	{sha256, type, bytes: ArrayBuffer}
 * @returns {Promise<Entry>} what is kept under the id now
 */
export const keepEntry = async (entry) => (await keepEntries([entry]))[0];

/** All of them, in one transaction: on the disk together, or not at all. */
export const keepEntries = (all) => change(async (kept) => {
	const made = [];

	counted = null;
	for (const entry of all)
		made.push(await keepOne(kept, entry));
	return made;
});

async function keepOne(kept, entry) {
	const old = await entryOf(kept, entry.uuid);
	const made = { ...entry, state: 'saved', problem: null, fails: 0 };

	if (made.pictures)
		made.pictures = made.pictures.map((one) => keepPicture(kept, one));

	kept.drafts.delete(entry.uuid);
	if (old && old.state !== 'refused')
		return old;
	if (old)
		made.n = old.n;
	return { ...made, n: await got(kept.entries.put(made)) };
}

/* (bytes, because some systems keep no file that a page has opened) */
function keepPicture(kept, picture) {
	if (!picture.bytes)
		return picture;   // its SHA-256: it is kept already
	kept.pictures.put({ ...picture, kept_ms: Date.now() });
	return picture.sha256;
}

/** @returns {Promise<{sha256: string, type: string, bytes: ArrayBuffer}|undefined>} */
export const pictureOf = (sha256) => within('readonly', (kept) => got(kept.pictures.get(sha256)));

const OWNERLESS_MS = 24 * 3600 * 1000;   // so long something may still be put back

/* The server has these; and of what is not kept any more the pictures go too. */
async function dropPictures(kept, sent) {
	const [all, lines] = await Promise.all([got(kept.pictures.getAllKeys()),
		got(kept.entries.getAll())]);
	const owned = new Set(lines.flatMap(({ pictures = [] }) => pictures));

	for (const sha256 of all.filter((one) => !owned.has(one))) {
		const { kept_ms: at } = await got(kept.pictures.get(sha256));
		if (sent.includes(sha256) || Date.now() - at > OWNERLESS_MS)
			kept.pictures.delete(sha256);
	}
}

/**
 * @param {string} uuid  of an entry that is kept
 * @param {object} to  the members that change
 */
export const changeEntry = (uuid, to) => change(async (kept) => {
	const old = await got(kept.entries.index('uuid').get(uuid));

	if (old)
		kept.entries.put({ ...old, ...to });
});

/** Only by its owner's act: what is dropped is gone. */
export const dropEntry = (uuid) => change(async (kept) => {
	const n = await got(kept.entries.index('uuid').getKey(uuid));

	if (n !== undefined)
		kept.entries.delete(n);
});

/**
 * Takes out what was just saved, all that was saved by one act.
 *
 * @param {string[]} uuids
 * @returns {Promise<boolean>} false: one of them may have been sent, and all stay
 */
export const takeBack = (...uuids) => change(async (kept) => {
	const all = await Promise.all(uuids.map((uuid) => got(kept.entries.index('uuid').get(uuid))));
	const can = all.every((entry) => entry?.state === 'saved' && isHeld(entry, Date.now()));

	for (const { n } of can ? all : [])
		kept.entries.delete(n);
	return can;
});

/** What the server has is a line of the list from now on; the newest of them are kept. */
export const entryReceived = (uuid, received_ms) => change(async (kept) => {
	const entry = await got(kept.entries.index('uuid').get(uuid));
	const lines = await got(kept.received.getAllKeys());

	for (const n of lines.slice(0, Math.max(0, lines.length + 1 - RECEIVED_MOST)))
		kept.received.delete(n);
	if (entry) {
		kept.entries.delete(entry.n);
		if (entry.pictures)
			await dropPictures(kept, entry.pictures);
		kept.received.put({ ...entry, state: 'received', typed: null, problem: null,
			received_ms });
	}
});

/** Who signs out leaves what is not received, and no more than that. */
export const dropReceived = () => change((kept) => { kept.received.clear(); });

/* What earlier pages kept otherwise is taken over, and goes there only once it is kept here. */
async function takeOver(db) {
	const old = oldThings(globalThis.localStorage, Date.now());

	if (!old.keys.length)
		return;
	await attempt(db, 'readwrite', async (kept) => {
		for (const draft of old.drafts) {
			if (!await got(kept.drafts.get(draft.uuid)))
				kept.drafts.put(draft);
		}
		for (const entry of old.entries) {
			if (!await entryOf(kept, entry.uuid))
				await got(kept.entries.put(entry));
		}
	});
	for (const [key, text] of old.keys) {
		if (localStorage.getItem(key) === text)
			localStorage.removeItem(key);
	}
}
