import { newUuid } from './uuid.js';

/*
 * What pages kept before there was a queue, in localStorage: a draft under "draft:17" or
 * "draft:17/attach", an entry that was saved under "unsent:UUID".
 */
const OURS = /^(draft:\d+(\/attach)?|unsent:.*)$/;   // (a rulebook's draft is another thing)
const PAGES = { inspections: 'inspect', attachments: 'attach' };

/**
 * @param {Storage|undefined} storage
 * @param {number} now  in ms
 * @returns {{keys: [string, string][], drafts: object[], entries: object[]}} as logic/kept.js keeps
 *	them; keys: what they were read from. What cannot be read is left where it is.
 */
export function oldThings(storage, now) {
	const found = { keys: [], drafts: [], entries: [] };

	for (const key of keysOf(storage).filter((one) => OURS.test(one)).sort()) {
		const text = storage.getItem(key);
		const value = parse(text);
		if (!value)
			continue;
		found.keys.push([key, text]);
		if (key.startsWith('draft:'))
			found.drafts.push(draftOf(key, value, now));
		else
			found.entries.push(entryOf(value, now));
	}
	return found;
}

function keysOf(storage) {
	try {
		return Object.keys(storage ?? {});
	} catch {
		return [];   // switched off
	}
}

function parse(text) {
	try {
		const value = JSON.parse(text);
		return typeof value === 'object' ? value : null;
	} catch {
		return null;
	}
}

const place = (what, bond_id) => ({ what, bond_id: String(bond_id),
	page: `/bonds/${bond_id}/${PAGES[what]}` });

function draftOf(key, typed, now) {
	const [, bond, attach] = key.match(/^draft:([^/]*)(\/attach)?/);
	const uuid = typed.uuid ?? newUuid();
	const by = typed.begun_by ?? (typeof typed.person === 'object' ? typed.person : null);

	return { uuid, ...place(attach ? 'attachments' : 'inspections', typed.bond_id ?? bond),
		label: '', person: by, typed: { ...typed, uuid }, at_ms: now };
}

/* (one that was saved before its form was ready has no id: it gets one) */
function entryOf({ uuid: had, what = 'inspections', bond_id: bond, label = '', person_id: by, body,
	typed, refused }, now) {
	const uuid = had ?? newUuid();

	return { uuid, ...place(what, bond), label, person: by ? { id: by, name: '' } : null, body,
		typed: { ...typed, uuid }, state: refused ? 'refused' : 'saved', problem: refused ?? null,
		fails: 0, saved_ms: typed?.saved_ms ?? now };
}
