/**
 * Inspections, failures, repairs and deferrals of a bond as one list, newest first. Words are the
 * titles of the API's enumerations.
 *
 * @param {{inspections: object[], failures: object[], deferrals: object[]}} rows
 * @param {Record<string, Map<string, string>>} words
 * @returns {{day: string, what: string, words: string, more: string, place_id?: number|null}[]}
 *	place_id: the repeat place of a failure
 */
export function history({ inspections, failures, deferrals }, words) {
	/* of one day the last comes first: what was found is made good after it */
	const events = [
		...deferrals.map((row) => ({
			day: row.decided_day, what: 'Deferred', words: `to ${row.until_day}`, more: joined([row.reason, row.person])
		})),
		...failures.filter((row) => row.made_good_day).map((row) => ({
			day: row.made_good_day, what: 'Made good', words: words.failure_mode.get(row.mode) ?? '',
			more: joined([row.made_good_how, aheadWords(row.made_good_days_ahead)])
		})),
		...failures.map((row) => failed(row, words)),
		...inspections.map((row) => inspected(row, words))
	];
	return events.sort((a, b) => (b.day ?? '').localeCompare(a.day ?? ''));
}

function inspected(row, words) {
	const seen = ['a', 'b'].filter((end) => row[`seen_${end}`])
		.map((end) => `${row[`end_${end}_words`]}: ${words.seen.get(row[`seen_${end}`])}`);
	return {
		day: row.day, what: marked('Inspected', row),
		words: joined([words.purpose.get(row.purpose), words.outcome.get(row.outcome)]),
		more: joined([...seen, row.note, row.inspector, aheadWords(row.days_ahead)])
	};
}

function failed(row, words) {
	return {
		day: row.found_day, what: marked(row.made_good_day || row.replaced ? 'Failed' : 'Failed, not made good', row),
		place_id: row.place_id,
		words: joined([words.failure_mode.get(row.mode), row.end_words]),
		more: joined([row.cause && `cause: ${row.cause}`, row.note, aheadWords(row.days_ahead)])
	};
}

/* Both a wrong entry and its correction stay readable. */
function marked(what, { replaced }) {
	return replaced ? `${what} (corrected by a later entry)` : what;
}

/** What is said of an entry that was dated ahead of the register when it arrived; "" when it was not. */
export function aheadWords(days) {
	if (!days)
		return '';
	return days === 1 ? 'dated one day ahead of the register'
		: `dated ${days} days ahead of the register: for due days it counts from when it arrived, until it is corrected`;
}

function joined(parts) {
	return parts.filter(Boolean).join(' · ');
}

/**
 * The attachments of a bond by end, corrected ones left out: the live one and, newest first, the
 * former ones with the day on which the next was made.
 *
 * @param {object[]} rows  of the API
 * @returns {{live: Record<string, object>, former: object[]}}
 */
export function attachmentsByEnd(rows) {
	const kept = rows.filter((row) => !row.replaced).sort((a, b) => b.made_day.localeCompare(a.made_day));
	const live = Object.fromEntries(kept.filter((row) => row.live).map((row) => [row.end, row]));
	const former = kept.filter((row) => !row.live).map((row) => {
		const later = kept.filter((one) => one.end === row.end && one !== row && one.made_day >= row.made_day);
		return { ...row, until_day: later.length ? later[later.length - 1].made_day : null };
	});
	return { live, former };
}
