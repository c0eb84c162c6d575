/*
 * The rounds that are on this tablet: each package as it came, whole, under its round's id, and
 * beside it what the crew chose for the night. A store of its own, so that what is kept to be sent
 * (logic/kept.js) is never touched by it; strict durability as there.
 *
 * @typedef {{uuid: string, pack: object, bytes: number, fetched_ms: number, ahead_ms: number,
 *	parts: object[], words: object, zone: string|null}} Kept
 *	ahead_ms: how far this tablet's clock was before the server's; parts: the fields of a kit's
 *	check; words: the enumerations of the API; zone: the register's
 */
const NAME = 'bondbook-rounds', VERSION = 1;

const got = (request) => new Promise((resolve, reject) => {
	request.onsuccess = () => resolve(request.result);
	request.onerror = () => reject(request.error);
	request.onblocked = () => reject(new Error('Another page of this tablet holds it.'));
});

async function within(mode, work) {
	const asked = indexedDB.open(NAME, VERSION);

	asked.onupgradeneeded = () => {
		asked.result.createObjectStore('packs', { keyPath: 'uuid' });
		asked.result.createObjectStore('nights', { keyPath: 'uuid' });
	};
	const db = await got(asked);
	try {
		const tx = db.transaction(['packs', 'nights'], mode, { durability: 'strict' });
		const done = new Promise((resolve, reject) => {
			tx.oncomplete = resolve;
			tx.onabort = () => reject(tx.error ?? new Error('The tablet kept nothing.'));
		});
		const [value] = await Promise.all([work((name) => tx.objectStore(name)), done]);
		return value;
	} finally {
		db.close();   // nothing of it stays open: signing out takes it away
	}
}

/** @returns {Promise<Kept|undefined>} */
export const packOf = (uuid) => within('readonly', (store) => got(store('packs').get(uuid)));

/** @returns {Promise<Kept[]>} the shift that begins last comes first */
export const packs = async () =>
	(await within('readonly', (store) => got(store('packs').getAll())))
		.sort((a, b) => b.pack.round.shift_day.localeCompare(a.pack.round.shift_day));

/** @param {Kept} kept  it replaces the older one whole */
export const keepPack = (kept) => within('readwrite', (store) => got(store('packs').put(kept)));

/** What was chosen for the night of a round: {} before anything was. */
export const nightOf = async (uuid) =>
	await within('readonly', (store) => got(store('nights').get(uuid))) ?? { uuid };

export const keepNight = (night) => within('readwrite', (store) => got(store('nights').put(night)));

/** Who signs out leaves none here. */
export const dropPacks = () => got(indexedDB.deleteDatabase(NAME));
