import { get, Problem } from '../api.js';
import { describedForm } from '../logic/described-form.js';
import { keepPack, packOf } from '../logic/packs.js';
import { wholePack } from '../logic/shift.js';
import { zoneHere } from '../parts/device.js';

const MOST_MS = 60000;

/**
 * Fetches the package of a round and keeps it whole: "ready" only when the last byte is on the
 * disk. What was kept before is replaced then, and not sooner.
 *
 * @returns {Promise<import('../logic/packs.js').Kept>}
 * @throws {Problem} nothing has changed on this tablet
 */
export async function takeAlong(uuid) {
	const before = await packOf(uuid);
	const [{ pack, bytes, ahead_ms }, parts, words, zone] = await Promise.all([fetchPack(uuid),
		before?.parts ?? kitParts(), before?.words ?? get('/api/words'),
			before?.zone ?? zoneHere()]);
	const kept = { uuid, pack, bytes, ahead_ms, parts, words, zone, fetched_ms: Date.now() };

	await keepPack(kept);
	return kept;
}

async function fetchPack(uuid) {
	const end = new AbortController();
	const timer = setTimeout(() => end.abort(), MOST_MS);

	try {
		const response = await fetch(`/api/rounds/${uuid}/tablet`,
			{ headers: { accept: 'application/json' }, signal: end.signal });
		const text = await response.text();

		if (!response.ok)
			throw new Problem(response.status, { detail: response.status === 404
				? 'There is no round at this address.'
					: `The server answered ${response.status}.` });
		const pack = wholePack(text);
		if (!pack)
			throw new Problem(0, { detail: 'Not all of the round arrived.' });
		return { pack, bytes: new Blob([text]).size,
			ahead_ms: Date.now() - Date.parse(pack.made_at) };
	} catch (problem) {
		throw problem instanceof Problem ? problem
			: new Problem(0, { detail: 'The server did not answer.' });
	} finally {
		clearTimeout(timer);
	}
}

const kitParts = async () => describedForm(await get('/api'), '/api/kit-checks/{uuid}')
	.filter(({ type, required }) => type === 'word' && required);
