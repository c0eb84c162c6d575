/*
 * What this tablet keeps. A draft is a form being filled in, one of each kind a bond; an unsent is
 * an inspection or attachment that the person has saved and the server has not acknowledged.
 * Neither is ever dropped except by its owner's act or the server's answer.
 */
const DRAFT = 'draft:', UNSENT = 'unsent:', LAST = 'last:';

function read(key) {
	try {
		return JSON.parse(localStorage.getItem(key));
	} catch {
		return null;
	}
}

/** False when the tablet could not keep it (storage full, or switched off). */
function write(key, value) {
	try {
		localStorage.setItem(key, JSON.stringify(value));
		return true;
	} catch {
		return false;
	}
}

export const draft = (bondId) => read(DRAFT + bondId);
export const keepDraft = (bondId, typed) => write(DRAFT + bondId, typed);
export const dropDraft = (bondId) => localStorage.removeItem(DRAFT + bondId);

/** @typedef {{what?: string, uuid: string, bond_id: string, label: string, person_id: number, body:
 * object,
 *	typed: object, refused: object|null}} Unsent
 *	what: the list of the API that it goes to; inspections unless told */

/** @returns {Unsent[]} oldest first: the ids are made in order */
export function unsent() {
	return Object.keys(localStorage).filter((key) => key.startsWith(UNSENT)).sort().map(read)
		.filter(Boolean);
}
export const keepUnsent = (item) => write(UNSENT + item.uuid, item);
export const dropUnsent = (uuid) => localStorage.removeItem(UNSENT + uuid);

/** What was used last on this tablet: instrument, kit. Never who did it: that is who is signed
 * in. */
export const lastUsed = (what) => read(LAST + what) ?? '';
export const keepLastUsed = (what, value) => value && write(LAST + what, value);

/** Who is signed in here, for when the server does not answer. */
export const keepSession = ({ id, name }) => keepLastUsed('session', { id, name });
