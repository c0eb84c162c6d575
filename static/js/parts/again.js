const EVERY_MS = 10000;

/**
 * Loads now, and again while the page is looked at, so that it fills while results arrive. What
 * cannot be loaded is said, and tried again.
 *
 * @param {() => Promise<void>} load
 * @param {(problem: {detail: string, status?: number}) => void} failed
 */
export async function again(load, failed) {
	let loading = false;

	await load();
	setInterval(async () => {
		if (document.hidden || loading || document.querySelector('dialog[open]'))
			return;
		loading = true;
		await load().catch((problem) =>
			failed({ ...problem, detail: problem.detail ?? problem.message }));
		loading = false;
	}, EVERY_MS);
}
