import { figuresOf, isTyped, readReading } from '../logic/inspection.js';
import { isBegun, writeFigure } from '../logic/number.js';
import { choices } from './choices.js';
import { verdictSign } from './grade-sign.js';
import { stamp } from './template.js';

const FIGURES = {
	forward_uv: ['Forward, µV', true], reverse_uv: ['Reversed, µV, with its minus', true],
	current_a: ['Test current, A', false], shown_uohm: ['Shown, µΩ', false], lead_uohm: ['Leads alone, µΩ', false],
	rail_uv: ['Over the rail, µV', true], rail_m: ['Length of that rail, m', false],
	joint_m: ['Rail between the clips over the joint, m', false], temp_c: ['Cable temperature, °C', true]
};
const WAYS = [['shown', 'resistance, µΩ'], ['volts', 'voltage, µV, and current']];

let count = 0;

/**
 * One reading being typed. Out: "input" bubbles, whoever hears it calls el.judge(); "remove" when its button is pressed.
 * el.typed() gives what stands in it, el.number(n) gives it its heading.
 *
 * @param {Record<string, string>} typed
 * @param {{words: object, lastOf: (quantity: string) => object|null,
 *	judge: (reading: object) => object|null}} known
 *	judge: the rules' answer to what is typed, null when this tablet cannot judge
 */
export function readingCard(typed, { words, lastOf, judge }) {
	const el = stamp('reading');
	const n = ++count;
	const group = (name) => el.querySelector(`[data-name="${name}"]`);
	const leads = [...words.reading_method].filter(([code]) => code !== 'voltage_drop');

	choices(group('quantity'), `quantity-${n}`, words.quantity, typed.quantity ?? 'end_to_end');
	choices(group('method'), `method-${n}`, leads, typed.method ?? 'four_wire');
	choices(group('way'), `way-${n}`, WAYS, typed.way ?? 'shown');
	el.querySelector('.figures').append(...Object.entries(FIGURES).map(([name, [label, signed]]) =>
		figure(`${name}-${n}`, name, label, signed, typed[name])));

	el.typed = () => ({
		...Object.fromEntries(['quantity', 'method', 'way'].map((name) => [name, group(name).querySelector(':checked').value])),
		...Object.fromEntries(Array.from(el.querySelectorAll('.figures input'), (input) => [input.dataset.field, input.value]))
	});
	el.number = (number) => { el.querySelector('legend').textContent = `Reading ${number}`; };
	el.judge = () => show(el, el.typed(), lastOf, judge);
	el.addEventListener('click', (e) => {
		if (e.target.matches('.sign'))
			turnSign(e.target.previousElementSibling);
		else if (e.target.matches('.remove'))
			el.dispatchEvent(new Event('remove'));
	});
	el.judge();
	return el;
}

function figure(id, name, label, signed, value) {
	const el = stamp('figure');
	const input = el.querySelector('input');

	Object.assign(el.querySelector('label'), { htmlFor: id, textContent: label });
	Object.assign(input, { id, value: value ?? '' });
	input.dataset.field = name;
	el.querySelector('.sign').hidden = !signed;
	return el;
}

/* The decimal keypad of some tablets has no minus. */
function turnSign(input) {
	input.value = /^\s*[-\u2212]/.test(input.value) ? input.value.replace(/^\s*[-\u2212]/, '') : `-${input.value}`;
	input.dispatchEvent(new Event('input', { bubbles: true }));
}

function show(el, typed, lastOf, judge) {
	const asked = figuresOf(typed);
	const ratio = typed.quantity === 'rail_drop';
	const { reading, errors } = readReading(typed);
	const wrong = errors.find(({ field }) => !isBegun(typed[field]));
	const last = lastOf(typed.quantity);

	for (const input of el.querySelectorAll('.figures input'))
		input.closest('.field').hidden = !asked.includes(input.dataset.field);
	el.querySelector('.leads').hidden = el.querySelector('.ways').hidden = ratio;
	el.querySelector('.last').textContent = lastWords(last, ratio);
	showJudged(el, isTyped(typed), judge(reading), ratio, wrong?.detail);
}

function lastWords(last, ratio) {
	if (!last)
		return 'No earlier evidence of this since it was attached.';
	return `Last time ${last.open_circuit ? 'an open circuit' : `${writeFigure(last.value)} ${ratio ? 'm of rail' : 'µΩ'}`}, ${last.day}: ${last.verdict_title}`;
}

/* Nothing is judged while a figure is no number: it is said at once, and beside its field on saving. */
function showJudged(el, typed, judged, ratio, wrong) {
	const say = (piece, text) => { el.querySelector(`.${piece}`).textContent = text; };
	const has = typed && !wrong && judged && judged.remark !== 'nothing_measured';

	say('value', wrong ? 'No value' : !typed ? 'No reading typed' : judged ? valueWords(judged) : '');
	say('aside', has ? asideWords(judged) : '');
	say('limit', judged?.limit === undefined ? '' : `Limit ${writeFigure(judged.limit)} ${ratio ? 'm of rail' : 'µΩ'}: ${judged.limit_title}`);
	say('means', wrong ?? (has ? judged.sentence : ''));
	say('asked', has ? judged.unit_question ?? '' : '');
	el.querySelector('.verdict').hidden = !has;
	if (has)
		verdictSign(el.querySelector('.verdict'), judged.verdict, judged.verdict_title);
}

function valueWords({ value, u95, r_uohm, r20_uohm, equivalent_m }) {
	if (value === undefined)
		return r_uohm !== undefined ? `R ${writeFigure(r_uohm)} µΩ` : equivalent_m !== undefined ? `Equals ${writeFigure(equivalent_m, 3)} m of rail` : 'No value';
	const bounds = u95 === undefined ? '' : ` ± ${writeFigure(u95, 2)}`;
	return r20_uohm === undefined ? `The joint adds ${writeFigure(value, 3)}${bounds} m of rail` : `${writeFigure(value)}${bounds} µΩ at 20 °C`;
}

function asideWords({ r_uohm, value, equivalent_m, thermal_uv, remark }) {
	return [
		value !== undefined && r_uohm !== undefined && `R ${writeFigure(r_uohm)} µΩ as measured.`,
		value !== undefined && equivalent_m !== undefined && `Equals ${writeFigure(equivalent_m, 3)} m of rail.`,
		thermal_uv !== undefined && `Thermal voltage ${writeFigure(thermal_uv, 3)} µV.`,
		remark === 'one_direction' && 'One direction only: the weaker kind of reading.'
	].filter(Boolean).join(' ');
}
