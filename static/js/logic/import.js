/** What can be imported, in the order in which one needs the other: [kind, title, right]. */
export const KINDS = [
	['lines', 'lines', 'manage'], ['tracks', 'tracks', 'manage'],
	['maps', 'chainage maps', 'manage'], ['bonds', 'bonds', 'plan'],
	['inspections', 'inspections and readings', 'inspect'], ['failures', 'failures', 'inspect']
];

/** How a file can be written: the setting, its name, and the choices in words. */
export const SETTINGS = [
	['separator', 'Separator',
		[['comma', 'comma'], ['semicolon', 'semicolon'], ['tab', 'tab'], ['bar', 'vertical bar']]],
	['encoding', 'Letters',
		[['utf_8', 'UTF-8'], ['windows_1252', 'Windows-1252'], ['cp850', 'Code page 850']]],
	['decimal', 'Decimal mark', [['point', 'point'], ['comma', 'comma']]],
	['day_order', 'Dates',
		[['ymd', 'year, month, day'], ['dmy', 'day, month, year'], ['mdy', 'month, day, year']]],
	['first_row', 'First row',
		[['headings', 'the names of the columns'], ['data', 'data already']]]
];

/**
 * What is to be said of a file: of a workbook the sheet, and neither separator nor letters.
 *
 * @param {object} proposal  of the API
 */
export function settingsOf({ sheets }) {
	return sheets ? [['sheet', 'Sheet', sheets.map((name) => [name, name])],
		...SETTINGS.filter(([name]) => name !== 'separator' && name !== 'encoding')] : SETTINGS;
}

/** What a row of a log can have meant: [code, words, whether it is an engineer's word]. */
export const ROW_MEANT = [
	['both_seen', 'both ends were seen', true],
	['measured_only', 'it was measured, and no more', false],
	['not_known', 'not known', false]
];

/** Choices of a field beside the file's columns. No heading can look like these. */
export const SAME = '\u0001same', SEVERAL = '\u0001several';

/** Where a field comes from: {choice, text} of its entry in the settings. */
export function choiceOf({ column, template, constant } = {}) {
	return column != null ? { choice: column, text: '' } : template != null
		? { choice: SEVERAL, text: template } :
		constant != null ? { choice: SAME, text: constant } : { choice: '', text: '' };
}

/** The entry of a field in the settings; null when it comes from nowhere yet. */
export function entryOf(field, choice, text, unit = '') {
	const said = text.trim();
	const more = unit && choice !== SAME ? { unit } : {};

	if (choice === SAME || choice === SEVERAL)
		return said ? { field, [choice === SAME ? 'constant' : 'template']: said, ...more } : null;
	return choice ? { field, column: choice, ...more } : null;
}

/**
 * What the file says of the unit of a column, for a field: {unit, why}; unit null where it is to be
 * asked. @param {object} proposal  of the API
 */
export function unitSaid(proposal, { family }, choice) {
	const at = proposal.columns.indexOf(choice);
	return proposal.units?.[at]?.[family] ?? { unit: null, why: '' };
}

/** The columns that nothing takes, no condition of `only` either. */
export function unusedColumns(columns, entries, only = []) {
	const used = new Set([...entries, ...only].map(({ column }) => column));
	const templates = entries.map(({ template }) => template ?? '');

	return columns.filter((column) => !used.has(column) && !templates.some((one) =>
		one.includes(`{${column}}`) || one.includes(`{${column}:`)));
}

/** True where digits stand with nothing but marks around them, and at most a unit behind. */
export const isFigures = (text) =>
	/^[-+−.,:/ ]*\d[-+.,:/ \d]*(?:[^\d ]{0,8})$/u.test(text);

/**
 * The unused columns that need a yes by name before they are left out: those with numbers among
 * their first values, and those that a trial named.
 *
 * @param {(column: string) => string[]} valuesOf
 * @param {string[]} asked  the sentences of the last trial
 */
export function columnsToLeaveOut(unused, valuesOf, asked) {
	return unused.filter((column) => valuesOf(column).some(isFigures) ||
		asked.some((text) => text.startsWith(`The column ${column} has numbers`)));
}

/** True for a template that adds lengths: its columns have their units. */
export const adds = (template) => /:(km|m|cm|mm|mi|yd|ft)\}/.test(template ?? '');

/** The required fields that come from nowhere. @returns {object[]} fields */
export function missingFields(fields, entries) {
	const given = new Set(entries.map(({ field }) => field));
	return fields.filter(({ name, required }) => required && !given.has(name));
}

/** The fields of a quantity from a column whose unit nobody stated. @returns {object[]} */
export function fieldsWithoutUnit(fields, entries) {
	const open = new Set(entries.filter(({ constant, unit, template }) =>
		constant == null && !unit && !adds(template)).map(({ field }) => field));
	return fields.filter(({ name, units, family }) =>
		units && family !== 'place' && open.has(name));
}

/**
 * What stands in a column and is none of the register's words, each once: a person has to say
 * what it means.
 *
 * @param {string[]} values
 * @param {Map<string, string>} words  code -> title
 */
export function strangeWords(values, words) {
	const known = new Set([...words].flat().map((text) => text.toLowerCase()));
	return [...new Set(values)].filter((value) => value && !known.has(value.toLowerCase()));
}

/** What came of it, in the order in which it is shown: [word, count]. */
export function outcomeWords({ dry_run: dry, rows, added, already, changed, left_out, wrong }) {
	return [['rows read', rows], [dry ? 'would be new' : 'new', added], ['already there', already],
		...(changed ? [[dry ? 'of them would be changed' : 'of them changed', changed]] : []),
		['left out', left_out], ['wrong', wrong]];
}

/** What is to be said of an import of the list: nothing where it counts. */
export function standingWords({ standing, withdrawn, ended_because: why }) {
	return withdrawn ? 'withdrawn'
		: standing === 'being_withdrawn' ? 'being withdrawn: it counts until that is done'
		: standing === 'under_way' ? 'under way: it counts for nothing yet'
		: standing === 'ended' ? `nothing of it counts. ${why ?? ''}`.trim() : '';
}

/** One sentence on what follows from a trial or an import. */
export function verdictWords({ dry_run: dry, added, changed = 0, wrong, kept = wrong === 0 }) {
	if (wrong && !kept)
		return `${wrong} ${wrong === 1 ? 'row is' : 'rows are'} wrong, so nothing ${dry ? 'would be'
			: 'was'} imported. Correct the file or the settings above, then try again.`;
	if (!dry)
		return wrong ? `The right rows are in the register; ` +
			`${wrong} wrong ${wrong === 1 ? 'one was' : 'ones were'} left out.`
			: 'Everything is in the register.';
	return added || changed ? 'Nothing has been changed yet.'
		: 'Nothing is new: there is nothing to import.';
}

/** The query of the API. @param {object} settings  as it takes them */
export function importQuery(kind, settings, dry, fileName = '') {
	const query = new URLSearchParams({ kind });

	if (dry)
		query.set('dry_run', '1');
	if (fileName)
		query.set('file_name', fileName);
	query.set('settings', JSON.stringify(settings));
	return query.toString();
}
