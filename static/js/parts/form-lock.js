const NAME = 'bondbook-form-';

/**
 * Takes what is being filled in for this page, until it is closed: no other page of this device
 * goes on with it meanwhile.
 *
 * @param {string} uuid
 * @returns {Promise<boolean>} false: another page has it
 */
export function holdForm(uuid) {
	if (!navigator.locks)
		return Promise.resolve(true);   // over http: then keepEntry() keeps the two apart
	return new Promise((resolve) => {
		navigator.locks.request(NAME + uuid, { ifAvailable: true }, (lock) => {
			resolve(lock !== null);
			return lock && new Promise(() => {});
		}).catch(() => resolve(true));
	});
}
