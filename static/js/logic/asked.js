import { readNumber } from './number.js';

/* What the rules ask of a reading, and what a person can answer. That a reading was made twice is
 * said by the rules when the two agree, never by a tap. */

/* Which answers a question has, the likeliest first; to leave it asked is one of each. */
const ANSWERS = {
	far_below: ['milli', 'second'], far_above: ['look', 'second'],
	away: ['milli', 'look', 'second'],
	directions: ['look', 'second'], same_sign: ['minus', 'look'], thermal: ['wait'],
	method: ['look'], temperature: ['temperature'], meter: ['instrument'], twice: ['look']
};
const ORDER = ['milli', 'minus', 'temperature', 'name', 'instrument', 'wait', 'look', 'second',
	'contacts', 'open', 'left'];

const isVolts = ({ quantity, way }) => quantity === 'rail_drop' || way === 'volts';

/** @param {object} typed  of a card @returns {string} its unit a thousand times larger */
export const milliUnit = (typed) => isVolts(typed) ? 'mV' : 'mΩ';

/** What each answer is called. */
export function answerWords(answer, typed) {
	return {
		milli: `It is in ${milliUnit(typed)}`, minus: 'The minus was left out',
		temperature: 'Look at the temperature',
		name: 'Say which instrument', instrument: 'Read it with another instrument',
		wait: 'Wait, then measure again', look: 'Look at the figure',
		second: 'Type the second reading', contacts: 'Read both contacts',
		open: 'Open what lies beside it, then measure',
		left: 'Leave it asked'
	}[answer];
}

/**
 * The answers to what is asked, each once.
 *
 * @param {string[]} questions
 * @param {{isLow?: boolean, isNamed?: boolean, isInCircuit?: boolean}} reading  isLow: below what
 *	it is compared with, so that the larger unit may be meant; isNamed: its instrument is;
 *	isInCircuit: whatever it answers proves nothing good
 */
export function answersTo(questions, { isLow = false, isNamed = true, isInCircuit = false } = {}) {
	const all = new Set(questions.flatMap((question) => ANSWERS[question] ?? []));

	if (!isLow && !questions.includes('far_below'))
		all.delete('milli');
	if (!isNamed && all.delete('instrument'))
		all.add('name');
	if (isInCircuit && questions.length)
		all.add('contacts').add('open');
	return [...ORDER]
		.filter((answer) => all.has(answer) || (answer === 'left' && questions.length > 0));
}

/**
 * The figures as they are when the larger unit was meant.
 *
 * @param {object} typed  of a card
 * @returns {{figures: Record<string, string>, said: string}} the fields that change, and a sentence
 */
export function timesThousand(typed) {
	const [unit, larger, fields] = isVolts(typed) ? ['µV', 'mV', ['forward_uv', 'reverse_uv']]
		: ['µΩ', 'mΩ', ['shown_uohm']];
	const had = fields.filter((field) => readNumber(typed[field] ?? '').value !== null);
	const figures = Object.fromEntries(had.map((field) => [field,
		String(Number((readNumber(typed[field]).value * 1000).toPrecision(12)))]));

	return { figures, said: had.map((field) =>
		`${typed[field].trim()} ${larger} was meant: recorded as ${figures[field]} ${unit}.`)
		.join(' ') };
}

/** The sign of the figure that was read with the current reversed, turned. */
export const turned = (text) => /^\s*[-\u2212]/.test(text) ? text.replace(/^\s*[-\u2212]/, '')
	: `-${text.trim()}`;

/* An hour after which a temperature says little of another bond. */
export const CARRIED_MOST_MS = 3600000;

/** A temperature read at another bond that can still be carried to this one; null. */
export function carriable(last, bondId, now) {
	return last && last.bond_id !== bondId && now - last.at <= CARRIED_MOST_MS && now >= last.at
		? last : null;
}
