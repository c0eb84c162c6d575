import { get, getBytes, SOON } from '../api.js';
import { loadRules } from '../logic/rules.js';

/**
 * The server's rules in this page, with the rulebook in force. The page has a link to rules.wasm.
 *
 * @returns {Promise<{rules: import('../logic/rules.js').Rules, rulebook: object}>}
 */
export async function rulesHere() {
	const [rules, { rulebook }] = await Promise.all([
		loadRules(getBytes(document.querySelector('link[href$=".wasm"]').href)),
			get('/api/rulebook', SOON)]);

	rules.adopt(rulebook);
	return { rules, rulebook };
}
