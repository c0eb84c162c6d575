import { figuresOf, readReading } from '../logic/inspection.js';
import { writeFigure } from '../logic/number.js';
import { readingResult } from '../logic/resistance.js';
import { choices } from './choices.js';
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
 * One reading being typed. Out: "input" and "change" bubble; "remove" when its button is pressed.
 * el.typed() gives what stands in it, el.number(n) gives it its heading.
 *
 * @param {Record<string, string>} typed
 * @param {{words: object, material: string|null, lastOf: (quantity: string) => {value: number, unit: string, day: string}|null}} known
 */
export function readingCard(typed, { words, material, lastOf }) {
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
	const update = () => show(el, el.typed(), material, lastOf);
	el.addEventListener('input', update);
	el.addEventListener('click', (e) => {
		if (e.target.matches('.sign'))
			turnSign(e.target.previousElementSibling);
		else if (e.target.matches('.remove'))
			el.dispatchEvent(new Event('remove'));
	});
	update();
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

function show(el, typed, material, lastOf) {
	const asked = figuresOf(typed);
	const ratio = typed.quantity === 'rail_drop';
	const { reading } = readReading(typed);
	const result = readingResult(reading, material);
	const last = lastOf(typed.quantity);

	for (const input of el.querySelectorAll('.figures input'))
		input.closest('.field').hidden = !asked.includes(input.dataset.field);
	el.querySelector('.leads').hidden = el.querySelector('.ways').hidden = ratio;
	el.querySelector('.value').textContent = resultWords(result);
	el.querySelector('.aside').textContent = [
		result.one_direction && 'One direction only: the weaker kind of reading.',
		result.thermal_uv !== null && `Thermal voltage ${writeFigure(result.thermal_uv, 3)} µV.`
	].filter(Boolean).join(' ');
	el.querySelector('.last').textContent = last ? `Last time ${writeFigure(last.value)} ${last.unit}, ${last.day}` : 'No earlier reading of this.';
}

function resultWords({ r_uohm, r20_uohm, equivalent_m, added_m }) {
	if (equivalent_m !== null)
		return `Equals ${writeFigure(equivalent_m, 3)} m of rail${added_m === null ? '' : `, the joint adds ${writeFigure(added_m, 3)} m`}`;
	if (r_uohm === null)
		return 'No reading typed';
	return `R ${writeFigure(r_uohm)} µΩ${r20_uohm === null ? '' : `, ${writeFigure(r20_uohm)} µΩ at 20 °C`}`;
}
