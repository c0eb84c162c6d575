import { whoWords } from './doer.js';

/**
 * Inspections, failures, repairs, attachments, deferrals and changes of a bond as one list, newest
 * first. Words are the titles of the API's enumerations.
 *
 * @param {{inspections: object[], failures: object[], deferrals: object[], attachments?: object[],
 *	changes?: object[], rulings?: object[], photos?: object[]}} rows an inspection or failure that
 *	`waits` is a correction that does not count yet
 * @param {Record<string, Map<string, string>>} words
 * @returns {{day: string, what: string, words: string, more: string, place_id?: number|null,
 *	entry?: {entry: string, entry_id?: string, entry_number?: number}, photo?: string}[]} place_id:
 *	the repeat place of a failure; photo: the id of one that is in sight; entry: what can be
 *	withdrawn, as the API names it
 */
export function history({ inspections, failures, deferrals, attachments = [], changes = [],
	rulings = [], photos = [] }, words) {
	/* of one day the last comes first: what was found is made good after it */
	const events = [
		...rulings.map((row) => ({
			day: row.decided_day, what: marked('Engineer\'s word', row),
			words: joined([words.ruling_kind.get(row.kind), row.quantity &&
				words.quantity.get(row.quantity)]), more: joined([row.reason, row.person]),
			...(row.kind === 'confirms_correction' ? {} : entryOf('ruling', row))
		})),
		...deferrals.map((row) => ({
			day: row.decided_day, what: marked('Deferred', row), words: `to ${row.until_day}`,
			more: joined([row.reason, whoWords(row)]), ...entryOf('deferral', row)
		})),
		...failures.filter((row) => row.made_good_day).map((row) => ({
			day: row.made_good_day, what: 'Made good',
			words: words.failure_mode.get(row.mode) ?? '',
			more: joined([row.made_good_how, whoWords({ done_by: row.made_good_by,
				entered_by: row.made_good_entered_by, entered_at: row.made_good_entered_at }),
				aheadWords(row.made_good_days_ahead)]),
			...entryOf('repair', { uuid: row.made_good_id })
		})),
		...failures.map((row) => failed(row, words)),
		...inspections.map((row) => inspected(row, words)),
		...attachments.map((row) => ({
			day: row.made_day, what: marked('Attached', row),
			words: joined([row.end_words, words.attach_method.get(row.method)]),
			more: joined([row.note, whoWords(row), aheadWords(row.days_ahead)]),
			...entryOf('attachment', row)
		})),
		...photos.map((row) => photographed(row, { inspections, failures, attachments }, words)),
		...changes.map((row) => ({
			day: row.entered_at.slice(0, 10), what: row.version === 1 ? 'Registered' : 'Changed',
			words: row.reason ?? '', more: whoWords(row),
			...(row.version === 1 ? { entry: { entry: 'bond', entry_number: row.bond_id } } : {})
		}))
	];
	return events.sort((a, b) => (b.day ?? '').localeCompare(a.day ?? ''));
}

function inspected(row, words) {
	const seen = ['a', 'b'].filter((end) => row[`seen_${end}`])
		.map((end) => `${row[`end_${end}_words`]}: ${words.seen.get(row[`seen_${end}`])}`);
	return {
		day: row.day, what: marked('Inspected', row),
		words: joined([words.purpose.get(row.purpose), words.outcome.get(row.outcome)]),
		more: joined([...seen, row.why_not_seen && `not seen: ${row.why_not_seen}`,
			row.cables_whole != null && `cables seen whole: ${row.cables_whole}`,
			row.opened && `opened: ${row.opened}`, row.note, row.reason &&
				`corrected because: ${row.reason}`, whoWords(row), aheadWords(row.days_ahead)]),
		...entryOf('inspection', row)
	};
}

function failed(row, words) {
	return {
		day: row.found_day,
		what: marked(row.made_good_day || row.replaced ? 'Failed' : 'Failed, not made good', row),
		place_id: row.place_id,
		words: joined([words.failure_mode.get(row.mode), row.end_words]),
		more: joined([row.cause && `cause: ${row.cause}`, row.note, whoWords(row),
			aheadWords(row.days_ahead)]), ...entryOf('failure', row)
	};
}

/* (a photo is of an entry, which may stand on another day, and says so) */
function photographed(row, { inspections, failures, attachments }, words) {
	const { entry, entry_id: of, withdrawn } = row;
	const day = [...inspections, ...failures, ...attachments].find(({ uuid }) => uuid === of);

	return {
		day: row.taken_day, what: withdrawn ? 'Photo (withdrawn from sight)' : 'Photo',
		words: joined([row.note, row.end_words, entry && [words.entry?.get(entry) ?? entry,
			day && (day.day ?? day.found_day ?? day.made_day)].filter(Boolean).join(' of ')]),
		more: whoWords(row), ...entryOf('photo', row), ...(withdrawn ? {} : { photo: row.uuid })
	};
}

/* Both a wrong entry and its correction stay readable, and so does what was withdrawn. */
function marked(what, { replaced, waits, withdrawn }) {
	return withdrawn ? `${what} (withdrawn: it counts for nothing)`
		: waits ? `${what} (a correction that waits for an engineer)`
			: replaced ? `${what} (corrected by a later entry)` : what;
}

/* What counts, or waits to, can be withdrawn. */
function entryOf(entry, { uuid, replaced, waits, withdrawn }) {
	return uuid && !withdrawn && (waits || !replaced) ? { entry: { entry, entry_id: uuid } } : {};
}

/** What is said of an entry that was dated ahead of the register when it arrived; "" when it was
 * not. */
export function aheadWords(days) {
	if (!days)
		return '';
	return days === 1 ? 'dated one day ahead of the register'
		: `dated ${days} days ahead of the register: for due days it counts from when it ` +
			`arrived, until it is corrected`;
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
	const kept = rows.filter((row) => !row.replaced)
		.sort((a, b) => b.made_day.localeCompare(a.made_day));
	const live = Object.fromEntries(kept.filter((row) => row.live).map((row) => [row.end, row]));
	const former = kept.filter((row) => !row.live).map((row) => {
		const later = kept.filter((one) => one.end === row.end && one !== row &&
			one.made_day >= row.made_day);
		return { ...row,
			until_day: later.length ? later[later.length - 1].made_day : row.ended_day ?? null };
	});
	return { live, former };
}
