/*
 * The rulebook as a document. A value is described by GET /api/rulebook/values: {path, titles,
 * unit, type, words, least, most, required, help, default, basis, source}; what it is stands in a
 * rulebook under its path.
 */

/** The sections in the order in which they are read: single values by name, a table by the name of
 * its member. */
const SECTIONS = [
	{ title: 'Intervals between inspections', table: 'interval_months' },
	{ title: 'Due, grace and what moves a due day', names: ['notice_days', 'grace_days',
		'watch_interval_percent', 'act_days', 'forecast_lead_days', 'evidence_months'] },
	{ title: 'Limits of resistance', table: 'limits', names: ['watch_percent'],
		intro: 'The lowest limit that can be formed for a bond is its limit. A figure that is ' +
		'left out is not used for that kind.' },
	{ title: 'Uncertainty of a reading', names: ['temp_uncertainty_k', 'repeatability_percent',
		'unknown_meter_percent', 'unknown_meter_uohm'] },
	{ title: 'Scatter of readings, for trends', table: 'scatter_percent' },
	{ title: 'What a defect means', names: ['severity'] },
	{ title: 'Spots on the rail', names: ['spot_clearance_mm', 'rail_end_clearance_mm',
		'weld_clearance_mm', 'bolt_hole_clearance_mm'] },
	{ title: 'Acceptance of a new attachment',
		names: ['arc_least_s', 'arc_most_s', 'hold_least_s', 'stub_most_mm'] },
	{ title: 'Repeat places',
		names: ['repeat_window_mm', 'repeat_period_months', 'repeat_least_count'] },
	{ title: 'Cross bonds', names: ['cross_spacing_m'] }
];

const nameOf = ({ path }) => path.split('.')[0];

/**
 * @returns {{title: string, intro?: string, singles: object[], cells: object[]}[]} no value is left
 *	out
 */
export function inSections(values) {
	const named = new Set(SECTIONS.flatMap(({ names = [], table }) => [...names, table]));
	const further = values.filter((value) => !named.has(nameOf(value)));

	return [
		...SECTIONS.map(({ title, intro, names = [], table }) => ({
			title, intro, singles: values.filter((value) => names.includes(nameOf(value))),
			cells: values.filter((value) => nameOf(value) === table)
		})),
		...(further.length ? [{ title: 'Further values', singles: further, cells: [] }] : [])
	];
}

/**
 * The values of a table in rows and columns.
 *
 * @returns {{columns: object[], rows: {title: string, cells: object[]}[]}}
 */
export function gridOf(cells) {
	const rows = new Map();

	for (const value of cells) {
		const key = value.path.split('.')[1];
		if (!rows.has(key))
			rows.set(key, { title: value.titles[1], cells: [] });
		rows.get(key).cells.push(value);
	}
	const [first] = rows.values();
	return { rows: [...rows.values()], columns: first.cells.map((value) =>
		({ ...value, title: value.titles.slice(2).join(', ') })) };
}

/** {notice_days: 30, interval_months: {...}} as a Map: path -> value. */
export function flatten(rulebook, before = '') {
	return new Map(Object.entries(rulebook)
		.flatMap(([name, value]) => typeof value === 'object' && value !== null
		? [...flatten(value, `${before}${name}.`)] : [[before + name, value]]));
}

/** The other way round; what is null or undefined is left out. Objects of the paths are always
 * there. */
export function unflatten(map) {
	const rulebook = {};

	for (const [path, value] of map) {
		const names = path.split('.');
		const last = names.pop();
		const at = names.reduce((object, name) => (object[name] ??= {}), rulebook);
		if (value !== null && value !== undefined)
			at[last] = value;
	}
	return rulebook;
}

/**
 * What a value is, in words: "30", "not used", "act on it".
 *
 * @param {Record<string, Map<string, string>>} words
 */
export function valueWords(value, is, words) {
	return is === null || is === undefined ? 'not used' : value.type === 'word'
		? words[value.words].get(is) ?? is : String(is).replace('-', '\u2212');
}

/** The same with its unit. */
export function figureWords(value, is, words) {
	const text = valueWords(value, is, words);
	return value.unit && is !== null && is !== undefined ? `${text} ${value.unit}` : text;
}

/**
 * "withdrawn as wrong on 2026-07-01 by Ada Marsh, because: a slipped decimal"
 *
 * @param {{reason, person, recorded_at}} withdrawn
 */
