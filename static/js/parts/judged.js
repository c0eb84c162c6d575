import { writeFigure } from '../logic/number.js';
import { gradeSign, verdictSign } from './grade-sign.js';
import { make } from './template.js';

/**
 * What the server made of an inspection, the one on record: each reading's verdict, then the grade of
 * the bond with its reasons. Nothing of readings that an older server does not judge.
 *
 * @param {HTMLElement} list
 * @param {{readings?: object[], grade?: {grade: string, because: string|null}}} answer
 * @param {Record<string, Map<string, string>>} words
 */
export function showJudged(list, { readings = [], grade }, words) {
	const rows = readings.map((reading) => row((sign) => verdictSign(sign, reading.verdict, words.verdict.get(reading.verdict)), readingWords(reading, words)));

	if (grade?.grade && grade.grade !== 'none')
		rows.push(row((sign) => gradeSign(sign, grade.grade, `Bond: ${words.grade.get(grade.grade)}`), grade.because));
	list.replaceChildren(...rows);
}

function row(fill, text) {
	const el = make('li');
	const sign = make('p', '', 'sign');

	fill(sign);
	el.append(sign, make('p', text ?? ''));
	return el;
}

function readingWords({ quantity, value, u95, limit, limit_kind, evidence, remark, meter, unit_question: question }, words) {
	const unit = quantity === 'rail_drop' ? 'm of rail' : 'µΩ';
	const said = [words.quantity.get(quantity)];

	if (value != null)
		said.push(`${writeFigure(value)}${u95 == null ? '' : ` ± ${writeFigure(u95, 2)}`} ${unit}`);
	if (limit != null)
		said.push(`limit ${writeFigure(limit)} ${unit}, ${words.limit_kind.get(limit_kind)}`);
	if (!evidence)
		said.push(remark && remark !== 'none' && remark !== 'one_direction' ? words.reading_remark.get(remark) : words.meter_standing.get(meter));
	return said.join('; ') + (question ? `. ${question}` : '');
}
