/**
 * Inspections, failures, repairs and deferrals of a bond as one list, newest first. Words are the
 * titles of the API's enumerations.
 *
 * @param {{inspections: object[], failures: object[], deferrals: object[]}} rows
 * @param {Record<string, Map<string, string>>} words
 * @returns {{day: string, what: string, words: string, more: string}[]}
 */
export function history({ inspections, failures, deferrals }, words) {
	const corrected = new Set(inspections.map((row) => row.corrects).filter(Boolean));
	const events = [
		...inspections.map((row) => inspected(row, words, corrected.has(row.id))),
		...failures.map((row) => failed(row, words)),
		...failures.filter((row) => row.made_good_day).map((row) => ({
			day: row.made_good_day, what: 'Made good', words: words.failure_mode.get(row.mode) ?? '', more: row.made_good_how ?? ''
		})),
		...deferrals.map((row) => ({
			day: row.day, what: 'Deferred', words: `to ${row.until_day}`, more: joined([row.reason, row.person])
		}))
	];
	return events.sort((a, b) => (b.day ?? '').localeCompare(a.day ?? ''));
}

function inspected(row, words, isCorrected) {
	const seen = ['a', 'b'].filter((end) => row[`seen_${end}`])
		.map((end) => `end ${end.toUpperCase()} ${words.seen.get(row[`seen_${end}`])}`);
	return {
		day: row.day, what: isCorrected ? 'Inspected (corrected by a later entry)' : row.corrects ? 'Inspected (a correction)' : 'Inspected',
		words: joined([words.purpose.get(row.purpose), words.outcome.get(row.outcome)]),
		more: joined([...seen, row.note, row.inspector])
	};
}

function failed(row, words) {
	return {
		day: row.found_day, what: row.made_good_day ? 'Failed' : 'Failed, not made good',
		words: joined([words.failure_mode.get(row.mode), row.end && `end ${row.end.toUpperCase()}`]),
		more: joined([row.cause && `cause: ${row.cause}`, row.note])
	};
}

function joined(parts) {
	return parts.filter(Boolean).join(' · ');
}
