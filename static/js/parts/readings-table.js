import { withBounds } from '../logic/judgement.js';
import { askedWords, standsWords, toldWords } from '../logic/readings.js';
import { writeFigure } from '../logic/number.js';
import { verdictSign } from './grade-sign.js';
import { make, row } from './template.js';

const temperature = ({ temp_c: temp }) => temp == null ? ''
	: temp.toFixed(1).replace('-', '\u2212');
const percent = (p) => p == null ? '' : p > 0.9995 ? '> 99.9' : p < 0.0005 ? '< 0.1'
	: (p * 100).toFixed(1);

/* what they mean stands in the key of the charts */
const SHORT = { within: 'within', unproven: 'unproven', over: 'over' };

/** Why a reading is no evidence, or what is weak about it; "none" says nothing. */
export function remarkWords({ remark, meter }, words) {
	return [remark && remark !== 'none' && words.reading_remark.get(remark),
		meter && meter !== 'in_calibration' && words.meter_standing.get(meter)].filter(Boolean)
			.join('; ');
}

/**
 * The readings of a bond, newest first, each with its value, uncertainty, limit and verdict, or
 * with what is asked of it in the place of that.
 *
 * @param {HTMLTableElement} table
 * @param {object[]} readings  rows of the API, with the points of the judgement (withPoints)
 * @param {Record<string, Map<string, string>>} words
 */
export function readingsTable(table, readings, words) {
	const newest = [...readings].sort((a, b) => b.day.localeCompare(a.day));

	table.tBodies[0].replaceChildren(...newest.flatMap((one) => {
		const unit = one.quantity === 'rail_drop' ? ' m' : '';
		const tr = row([one.day, 'keep'], words.quantity.get(one.quantity),
			[writeFigure(one.r_uohm), 'figure'], [temperature(one), 'figure'],
			[writeFigure(one.equivalent_m, 3), 'figure'], ['', 'figure keep'],
			[one.limit == null ? '' : writeFigure(one.limit) + unit, 'figure keep'],
			'', [percent(one.p_within), 'figure keep'],
			one.quantity === 'rail_drop' ? '' : words.reading_method.get(one.method),
				[one.instrument, 'instrument']);
		tr.cells[5].append(workingLink(one,
			one.value == null ? 'none' : withBounds(one.value, one.u95) + unit, words));
		tr.cells[6].title = words.limit_kind.get(one.limit_kind) ?? '';
		verdictSign(tr.cells[7].appendChild(make('span', '', SHORT[one.verdict] ? 'keep' : '')),
			one.verdict ?? 'none', SHORT[one.verdict] ?? standsWords(one, words));
		for (const said of [toldWords(one, words), remarkWords(one, words)].filter(Boolean))
			tr.cells[7].append(make('span', said, 'remark'));
		return [tr, ...askedRow(askedWords(one), tr.cells.length)];
	}));
	table.classList.toggle('no-rail', !readings.some(({ quantity }) => quantity === 'rail_drop'));
}

/* What is asked has a line of its own, as long as the table is wide. */
function askedRow(text, columns) {
	if (!text)
		return [];
	const tr = make('tr', '', 'detail');
	tr.append(Object.assign(make('td', text, 'wraps'), { colSpan: columns }));
	return [tr];
}

function workingLink({ inspection, n, day, quantity }, text, words) {
	const link = make('a', text);
	link.href = `/readings/${inspection}/${n + 1}`;
	link.append(make('span', `: the working of ${words.quantity.get(quantity)}, ${day}`, 'unseen'));
	return link;
}
