import { getBytes } from '../api.js';
import { loadRules } from '../logic/rules.js';

let loading = null;

/**
 * The rules with the rulebook of a round's package; null: this tablet cannot judge now.
 *
 * @returns {Promise<import('../logic/rules.js').Rules|null>}
 */
export async function rulesOf({ rulebook }) {
	try {
		loading ??= loadRules(getBytes(document.querySelector('link[href$=".wasm"]').href));
		const rules = await loading;
		rules.adopt(rulebook);
		return rules;
	} catch (problem) {
		loading = null;
		console.info('no verdict here:', problem.message);
		return null;
	}
}
