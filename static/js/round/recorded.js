import { entries, received, takeBack } from '../logic/kept.js';
import { atToSend } from '../logic/instant.js';
import { newUuid } from '../logic/uuid.js';
import { keepAll, send } from '../parts/queue.js';

/*
 * What this tablet recorded in one round, through the one queue. What was just saved is held back
 * from the server a little longer than it may be undone.
 */
export const UNDO_MS = 10000;
const HELD_MS = UNDO_MS + 2000;

/** @returns {Promise<object[]>} in the order in which they were saved */
export async function recordedIn(round) {
	const [waiting, had] = await Promise.all([entries(), received()]);

	return [...had, ...waiting].filter((one) => one.round === round).sort((a, b) => a.n - b.n);
}

/** Keeps an entry of the round; it is on the disk when the promise is kept. */
export const record = async (to, entry, how) => (await recordAll(to, [entry], how))[0];

/** Entries of one act: all are on the disk when the promise is kept, or none. */
export async function recordAll({ pack, zone }, all, { undoable = false } = {}) {
	const now = Date.now();
	const { uuid: round, shift_day: day } = pack.round;
	const kept = await keepAll(all.map(({ uuid = newUuid(), body, ...entry }) => ({ uuid, label: '',
		bond_id: null, page: `/round/${round}`, ...entry, round,
		body: { at: atToSend(now, day, { zone, isTablet: true }), ...body },
		held_until_ms: undoable ? now + HELD_MS : undefined })));

	if (undoable)
		setTimeout(send, HELD_MS + 100);
	else
		send();
	return kept;
}

/** Takes out what was just saved; false: it is too late, it may have been sent. */
export const undo = takeBack;
