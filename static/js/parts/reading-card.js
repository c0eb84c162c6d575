import { timesThousand, turned } from '../logic/asked.js';
import { figuresOf, isContact, isTyped, readReading } from '../logic/inspection.js';
import { isBegun, writeFigure } from '../logic/number.js';
import { showAsked } from './asked.js';
import { choices } from './choices.js';
import { verdictSign } from './grade-sign.js';
import { stamp } from './template.js';

const FIGURES = {
	forward_uv: ['Forward, µV', true], reverse_uv: ['Reversed, µV, with its minus', true],
	current_a: ['Test current, A', false], shown_uohm: ['Shown, µΩ', false],
	lead_uohm: ['Leads alone, µΩ', false],
	rail_uv: ['Over the rail, µV', true], rail_m: ['Length of that rail, m', false],
	joint_m: ['Rail between the clips over the joint, m', false],
	temp_c: ['Cable temperature, °C', true]
};
const WAYS = [['shown', 'resistance, µΩ'], ['volts', 'voltage, µV, and current']];
const CARRIED = [['', 'measured at this bond'], ['yes', 'carried from another bond']];
const GROUPS = ['quantity', 'method', 'way', 'probed', 'temp_carried', 'own_instrument'];
/* what no field shows; own: instrument */
const KEPT = ['carried_at', 'converted', 'left', 'own'];

let count = 0;

/**
 * One reading being typed. Out: "input" bubbles, whoever hears it calls el.judge(); "remove" when
 * its button is pressed; "second" (its detail is what the further reading begins with), "wait",
 * "name", "contacts", "open" as they are named. el.typed() gives what stands in it, el.number(n)
 * gives it its heading, el.waits() whether something is asked that nobody has answered or left
 * asked.
 *
 * @param {Record<string, string>} typed
 * @param {{words: object, instruments: [string, string][], lastOf: (quantity: string) =>
 *	object|null, judge: (reading: object, others: object[]) => object|null, carriable: () =>
 *	object|null, othersOf: (card: HTMLElement) => object[]}} known
 *	judge: the rules' answer to what is typed, null when this tablet cannot judge; othersOf: what
 *	else is typed of the same quantity; carriable: a temperature of another bond
 */
export function readingCard(typed, known) {
	const { words } = known;
	const el = stamp('reading');
	const n = ++count;
	const group = (name) => el.querySelector(`[data-name="${name}"]`);
	const leads = [...words.reading_method].filter(([code]) => code !== 'voltage_drop');

	choices(group('quantity'), `quantity-${n}`, words.quantity, typed.quantity ?? 'end_to_end');
	choices(group('method'), `method-${n}`, leads, typed.method ?? 'four_wire');
	choices(group('way'), `way-${n}`, WAYS, typed.way ?? 'shown');
	choices(group('probed'), `probed-${n}`, words.probed, typed.probed);
	choices(group('temp_carried'), `temp_carried-${n}`, CARRIED, typed.temp_carried ?? '');
	choices(group('own_instrument'), `own_instrument-${n}`, known.instruments,
		typed.own_instrument);
	el.querySelector('.own-instrument').hidden = typed.own !== 'yes';
	Object.assign(el.dataset, Object.fromEntries(KEPT.map((name) => [name, typed[name] ?? ''])));
	el.querySelector('.figures').append(...Object.entries(FIGURES).map(([name, [label, signed]]) =>
		figure(`${name}-${n}`, name, label, signed, typed[name])));

	el.typed = () => ({
		...Object.fromEntries(
			GROUPS.map((name) => [name, group(name).querySelector(':checked')?.value])),
		...Object.fromEntries(Array.from(el.querySelectorAll('.figures input'),
			(input) => [input.dataset.field, input.value])),
		...Object.fromEntries(KEPT.map((name) => [name, el.dataset[name]]))
	});
	el.number = (number) => { el.querySelector('legend').textContent = `Reading ${number}`; };
	el.judge = () => show(el, known);
	el.waits = () => !el.querySelector('.asked').hidden && el.dataset.left !== figuresTyped(el);
	el.addEventListener('input', (e) => {
		if (e.target.dataset.field)
			el.dataset.converted = '';
		else if (e.target.name === `temp_carried-${n}`)
			el.dataset.carried_at = e.target.value ? Date.now() : '';
	});
	el.addEventListener('click', (e) => {
		if (e.target.matches('.sign'))
			setFigure(e.target.previousElementSibling,
				turned(e.target.previousElementSibling.value));
		else if (e.target.matches('.remove, .contacts'))
			el.dispatchEvent(new Event(e.target.classList[0]));
		else if (e.target.matches('.carry'))
			carry(el, known.carriable());
		else if (e.target.dataset.answer)
			answer(el, e.target.dataset.answer);
	});
	return el;
}

