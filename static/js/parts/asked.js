import { answersTo, answerWords } from '../logic/asked.js';
import { make } from './template.js';

const IN_CIRCUIT =
	'In circuit no answer proves this bond: read both contacts and see cable and lugs whole, or ' +
	'open what lies beside it, where your railway\'s rules allow that, and measure anew.';

/**
 * What is asked of a reading, in the place of its verdict, with its answers as buttons. They are
 * made anew only when the questions change, so that a tap is not lost while figures are typed.
 *
 * @param {HTMLFieldSetElement} el  with a ul and a .answers; hidden while nothing is asked
 * @param {{question: string, sentence: string}[]} asked
 * @param {{isLow: boolean, isNamed: boolean, isInCircuit: boolean, isLeft: boolean, typed: object}}
 *	reading
 */
export function showAsked(el, asked, { isLow, isNamed, isInCircuit, isLeft, typed }) {
	const answers = answersTo(asked.map(({ question }) => question),
		{ isLow, isNamed, isInCircuit });
	const are = JSON.stringify([asked, answers, isLeft]);

	el.hidden = asked.length === 0;
	if (el.dataset.are === are)
		return;
	el.dataset.are = are;
	el.querySelector('ul').replaceChildren(...asked.map(({ sentence }) => make('li',
		`${sentence.charAt(0).toUpperCase()}${sentence.slice(1)}.`)),
		...isInCircuit ? [make('li', IN_CIRCUIT, 'hint')] : []);
	el.querySelector('.answers')
		.replaceChildren(...answers.map((answer) => button(answer, typed, isLeft)));
	el.querySelector('.left').textContent = isLeft ? 'Left asked: it is recorded as it is, makes ' +
		'nothing better, and stays asked at the bond until a reading answers it.' : '';
}

function button(answer, typed, isLeft) {
	const el = Object.assign(make('button', answerWords(answer, typed)), { type: 'button' });

	el.dataset.answer = answer;
	if (answer === 'left')
		el.setAttribute('aria-pressed', String(isLeft));
	return el;
}
