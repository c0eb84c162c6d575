/*
 * A shift in words: what is lacking before it begins and before it is handed over, what became of
 * each bond, and how far the next one is.
 */

const APART_MS = 5 * 60 * 1000;   // two clocks further apart than this are said

/**
 * The package of a round from what the server sent.
 *
 * @param {string} text
 * @returns {object|null} null: something of it is missing
 */
export function wholePack(text) {
	let pack;

	try {
		pack = JSON.parse(text);
	} catch {
		return null;
	}
	const { round, bonds, bond_rows: rows, made_at: made } = pack ?? {};
	return round && made && rows?.length === round.bonds && bonds?.length === rows.length &&
		rows.every(({ bond_id: id }, i) => bonds[i].bond_id === id) ? pack : null;
}

/** "184 KB": of 1000 bytes, and never less than there are. */
export const bytesWords = (bytes) => `${Math.ceil(bytes / 1000)} KB`;

const CUT = /^(.*)_cut$/;
const cutOf = (of) => Object.keys(of).flatMap((name) => CUT.exec(name)?.[1]
	.replaceAll('_', ' ') ?? []);

/** What of a package was cut, since there was too much of it; "" when it is whole. */
export function cutWords({ bond_rows: rows, bonds, ...pack }) {
	const cut = [...cutOf(pack), ...bonds.flatMap((bond, i) => cutOf(bond)
		.map((name) => `${name} of ${rows[i].label}`))];

	return cut.length ? `Not all is on this tablet, only the first 1,000 of: ${cut.join(', ')}. ` +
		'What is not shown here may be on record.' : '';
}

/** How wrong this tablet's clock is; "" when nobody need know. */
export function clockWords(aheadMs) {
	const minutes = Math.round(Math.abs(aheadMs) / 60000);
	const [days, hours] = [Math.floor(minutes / 1440), Math.floor(minutes % 1440 / 60)];

	if (Math.abs(aheadMs) <= APART_MS)
		return '';
	const words = [days && `${days} d`, hours && `${hours} h`,
		`${minutes % 60} min`].filter(Boolean).join(' ');
	return `This tablet's clock is ${words} ${aheadMs > 0 ? 'before' : 'behind'} the server's. ` +
		'Set it right; the shift\'s day is the round\'s all the same.';
}

/** An entry of this tablet that was taken back counts for nothing. */
export function standing(entries) {
	const back = new Set(entries.flatMap(({ what, body }) =>
		what === 'withdrawals' ? [body.entry_id] : []));
	const replaced = new Set(entries.flatMap(({ body }) => body.corrects ? [body.corrects] : []));

	return entries.filter(({ uuid }) => !back.has(uuid) && !replaced.has(uuid));
}

/** The enumerations of the API as a package keeps them, each as Map(code -> title). */
export const wordMaps = (words) => Object.fromEntries(Object.entries(words).map(([name, list]) =>
	[name, new Map(list.map(({ code, title }) => [code, title]))]));

/** The attachments that this tablet recorded and that count, of one bond or of all. */
export const attachmentsOf = (entries, bondId = null) => standing(entries).filter(({ what, state,
	bond_id: id }) => what === 'attachments' && state !== 'refused' && (!bondId || id === bondId));

const STANDS = { done: 'done', partly: 'in part', not_reached: 'not reached' };

/**
 * What became of a bond in this round: what this tablet recorded counts before what the package
 * had. What the server refused is not done.
 *
 * @param {object} row  of bond_rows
 * @param {object[]} entries  of this tablet, in this round
 * @returns {{stands: 'open'|'done'|'partly'|'not_reached'|'refused', words: string,
 *	failures: number}}
 */
export function became(row, entries) {
	const mine = standing(entries).filter(({ bond_id: id }) => id === row.bond_id);
	const visit = mine.filter(({ what }) => what === 'inspections' || what === 'repairs').at(-1);
	const failed = mine.filter(({ what }) => what === 'failures').length;
	const failures = row.failures + failed;
	const stands = mine.some(({ state }) => state === 'refused') ? 'refused'
		: !visit ? row.stands : visit.what === 'repairs' ? 'done'
			: { partly: 'partly', not_reached: 'not_reached' }[visit.body.outcome] ?? 'done';
	const why = visit ? visit.body.outcome === 'not_reached' && visit.body.note : row.why_not;

	return { stands, failures, words: stands === 'refused' ? 'refused by the server: mend it'
		: [STANDS[stands] &&
			`${STANDS[stands]}${stands === 'not_reached' && why ? `: ${why}` : ''}`,
			failures > 0 && `${failures} failure${failures === 1 ? '' : 's'} recorded`]
			.filter(Boolean).join(', ') };
}