/** What an answer is of: other figures are another reading. */
const figuresTyped = (el) => JSON.stringify(Array.from(
	el.querySelectorAll('.field:not([hidden]) > .signed > input'), ({ value }) => value));

function answer(el, which) {
	const input = (field) => el.querySelector(`[data-field="${field}"]`);
	const first = el.querySelector('.figures .field:not([hidden]) input');

	if (which === 'milli') {
		const { figures, said } = timesThousand(el.typed());
		Object.entries(figures).forEach(([field, value]) => { input(field).value = value; });
		el.dataset.converted = said;
		tell(el);
	} else if (which === 'minus') {
		setFigure(input('reverse_uv'), turned(input('reverse_uv').value));
	} else if (which === 'left') {
		el.dataset.left = el.dataset.left === figuresTyped(el) ? '' : figuresTyped(el);
		tell(el);
		el.querySelector('.asked [data-answer="left"]')?.focus();
	} else if (which === 'look' || which === 'temperature') {
		const field = which === 'look' ? first : input('temp_c');
		field.focus();
		field.select();
	} else if (['wait', 'name', 'contacts', 'open'].includes(which)) {
		el.dispatchEvent(new Event(which));
	} else {
		const { quantity, method, way, probed, temp_c, temp_carried, carried_at,
			own_instrument } = el.typed();
		el.dispatchEvent(new CustomEvent('second',
			{ detail: { quantity, method, way, probed, temp_c, temp_carried, carried_at,
			own_instrument, own: which === 'instrument' ? 'yes' : el.dataset.own } }));
	}
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

const tell = (el) => el.dispatchEvent(new Event('input', { bubbles: true }));

/* (the decimal keypad of some tablets has no minus) */
function setFigure(input, value) {
	input.value = value;
	tell(input);
}

/* An hour counts from where it was measured. */
function carry(el, { temp_c, at }) {
	el.querySelector('[data-field="temp_c"]').value = temp_c;
	el.querySelector('[data-name="temp_carried"] input[value="yes"]').checked = true;
	el.dataset.carried_at = at;
	tell(el);
}

function show(el, { lastOf, judge, othersOf, carriable }) {
	const typed = el.typed();
	const figures = figuresOf(typed);
	const ratio = typed.quantity === 'rail_drop';
	const { reading, errors } = readReading(typed);
	const wrong = errors.find(({ field }) => !isBegun(typed[field]));
	const last = lastOf(typed.quantity);
	const others = othersOf(el);
	const carried = figures.includes('temp_c') && !(typed.temp_c ?? '').trim() && carriable();

	for (const input of el.querySelectorAll('.figures input'))
		input.closest('.field').hidden = !figures.includes(input.dataset.field);
	el.querySelector('.leads').hidden = el.querySelector('.ways').hidden = ratio;
	el.querySelector('.probed').hidden = !isContact(typed.quantity);
	el.querySelector('.carried').hidden = !figures.includes('temp_c') ||
		!(typed.temp_c ?? '').trim();
	el.querySelector('button.carry').hidden = !carried;
	if (carried)
		el.querySelector('button.carry').textContent =
			`Carry ${carried.temp_c} °C from ${carried.label}`;
	el.querySelector('.last').textContent = lastWords(last, ratio);
	showJudged(el,
		{ typed, last, others, ratio, wrong: wrong?.detail, judged: judge(reading, others) });
}

function lastWords(last, ratio) {
	if (!last)
		return 'No earlier evidence of this since it was attached.';
	return `Last time ${last.open_circuit ? 'an open circuit' : `${writeFigure(last.value)} ${ratio
		? 'm of rail' : 'µΩ'}`}, ${last.day}: ${last.verdict_title}`;
}

const PROBE_FIRST = 'Say where the probe stood: that decides what it proves.';

/* Nothing is judged while a figure is no number: it is said at once, and beside its field on
 * saving. What is asked stands in the place of the verdict. */
function showJudged(el, { typed, last, others, ratio, wrong, judged }) {
	const say = (piece, text) => { el.querySelector(`.${piece}`).textContent = text; };
	const any = isTyped(typed);
	const has = any && !wrong && judged && judged.remark !== 'nothing_measured';
	const probe = has && isContact(typed.quantity) && !typed.probed;
	const asked = has && judged.status === 'open' ? judged.asked ?? [] : [];
	const isLow = judged?.value < last?.value;
	const isInCircuit = Boolean(has && judged.in_circuit && !isContact(typed.quantity));

	say('value', wrong ? 'No value' : !any ? 'No reading typed' : judged
		? valueWords(judged, typed.quantity) : '');
	say('aside', has ? [el.dataset.converted, asideWords(judged, typed.quantity)].filter(Boolean)
		.join(' ') : '');
	say('limit', judged?.limit === undefined ? '' : `Limit ` +
		`${writeFigure(judged.limit)} ${ratio ? 'm of rail' : 'µΩ'}: ${judged.limit_title}`);
	say('means', wrong ?? (!has ? '' : probe ? PROBE_FIRST : meansWords(judged, others)));
	showAsked(el.querySelector('.asked'), asked, { isLow, isInCircuit, isNamed: judged?.meter !==
		'not_recorded', isLeft: el.dataset.left === figuresTyped(el), typed });
	el.querySelector('.contacts').hidden = !isInCircuit || asked.length > 0;
	el.querySelector('.verdict').hidden = !has || probe || judged.status === 'open';
	if (!el.querySelector('.verdict').hidden)
		verdictSign(el.querySelector('.verdict'), judged.verdict, judged.verdict_title);
}

/* Of several readings the rules say whether they agree. */
function meansWords({ status, asked = [], sentence }, others) {
	const twice = others.length === 0 || status === 'none' ? '' : status !== 'open'
		? 'Read twice, and the readings agree: their mean is judged.'
		: asked.length ? '' : 'It waits with the other reading of this visit.';
	return [twice, sentence].filter(Boolean).join(' ');
}

function valueWords({ value, u95, r_uohm, r20_uohm, equivalent_m }, quantity) {
	if (value === undefined)
		return r_uohm !== undefined ? `R ${writeFigure(r_uohm)} µΩ` : equivalent_m !== undefined
			? `Equals ${writeFigure(equivalent_m, 3)} m of rail` : 'No value';
	const bounds = u95 === undefined ? '' : ` ± ${writeFigure(u95, 2)}`;
	return r20_uohm === undefined ? `The joint adds ${writeFigure(value, 3)}${bounds} m of rail`
		: `${writeFigure(value)}${bounds} µΩ${isContact(quantity) ? '' : ' at 20 °C'}`;
}

function asideWords({ r_uohm, value, equivalent_m, thermal_uv, remark }, quantity) {
	return [
		!isContact(quantity) && value !== undefined && r_uohm !== undefined &&
			`R ${writeFigure(r_uohm)} µΩ as measured.`,
		value !== undefined && equivalent_m !== undefined &&
			`Equals ${writeFigure(equivalent_m, 3)} m of rail.`,
		thermal_uv !== undefined && `Thermal voltage ${writeFigure(thermal_uv, 3)} µV.`,
		remark === 'one_direction' && 'One direction only: the weaker kind of reading.'
	].filter(Boolean).join(' ');
}