export function withdrawnWords({ reason, person, recorded_at: at }) {
	return `withdrawn as wrong on ` +
		`${at.slice(0, 10)}${person ? ` by ${person}` : ''}, because: ${reason}`;
}

/** "version 3", and whether it was withdrawn. @param {object} [withdrawn] */
export const versionWords = (version, withdrawn) =>
	`version ${version}${withdrawn ? ` (${withdrawnWords(withdrawn)})` : ''}`;

/**
 * What other rules said of a bond, the last of it; '' when nothing else was said.
 *
 * @param {{formerly: object[], edition: number}} judgement
 */
export function formerWords({ formerly, edition }, gradeTitles) {
	const last = formerly?.at(-1);

	if (!last)
		return '';
	const by = last.edition !== edition || !last.rulebook_version
		? `the rules of edition ${last.edition}`
		: `the rulebook\u2019s ${versionWords(last.rulebook_version, last.withdrawn)}`;
	return `By ${by}: ${gradeTitles.get(last.grade)}, until ${last.until.slice(0, 10)}.`;
}

/**
 * How far what is derived is made again; '' when it is.
 *
 * @param {object} now  GET /api/rulebook/following
 */
export function followingWords({ followed, new_edition: edition, version, followed_bonds: done,
	of_bonds: of, import: taken }) {
	if (followed && taken)
		return `The bonds of import ${taken} are being made again; those that are not yet are `
			+ 'shown as they were before.';
	return followed ? ''
		: `${grouped(done)} of ${countWords(of, 'bond')} by ${edition ? 'the new rules'
		: `version ${version} of the rulebook`} so far; the others are shown as they were before.`;
}

const same = (a, b) => (a ?? null) === (b ?? null);

/**
 * @returns {object[]} the values in which two rulebooks (flattened) differ, each with before and
 *	after
 */
export function differences(values, before, after) {
	return values.map((value) => ({ ...value, before: before.get(value.path) ?? null,
		after: after.get(value.path) ?? null }))
		.filter((value) => value.before !== value.after);
}

/** A value's name among all others: "Limits of resistance, Structure bond, As much as so much
 * rail". */
export const fullTitle = ({ titles }) => titles.join(', ');

/** Problems of an adoption: the field as the page names it, the value in the words of the trade. */
export function namedProblems(errors, values) {
	return errors.map(({ field, detail }) => {
		const path = field.replace(/^rulebook\./, '');
		const value = values.find((one) => one.path === path);
		const name = `${path.split('.').at(-1)} `;

		return { field: path, detail: value && detail.startsWith(name)
			? `${fullTitle(value)} ${detail.slice(name.length)}` : detail };
	});
}

export const OWN = 'the railway\u2019s own';
export const LACKS = 'not in this version';

/**
 * What a value rests on: its sign in words, and why.
 *
 * @param {object} value
 * @param {*} is
 * @param {string} [reason]  the railway's own
 * @param {Map<string, string>} basisWords  titles
 * @param {{version: number, reason: string}} [since]  the version that brought it
 * @param {number} [edition]  of the rules, from which it comes when the version has no such value
 */
export function restsOn(value, is, reason, basisWords, since, edition) {
	if (edition)
		return { word: LACKS, why: `From edition ${edition} of the rules. ${value.source}` };
	if (reason)
		return { word: OWN, why: reason };
	if (!same(is, value.default))
		return { word: OWN,
			why: since ? `No reason of its own; version ${since.version}: ${since.reason}` : '' };
	return { word: basisWords.get(value.basis), why: value.source };
}

/** How many values are still the program's examples. */
export function countExamples(values, now, reasons) {
	return values.filter((value) => value.basis === 'example' && value.default !== null &&
		!reasons.has(value.path) && same(now.get(value.path), value.default)).length;
}

/**
 * The versions, newest first, each with what it is: "in force", "holds from 2027-01-01", "replaced
 * by version 5" (which has the same day), "held until 2026-03-01", "withdrawn as wrong".
 *
 * @param {{version: number, from_day: string, withdrawn: object}[]} rows  newest first
 * @param {number} inForce  version
 */
export function standings(rows, inForce) {
	const valid = rows.filter(({ withdrawn }) => !withdrawn);
	const now = rows.find(({ version }) => version === inForce);

	return rows.map((one) => {
		const by = valid.find(({ version, from_day: day }) => day === one.from_day &&
			version > one.version);
		const next = nextDay(valid, one.from_day);

		return { ...one, standing: one.withdrawn ? 'withdrawn as wrong' : one.version === inForce
			? 'in force' : by ? `replaced by version ${by.version}`
			: one.from_day > now.from_day ? `holds from ${one.from_day}` : `held until ${next}` };
	});
}

