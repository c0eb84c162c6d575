/* A renewal of rails in words, from the row of its list. */

/** @param {Record<string, Map<string, string>>} words */
export function renewalWords({ day, track, rails, from, to }, words) {
	return `${day}: ${track}, ${words.renewed_rails.get(rails)}, ${from} to ${to}`;
}

/** How many ends still have no answer. */
export function renewalOpenWords({ taken_off, without_answer }) {
	if (without_answer)
		return `${without_answer} of ${taken_off} ${taken_off === 1 ? 'end'
			: 'ends'} without an answer`;
	return taken_off ? `all ${taken_off} ${taken_off === 1 ? 'end' : 'ends'} answered`
		: 'no end was there';
}
