/* Runs before the first paint, so that a page at night does not flash white. */
(() => {
	const night = matchMedia('(prefers-color-scheme: dark)');
	const apply = () => {
		let chosen = null;
		try {
			chosen = localStorage.getItem('scheme');
		} catch { /* no storage: the system's wish holds */ }
		document.documentElement.dataset.scheme = chosen ?? (night.matches ? 'dark' : 'light');
	};

	apply();
	night.addEventListener('change', apply);
	addEventListener('storage', apply);
})();
