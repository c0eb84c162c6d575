import { askedWords, standsWords } from '../logic/readings.js';
import { writeFigure } from '../logic/number.js';
import { gradeSign, verdictSign } from './grade-sign.js';
import { make } from './template.js';

/**
 * What the server made of an inspection, the one on record: each reading's verdict, or what is
 * asked of it, then the grade of the bond with its reasons. Nothing of readings that an older
 * server does not judge.
 *
 * @param {HTMLElement} list
 * @param {{readings?: object[], grade?: {grade: string, because: string|null}}} answer
 * @param {Record<string, Map<string, string>>} words
 */
export function showJudged(list, { readings = [], grade }, words) {
	const rows = readings.map((reading) => row((sign) => verdictSign(sign, reading.verdict,
		standsWords(reading, words)), readingWords(reading, words)));

	if (grade?.grade && grade.grade !== 'none')
		rows.push(row((sign) => gradeSign(sign, grade.grade,
			`Bond: ${words.grade.get(grade.grade)}`), grade.because));
	list.replaceChildren(...rows);
}

function row(fill, text) {
	const el = make('li');
	const sign = make('p', '', 'sign');

	fill(sign);
	el.append(sign, make('p', text ?? ''));
	return el;
}

function readingWords(reading, words) {
	const { quantity, value, u95, limit, limit_kind, evidence, remark, meter, status } = reading;
	const unit = quantity === 'rail_drop' ? 'm of rail' : 'µΩ';
	const said = [words.quantity.get(quantity)];

	if (value != null)
		said.push(`${writeFigure(value)}${u95 == null ? '' : ` ± ${writeFigure(u95, 2)}`} ${unit}`);
	if (limit != null)
		said.push(`limit ${writeFigure(limit)} ${unit}, ${words.limit_kind.get(limit_kind)}`);
	if (!evidence && status !== 'open' && meter !== 'in_calibration')
		said.push(remark && remark !== 'none' && remark !== 'one_direction'
			? words.reading_remark.get(remark) : words.meter_standing.get(meter));
	return [`${said.filter(Boolean).join('; ')}.`, askedWords(reading)].filter(Boolean).join(' ');
}