/** The bond to go to: the first open one after that which was left last, else the first open. */
export function nextOf(rows, stands, lastId) {
	const from = rows.findIndex(({ bond_id: id }) => id === lastId) + 1;
	const open = (row) => stands.get(row.bond_id).stands === 'open';

	return rows.slice(from).find(open) ?? rows.find(open) ?? null;
}

/** "+38 m" along the line from one to the other; no figure from line to line. */
export function farWords(from, to) {
	if (!from || from.distance_mm === null || to.distance_mm === null)
		return '';
	if (from.line_id !== to.line_id)
		return `line ${to.line}`;
	const metres = Math.round((to.distance_mm - from.distance_mm) / 1000);
	return `${metres < 0 ? '−' : '+'}${Math.abs(metres)} m`;
}

/** Temporary bridges that are on, those of this tablet too. */
export function bridgesOn(pack, entries) {
	const mine = standing(entries);
	const off = new Set(mine.flatMap(({ what, body }) =>
		what === 'bridges-off' ? [body.bridge] : []));
	const known = pack.bridges.map(({ uuid, label, place, on_day: day }) =>
		({ uuid, label, place, day }));
	const had = new Set(known.map(({ uuid }) => uuid));

	return [...known, ...mine.filter(({ what, uuid }) => what === 'bridges' && !had.has(uuid))
		.map(({ uuid, label, body }) => ({ uuid, label, place: body.place, day: body.on_day }))]
		.filter(({ uuid }) => !off.has(uuid));
}

const ended = (day, shift) => day !== null && day < shift;

/** The competences of a round's people: who may what until when. */
export function competences({ persons, competences: all, round }) {
	return persons.flatMap(({ number, name }) => {
		const has = number === null ? [] : all.filter((one) => one.number === number);

		return has.length ? has.map(({ what, expires_day: until }) => ({
			grade: ended(until, round.shift_day) ? 'act' : 'sound',
			words: `${name}: ${what}, ${ended(until, round.shift_day) ? 'ended' : 'until'} ` +
				`${until ?? 'further notice'}` }))
			: [{ grade: 'unknown', words: `${name}: no competence on record` }];
	});
}

/** Until when a meter may be used, and whether that covers the shift. */
export function meterState({ serial, calibration_due_day: due }, shiftDay) {
	return !due ? { grade: 'unknown', words: `${serial}: calibration not known` }
		: ended(due, shiftDay) ? { grade: 'act', words: `${serial}: calibration ended ${due}` }
			: { grade: 'sound', words: `${serial}: calibrated until ${due}` };
}

/**
 * What is lacking before the shift may begin without a reason.
 *
 * @param {object} pack
 * @param {object} night  what was chosen: kit, found {part: word}, instrument, possession,
 * isolation
 * @param {object[]} parts  fields of the kit's check
 * @returns {string[]} [] when all is well
 */
export function lacking(pack, night, parts) {
	const shift = pack.round.shift_day;
	const kit = pack.kits.find(({ code }) => code === night.kit);
	const meter = pack.instruments.find(({ serial }) => serial === night.instrument);
	const service = kit?.service_due_day;

	return [
		!kit && 'no kit chosen',
		kit && !service && `the service of kit ${kit.code} is not known`,
		kit && service && ended(service, shift) &&
			`the service of kit ${kit.code} ended ${service}`,
		...kit ? parts.filter(({ name }) => night.found?.[name] !== 'good')
			.map(({ title, name }) => `${title.toLowerCase()} ${night.found?.[name]
				? 'not good' : 'not looked at'}`) : [],
		!meter && 'no meter chosen',
		meter && meterState(meter, shift).grade !== 'sound' && meterState(meter, shift).words,
		!night.possession?.trim() && 'possession not confirmed',
		!night.isolation?.trim() && 'isolation not confirmed',
		...competences(pack).filter(({ grade }) => grade !== 'sound').map(({ words }) => words),
		pack.round.state === 'withdrawn' && 'the planner has withdrawn this round'
	].filter(Boolean);
}

/** What is open before the round is handed over. */
export function openAtTheEnd(counts, bridges) {
	return [
		bridges > 0 && `${bridges} temporary bridge${bridges === 1 ? '' : 's'} still on`,
		counts.open > 0 && `${counts.open} bond${counts.open === 1 ? '' : 's'} neither done nor ` +
			'given a reason',
		counts.refused > 0 && `${counts.refused} refused and not mended`
	].filter(Boolean);
}

/** How many of the round's bonds stand how. */
export function countsOf(stands) {
	const counts = { open: 0, done: 0, partly: 0, not_reached: 0, refused: 0 };

	for (const { stands: how } of stands.values())
		counts[how]++;
	return counts;
}
