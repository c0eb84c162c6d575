/*
 * The page without a server: its service worker, and the new version of the pages that waits until
 * no form is open.
 */
const CANNOT = 'This page came over plain http: it cannot work without a signal. It works while ' +
	'the server answers, and what is saved is kept on this tablet.';

let isAsked = false;

/**
 * @param {{cannot: (words: string) => void, waits: (takeOver: () => void) => void}} tell
 *	cannot: why not; waits: new pages are here, and takeOver() has them
 */
export async function workOffline({ cannot, waits }) {
	if (!('serviceWorker' in navigator)) {
		cannot(CANNOT);
		return;
	}
	try {
		const had = Boolean(navigator.serviceWorker.controller);
		const registration = await navigator.serviceWorker.register('/sw.js',
			{ updateViaCache: 'none' });

		navigator.serviceWorker.addEventListener('controllerchange', () =>
			had && isAsked && location.reload());
		look(registration, had, waits);
		registration.addEventListener('updatefound', () => look(registration, had, waits));
		registration.installing?.addEventListener('statechange', ({ target }) =>
			target.state === 'redundant' && cannot('The pages could not be kept on this tablet: ' +
				'its storage may be full. They work while the server answers.'));
	} catch (problem) {   // a server that does not answer now changes nothing that is here
		if (!navigator.serviceWorker.controller)
			cannot(`The pages could not be kept on this tablet: ${problem.message}`);
	}
}

function look(registration, had, waits) {
	const ready = () => registration.waiting && had && waits(() => {
		isAsked = true;
		registration.waiting?.postMessage('take over');
	});

	ready();
	registration.installing?.addEventListener('statechange', ready);
}

/** True once the pages are all on this tablet. */
export const pagesAreHere = async () =>
	Boolean((await navigator.serviceWorker?.getRegistration())?.active);
