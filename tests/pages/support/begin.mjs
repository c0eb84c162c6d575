/* What each file of page tests begins with: the program on a small railway, and a browser. */
import { after } from 'node:test';

import { browse } from './browser.mjs';
import { fillRegister } from './railway.mjs';
import { client, serve } from './served.mjs';

/** Ends by itself after the file's tests; a page's complaint on its console fails the file.
 * @param {{zoneless?: boolean}} [how] zoneless: a register of which no time zone is known */
export async function begin(how) {
	const served = await serve(how);
	const api = await client(served, 'manager');
	const railway = await fillRegister(api);
	const browser = await browse(served);

	after(async () => {
		try {
			await browser.end();
		} finally {
			await served.end();   // else the test waits for it for ever
		}
	});
	return { served, api, railway, open: browser.open };
}
