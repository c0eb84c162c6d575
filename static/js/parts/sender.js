import { get, Problem, put } from '../api.js';
import { dropUnsent, keepUnsent, unsent } from './kept.js';

const AGAIN_MS = 30000;
const NOT_YOURS = new Problem(0,
	{ detail: 'Somebody else is signed in now: who saved this has to sign in to send it.' });

/**
 * Sends what this tablet keeps, one by one, when it can: now, when the connection or the page
 * comes back, every half minute, and when asked to. Each person's own only.
 *
 * @param {(event: {item: object, answer?: object, problem?: object}|null) => void} told
 *	after each answer, and once with null when nothing is left to try
 * @returns {{send: () => Promise<void>}}
 */
export function sender(told) {
	let running = null;

	async function run() {
		const waiting = unsent().filter((one) => !one.refused);
		let now;

		try {
			now = waiting.length ? await signedIn() : null;
		// whose it would be is not known: nothing is sent under another's name
		} catch (problem) {
			told({ item: waiting[waiting.length - 1], problem });
			return;
		}
		for (const item of waiting) {
			if (!isMine(item, now)) {
				told({ item, problem: NOT_YOURS });
				continue;
			}
			const said = await one(item);
			told(said);
			if (said.problem?.passing)
				break;   // nobody answers: the others would wait as long
		}
		told(null);
	}
	const send = () => running ??= run().finally(() => { running = null; });

	addEventListener('online', send);
	document.addEventListener('visibilitychange', () => document.hidden || send());
	setInterval(() => unsent().length && send(), AGAIN_MS);
	return { send };
}

/** True when this person may send it; what was recorded before anybody was known is anybody's. */
export const isMine = (item, personId) => !item.person_id || !personId ||
	item.person_id === personId;

/** Who is signed in now, which may be another than when the page was opened. */
const signedIn = async () => (await get('/api/session')).person.id;

export const isTablet = () => matchMedia('(pointer: coarse)').matches;

/** The register's time zone, which may be another than this device's; null: not known. */
export const zoneHere = () => get('/api/register')
	.then(({ zone, machine_zone: machine }) => zone ?? machine, () => null);

/* Whose clock was wrong when there was no coverage cannot say it again; at a desk the day is mended
 * at once. */
const sentFrom = () => isTablet() ? 'tablet' : 'desk';

async function one(item) {
	try {
		const answer = await put(`/api/${item.what ?? 'inspections'}/${item.uuid}`,
			{ ...item.body, sent_from: sentFrom() });
		dropUnsent(item.uuid);
		return { item, answer };
	} catch (problem) {
		if (!problem.passing)
			keepUnsent({ ...item, refused: { detail: problem.detail, errors: problem.errors } });
		return { item, problem };
	}
}
