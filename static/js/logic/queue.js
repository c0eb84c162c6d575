/*
 * The queue of what was saved here and is not received yet: whose it is, what comes next, and how
 * it is counted. Entries and drafts are those of logic/kept.js.
 */

const DAY_MS = 24 * 3600 * 1000;
const STEPS_ASIDE = 3;   // times that the server could not take it

const KINDS = { inspections: 'Inspection', attachments: 'Attachment', failures: 'Failure',
	repairs: 'Made good', deferrals: 'Deferral', rulings: 'Engineer\'s word',
	withdrawals: 'Withdrawal', renewals: 'Renewal of rails', 'kit-checks': 'Check of a kit',
	bridges: 'Temporary bridge on', 'bridges-off': 'Temporary bridge off',
	'round-steps': 'Said of a round', photos: 'Photo', 'found-bonds': 'Bond not in the book' };

export const kindWords = (what) => KINDS[what] ?? what;

/** True when this person may send it; what was saved before anybody was known is anybody's. */
export const isMine = ({ person }, personId) => !person || !personId || person.id === personId;

/** True for an entry that the server could not take so often that others go before it. */
export const isAside = ({ state, fails }) => state === 'saved' && fails >= STEPS_ASIDE;

/**
 * The earlier entry, not received yet, that this one speaks of: a repair of its failure, a
 * correction of what it corrects. Sent before it, this one would be refused.
 *
 * @returns {object|undefined}
 */
export function waitsFor(entry, entries) {
	const body = JSON.stringify(entry.body);

	return entries.find((one) => one.n < entry.n && one.state !== 'received' &&
		body.includes(one.uuid));
}

const HELD_MOST_MS = 60000;

/** True while it can be undone; a clock that was set back does not hold it for a year. */
export const isHeld = ({ held_until_ms: until = 0 }, now) =>
	until > now && until - now < HELD_MOST_MS;

/** What is to be sent, in its order; what stepped aside comes last. */
export function toSend(entries, now = Date.now()) {
	const saved = entries.filter((one) => one.state === 'saved' && !isHeld(one, now));

	return [...saved.filter((one) => !isAside(one)), ...saved.filter(isAside)];
}

/** What the server received of this person within a day, and not whether it is still in sight. */
export const isLately = ({ state, received_ms: at }, now) =>
	state === 'received' && now - at < DAY_MS;

/**
 * What is kept here, of who is signed in and of others.
 *
 * @param {{entries: object[], drafts: object[]}} kept
 * @param {number|undefined} personId  undefined: not known, then all is this person's
 */
export function sorted({ entries, drafts }, personId, now) {
	const mine = entries.filter((one) => isMine(one, personId));
	const of = (state) => mine.filter((one) => one.state === state);
	const refused = of('refused');

	return {
		saved: of('saved'), refused, received: of('received').filter((one) => isLately(one, now)),
		/* of what was refused the draft is no further thing */
		unfinished: drafts.filter((one) => isMine(one, personId) &&
			!refused.some(({ uuid }) => uuid === one.uuid)),
		others: entries.filter((one) => one.state !== 'received' && !isMine(one, personId)),
		otherDrafts: drafts.filter((one) => !isMine(one, personId))
	};
}

const LINKS = [['saved', 'saved, not sent'], ['refused', 'refused'], ['unfinished', 'unfinished'],
	['received', 'received']];

/**
 * The links in the head of a page: what there is none of has none.
 *
 * @param {ReturnType<typeof sorted>} kept
 * @returns {{href: string, text: string, state: string}[]}
 */
export function queueLinks(kept) {
	return [...LINKS.filter(([state]) => kept[state].length > 0).map(([state, word]) =>
		({ state, href: `/queue#${state}`, text: `${kept[state].length} ${word}` })),
	...kept.others.length ? [{ state: 'others', href: '/queue#others',
		text: `${kept.others.length} of somebody else` }] : []];
}

/**
 * What a form's head says of all that waits here.
 *
 * @param {ReturnType<typeof sorted>} kept
 */
export function waitingWords({ saved, refused: [refused], others }) {
	return [
		saved.length > 0 && `${saved.length} saved on this tablet, not sent.`,
		refused && `The server refused what was recorded of ${refused.label}: it is to be mended.`,
		others.length > 0 && `${others.length} kept here for somebody else, who has to sign in ` +
			`to send.`
	].filter(Boolean).join(' ');
}

/** What is said of one entry in the list. */
export function standsWords(entry, entries) {
	if (entry.state === 'refused')
		return entry.problem?.detail || 'The server refused it.';
	const before = waitsFor(entry, entries);
	if (before)
		return `Waits for what it speaks of: ${kindWords(before.what)}, ${before.label}.`;
	if (entry.fails > 0)
		return `The server could not take it, ${entry.fails} ` +
			`${entry.fails === 1 ? 'time' : 'times'}. ${isAside(entry)
				? 'The others are sent before it; it is tried again by itself.' : ''}`.trim();
	return '';
}

/** What a stranger is told of what waits here: whose it is; "" when nothing. */
export function heldWords(entries) {
	const held = entries.filter(({ state }) => state !== 'received');
	const names = [...new Set(held.map(({ person }) => person?.name || 'somebody'))];

	return held.length === 0 ? '' : `${held.length} saved on this device ` +
		`${held.length === 1 ? 'is' : 'are'} not received yet, of ${names.join(', ')}: who saved ` +
		`it signs in to send it.`;
}

/** What who signs out leaves here; "" when nothing. */
export function leftWords({ saved, refused, unfinished }) {
	const parts = [saved.length && `${saved.length} saved here and not sent yet`,
		refused.length && `${refused.length} refused and not mended`,
		unfinished.length && `${unfinished.length} unfinished`].filter(Boolean);

	return parts.length ? `${parts.join(', ')}. They stay on this device, and only you can send ` +
		`them: sign in here again for that.` : '';
}
