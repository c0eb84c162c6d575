/* What a reading on record is, in words: its verdict, or what is asked of it. */

const sentence = (text) => `${text.charAt(0).toUpperCase()}${text.slice(1)}.`;

/** In the place of a verdict. @param {{verdict: string, status?: string}} reading */
export function standsWords({ verdict, status }, words) {
	return ['open', 'dropped', 'dropped_over'].includes(status) ? words.reading_status.get(status)
		: words.verdict.get(verdict ?? 'none');
}

/** What is asked of it while nobody has answered, and what else makes it say less than a
 * verdict. */
export function askedWords({ status, asked = [], parallel, only_over: onlyOver, verdict, would }) {
	return [
		...status === 'open' ? asked.map((one) => sentence(one.sentence)) : [],
		status === 'open' && would === 'over' &&
			'If it counts the bond is over its limit, and it is taken so until it is answered.',
		parallel &&
			'It shows another path beside the bond, and says nothing good of the bond itself.',
		onlyOver && !parallel && verdict !== 'over' && 'What lies beside it was read with it: it ' +
			'can only show that the bond is over its limit.'
	].filter(Boolean).join(' ');
}

/** What was said under the rulebook of its day, where that of today says something else; "". */
export function toldWords({ verdict, told, told_version: version }, words) {
	return !told || told === verdict || told === 'none' ? '' :
		`${words.verdict.get(told)} under rulebook ${version}, on its day; ${verdict === 'none'
			? 'no verdict' : words.verdict.get(verdict)} by today's`;
}

/** The rows of a bond's readings, each with what the bond's judgement says of it. */
export function withPoints(rows, quantities) {
	const points = new Map(quantities.flatMap(({ points: all }) => all)
		.map((one) => [`${one.inspection}/${one.n}`, one]));
	return rows.map((row) => {
		const { asked, parallel, only_over, would, told, told_version } =
			points.get(`${row.number}/${row.n}`) ?? {};
		return { ...row, asked, parallel, only_over, would,
			...told === undefined ? {} : { told, told_version } };
	});
}