/** The first day after one on which another version takes its place. */
const nextDay = (rows, day) => rows.map(({ from_day: from }) => from)
	.filter((from) => from > day).sort()[0];

/** The version that takes the place of the one in force, if there is one. */
export function nextVersion(rows, inForce) {
	const valid = rows.filter(({ withdrawn }) => !withdrawn);
	return valid.find(({ from_day: day }) => day === nextDay(valid, inForce.from_day));
}

/**
 * Which version brought each value: path -> {version, reason}.
 *
 * @param {{version, reason, flat: Map}[]} versions  oldest first
 */
export function broughtBy(values, versions) {
	const since = new Map();

	for (const [i, version] of versions.entries()) {
		if (i > 0) {
			for (const { path: changed } of differences(values, versions[i - 1].flat, version.flat))
				since.set(changed, version);
		}
	}
	return since;
}

/** 1491 as "1 491", with a narrow space. */
export const grouped = (n) => n.toLocaleString('en').replaceAll(',', '\u202f');
export const countWords = (n, one, many = `${one}s`) => `${grouped(n)} ${n === 1 ? one : many}`;

/* ---- what a trial found: the answer of POST /api/rulebook/trial ---- */

const sum = (moves, which) => moves.filter(which).reduce((all, { count }) => all + count, 0);
const differs = ({ before, after }) => before !== after;

/**
 * "15 from within to unproven; 3 from within to over", most first.
 *
 * @param {Map<string, string>} titles
 */
function movedWords(moves, titles) {
	return moves.filter(differs).sort((a, b) => b.count - a.count)
		.map(({ before, after, count }) =>
			`${grouped(count)} from ${titles.get(before)} to ${titles.get(after)}`).join('; ');
}

/**
 * What would change, in sentences, what matters most first.
 *
 * @param {object} result
 * @param {Record<string, Map<string, string>>} words
 */
export function trialSentences(result, words) {
	const { states, grades, verdicts, due_moved: steps } = result;
	const more = sum(states, ({ before, after }) => after === 'overdue' && before !== 'overdue');
	const fewer = sum(states, ({ before, after }) => before === 'overdue' && after !== 'overdue');
	const [regraded, judged] = [sum(grades, differs), sum(verdicts, differs)];
	const [earlier, later] = ['earlier', 'later']
		.map((way) => steps.reduce((all, step) => all + step[way], 0));
	const said = [];

	if (more || fewer)
		said.push([more && `${countWords(more, 'bond')} more would be overdue today`,
			fewer && `${countWords(fewer, 'bond')} would not be overdue any more`].filter(Boolean)
			.join(', and '));
	if (judged)
		said.push(`${countWords(judged,
			'verdict')} of last readings would be another: ${movedWords(verdicts, words.verdict)}`);
	if (regraded)
		said.push(`${countWords(regraded, 'bond')} would have another grade: ${movedWords(grades,
			words.grade)}`);
	if (earlier || later)
		said.push(`${countWords(earlier + later, 'due day')} would move: ${[earlier && `${grouped(
			earlier)} earlier`, later && `${grouped(later)} later`].filter(Boolean).join(', ')}`);
	if (result.places_before !== undefined && result.places_before !== result.places_after)
		said.push(`There would be ${countWords(result.places_after,
			'repeat place')} instead of ${grouped(result.places_before)}`);
	return said.length ? said.map((text) => `${text}.`)
		: ['Nothing would change today: no due state, grade, verdict, due day or repeat place.'];
}

/** Moves as a table: the words that occur, in the order of their list, and counts by before and
 * after. */
export function moveTable(moves, titles) {
	const named = (which) => [...titles.keys()]
		.filter((code) => moves.some((move) => move[which] === code));
	const [rows, columns] = [named('before'), named('after')];

	return { rows, columns, count: (before, after) => moves.find((move) => move.before === before &&
		move.after === after)?.count ?? 0 };
}

/** The lines where most would change, first. */
export function linesByChange(lines) {
	const change = (line) => Math.abs(line.overdue_after - line.overdue_before) + line.grades +
		line.verdicts;
	return [...lines].sort((a, b) => change(b) - change(a) || a.line_id - b.line_id);
}

/** "1 to 31", "732 and more". */
export const stepWords = ({ from_days: from, to_days: to }) => to ? `${from} to ${to}`
	: `${from} and more`;
