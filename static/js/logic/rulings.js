/**
 * What waits for an engineer's word, or could have it: corrections that better the bond, what is
 * over its limit, attachments that were not accepted.
 *
 * @param {{bond: {id: number}, waiting: object[], toMend: object[], attachments: object[]}} known
 *	waiting: rows of better-by-correction; toMend: of the judgement; attachments: live rows that
 *	were not accepted
 * @param {Record<string, Map<string, string>>} words
 * @returns {{words: string, button: string, title: string, says: string, body: object, isForAll:
 *	boolean}[]}
 */
export function rulingsOf({ bond, waiting, toMend, attachments }, words) {
	return [
		...waiting.map((one) => ({
			words: `${one.entry === 'withdrawal' ? 'A withdrawal'
				: `A correction of the ${words.entry.get(one.entry)}`} waits for an engineer: ` +
				`${words.grade.get(one.grade_after)} instead of ` +
				`${words.grade.get(one.grade_before)}, by ${one.person}. ${one.reason}`,
			button: 'Confirm it', isForAll: true,
			title: `Confirm the ${one.entry === 'withdrawal' ? 'withdrawal' : 'correction'}`,
			says: (one.entry === 'withdrawal' ? 'What is withdrawn counts for nothing from now on'
				: 'It counts from now on, in the place of what it corrects') + `: the bond is ` +
				`${words.grade.get(one.grade_after)} by it, as far as nothing else speaks ` +
				`against that.`,
			body: { kind: 'confirms_correction', entry: one.entry, entry_id: one.uuid }
		})),
		...toMend.filter(({ quantity }) => quantity).map((one) => ({
			words: `${capital(one.words)}, since ${one.since_day}.`,
			button: 'Clear it with a reason', title: `Clear: ${one.words}`, isForAll: false,
			says: 'It takes a later reading of the same quantity and attachments, within its ' +
				'limit, on a later shift: without that it clears nothing. Say why the bond is ' +
				'good although no work was recorded in between.',
			body: { kind: 'clears_over', bond_id: bond.id, quantity: one.quantity }
		})),
		...attachments.map((one) => ({
			words: `The attachment at ${one.end_words} of ${one.made_day} was not accepted.`,
			button: 'Accept it with a reason', isForAll: false,
			title: `Accept the attachment at ${one.end_words}`, says: 'Its checks stay on record ' +
				'as they are; it no longer makes the bond one to watch.',
			body: { kind: 'accepts_attachment', entry_id: one.uuid }
		}))
	];
}

const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);
