/*
 * The pages of the track without a server. What is kept is named in KEPT (static/bundle.mjs writes
 * it: address -> file with a content hash), whole or not at all; answers of the API never are. A new
 * version waits until a page says that no form is open.
 */
const KEPT = /* written by the bundle */ { version: '', pages: {}, files: [] };
const NAME = `bondbook-${KEPT.version}`;

self.addEventListener('install', (e) => e.waitUntil(caches.open(NAME).then((cache) =>
	cache.addAll([...Object.values(KEPT.pages), ...KEPT.files]
		.map((path) => new Request(path, { cache: 'no-cache' }))))));

self.addEventListener('activate', (e) => e.waitUntil(caches.keys().then((names) => Promise.all(
	names.filter((name) => name.startsWith('bondbook-') && name !== NAME)
		.map((name) => caches.delete(name)))).then(() => self.clients.claim())));

self.addEventListener('message', ({ data }) => data === 'take over' && self.skipWaiting());

/** The kept file of an address; undefined: the network's. */
function keptOf({ method, mode, url }) {
	const { origin, pathname } = new URL(url);

	if (method !== 'GET' || origin !== location.origin || pathname.startsWith('/api'))
		return undefined;
	if (mode === 'navigate')
		return KEPT.pages[`/${pathname.split('/')[1]}`];
	return KEPT.files.includes(pathname) ? pathname : undefined;
}

self.addEventListener('fetch', (e) => {
	const path = keptOf(e.request);

	if (path)
		e.respondWith(caches.open(NAME).then((cache) => cache.match(path))
			.then((kept) => kept ?? fetch(e.request)));
});
