/** What can be imported, in the order in which one needs the other. */
export const KINDS = [
	['lines', 'lines'], ['maps', 'chainage maps'], ['bonds', 'bonds'],
	['inspections', 'inspections and readings'], ['failures', 'failures']
];

/** How a file can be written: the setting, its name, and the choices in words. */
export const SETTINGS = [
	['separator', 'Separator', [[',', 'comma'], [';', 'semicolon'], ['\t', 'tab'], ['|', 'vertical bar']]],
	['encoding', 'Letters', [['utf_8', 'UTF-8'], ['windows_1252', 'Windows-1252'], ['cp850', 'Code page 850']]],
	['decimal', 'Decimal mark', [['.', 'point'], [',', 'comma']]],
	['day_order', 'Dates', [['ymd', 'year, month, day'], ['dmy', 'day, month, year'], ['mdy', 'month, day, year']]]
];

/** The columns that no field takes. */
export function unusedColumns(columns, mapping) {
	const used = new Set(Object.values(mapping));
	return columns.filter((column) => !used.has(column));
}

/** The required fields that no column gives. @returns {object[]} fields */
export function missingFields(fields, mapping) {
	return fields.filter(({ name, required }) => required && !mapping[name]);
}

/** What came of it, in the order in which it is shown: [word, count]. */
export function outcomeWords({ dry_run: dry, rows, added, already, left_out, wrong }) {
	return [['rows read', rows], [dry ? 'would be new' : 'new', added], ['already there', already],
		['left out', left_out], ['wrong', wrong]];
}

/** One sentence on what follows from a trial or an import. */
export function verdictWords({ dry_run: dry, added, wrong }) {
	if (wrong)
		return `${wrong} ${wrong === 1 ? 'row is' : 'rows are'} wrong, so nothing ${dry ? 'would be' : 'was'} imported. Correct the file or the settings above, then try again.`;
	if (!dry)
		return 'Everything is in the register.';
	return added ? 'Nothing is wrong. Nothing has been changed yet.' : 'Nothing is wrong, and nothing is new: there is nothing to import.';
}

/**
 * The settings as the API takes them.
 *
 * @param {Record<string, string>} settings  separator, encoding ...
 * @param {Record<string, string>} mapping  field -> column
 */
export function importQuery(kind, settings, mapping, dry) {
	const query = new URLSearchParams({ kind });
	if (dry)
		query.set('dry_run', '1');
	query.set('settings', JSON.stringify({ ...settings, mapping }));
	return query.toString();
}
