/**
 * The words of the API with those of one bond's ends, as the server has them: "contact at Up, left
 * rail (cess)", not "at end A".
 *
 * @param {{ends: {end: string, short: string}[], quantity_words: Record<string, string>}} bond
 * @param {Record<string, Map<string, string>>} words
 */
export function wordsOfBond({ ends, quantity_words: quantities }, words) {
	return { ...words, quantity: new Map(Object.entries(quantities)),
		bond_end: new Map(ends.map(({ end, short }) => [end, short])) };
}

/**
 * Where a failure was, to choose from.
 *
 * @param {{ends: {end: string, short: string}[]}} bond
 * @returns {[string, string][]} value, text
 */
export function placesOfFailure({ ends }) {
	return [['', 'the cable, or both'], ...ends.map(({ end, short }) => [end, short])];
}

/** What to do where the two ends read alike; empty where they do not. */
export function alikeWords({ ends_differ_by: by }) {
	return by === 'not_told_apart' ? 'Nothing on record tells the two ends of this bond apart. ' +
		'Write into the note which one it is (which side, which rail), and tell the planner.' : '';
}
