import { get, SOON } from '../api.js';
import { judgeReading, provesNothing } from '../logic/judge.js';
import { rulesHere } from './rules-here.js';

/**
 * The rules themselves in this page, the rulebook in force, and what is known of one bond.
 *
 * @param {string} id  of the bond
 * @param {() => void} failed  called when this device cannot judge, or no longer
 */
export function bondRules(id, failed) {
	let rules = null, known = null, proof = null;

	function cannot(problem) {
		rules = null;
		console.info('no verdict here:', problem.message);
		failed();
	}

	return {
		load: () => Promise.all([rulesHere(), get(`/api/bonds/${id}/tablet`, SOON)])
			.then(([{ rules: loaded, rulebook }, facts]) => {
				[rules, known] = [loaded, facts];
				proof = rulebook.proof?.[facts.limit?.kind] ?? null;
			}).catch(cannot),

		/** What the rulebook wants of this kind of bond; null: not known. */
		proof: () => proof,

		/** The rules' answer to one reading as it is typed; typing goes on whatever they say. */
		judge(reading, visit, others) {
			try {
				const answer = rules && judgeReading(rules, known, reading, visit, others);
				return answer && { ...answer, in_circuit: provesNothing(answer, proof) };
			} catch (problem) {
				cannot(problem);
				return null;
			}
		},

		/** The newest evidence of a quantity, to stand beside the field. */
		lastOf(quantity, words) {
			const last = known?.last?.[quantity];
			return last ? { ...last, verdict_title: words.verdict.get(last.verdict) } : null;
		}
	};
}
