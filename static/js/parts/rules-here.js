import { get, getBytes } from '../api.js';
import { loadRules } from '../logic/rules.js';

/**
 * The server's rules in this page, with the rulebook in force. The page has a link to rules.wasm.
 *
 * @returns {Promise<import('../logic/rules.js').Rules>}
 */
export async function rulesHere() {
	const [rules, { rulebook }] = await Promise.all([
		loadRules(getBytes(document.querySelector('link[href$=".wasm"]').href)),
			get('/api/rulebook')]);

	rules.adopt(rulebook);
	return rules;
}
