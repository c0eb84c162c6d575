import { CHECKS, acceptanceQuestion, acceptedWords, attachmentBody,
	readMeasure } from '../logic/attachment.js';
import { isBegun } from '../logic/number.js';
import { askSpot, offsetText, railMarks, usualOffset } from '../logic/rail.js';
import { choices } from './choices.js';
import { doerField } from './doer-field.js';
import { verdictSign } from './grade-sign.js';
import { railDrawing } from './rail-drawing.js';
import { me } from './session.js';
import { make, stamp } from './template.js';
import { undoable } from './undo.js';

const PLAIN = ['offset_mm', 'made_day', 'person', 'batch', 'note',
	...CHECKS.filter(([, , type]) => type === 'figure').map(([, member]) => member)];
const CHOSEN = ['end', 'method', 'kit',
	...CHECKS.filter(([, , type]) => type === 'flag').map(([, member]) => member)];
const UNITS = { arc_s: 'Arc, s', hold_s: 'Held still after it, s',
	stub_mm: 'Stub left standing, mm' };
const SHAPES = { good: 'within', bad: 'over', not_recorded: 'none' };

/** Of a new form: no check was made. */
export const NO_CHECKS = Object.fromEntries(CHECKS.filter(([, , type]) => type === 'flag')
	.map(([, member]) => [member, '']));

const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);

function showSign(el, verdict, title) {
	el.hidden = !verdict;
	if (verdict && el.textContent !== title)
		verdictSign(el, verdict, title);
}

/** What the checks come to, in a .verdict and a .said. */
export function showAcceptance(el, answer) {
	const { verdict, title } = acceptedWords(answer);
	const said = answer.checks.filter(({ is, check }) => is !== 'not_recorded' ||
		check !== 'reading');

	showSign(el.querySelector('.verdict'), verdict, title);
	el.querySelector('.said').replaceChildren(...said.map(({ is, sentence }) => {
		const li = make('li');
		verdictSign(li, SHAPES[is], sentence);
		return li;
	}));
}

/**
 * The fields of a new attachment (the part attach-fields): which end, the spot on its rail, how,
 * and the checks, judged by the rules as they are filled in. The same at the desk and in a round.
 *
 * @param {HTMLFormElement} form
 * @param {{words: Record<string, Map<string, string>>, bond: {id: number, ends: {end: string,
 *	words: string, on: string}[]}, rails: Record<string, object>|null, rules: object|null}} known
 *	what is known here; members may be set later. rails: by end, as the API tells them, with
 *	`more`: what is on the rail by what this tablet recorded, and cannot be placed; rules: null
 *	where this tablet cannot judge
 * @param {() => void} changed  called after what was not typed has changed too
 * @returns what the page asks of it
 */
export function attachmentForm(form, known, changed) {
	const showDoer = doerField(form.elements.person, me);
	let corrects = '';   // the attachment that this one replaces
	let free = null, asked = null;

	const group = (name) => form.querySelector(`[data-name="${name}"]`);

	/** Kits to choose from, as [code, text]. */
	function offer(kits) {
		const { words, bond } = known;

		choices(group('end'), 'end', bond.ends.map(({ end, words: long }) => [end, long]));
		choices(group('method'), 'method', words.attach_method);
		choices(group('kit'), 'kit', [...kits, ['', 'none, or not known']]);
		form.querySelector('.kits').hidden = kits.length === 0;
		form.querySelector('.checks').replaceChildren(...CHECKS.map(check));
	}

	function check([code, member, type]) {
		const el = type === 'flag'
			? stamp('flag', { title: capital(known.words.acceptance_check.get(code)) })
			: stamp('figure', { title: UNITS[member] });

		el.dataset.check = code;
		if (type === 'flag')
			choices(el.querySelector('.choices'), member,
				[['yes', 'yes'], ['no', 'no'], ['', 'not recorded']]);
		else {
			Object.assign(el.querySelector('input'), { name: member, id: member });
			el.querySelector('label').htmlFor = member;
		}
		return el;
	}

	/** Values into the form. */
	function write(values) {
		corrects = values.corrects;
		for (const name of PLAIN)
			form.elements[name].value = values[name] ?? '';
		for (const name of CHOSEN) {
			for (const input of form.querySelectorAll(`input[name="${name}"]`))
				input.checked = input.value === values[name];
		}
		judge();
	}

	/** What stands in the form. */
	function read() {
		return {
			...Object.fromEntries(PLAIN.map((name) => [name, form.elements[name].value])),
			...Object.fromEntries(CHOSEN.map((name) => [name,
				form.querySelector(`input[name="${name}"]:checked`)?.value]))
		};
	}

	function body(typed) {
		const made = attachmentBody(typed, asked && asked.checks.map(({ check: code }) => code));

		if (typed.end && endOf(typed).on !== 'rail')
			delete made.body.offset_mm;
		return made;
	}

	const endOf = ({ end: of }) => known.bond.ends.find(({ end }) => end === of);

	function judge() {
		const values = { ...read(), corrects };

		showDoer();
		judgeSpot(values);
		judgeChecks(values);
	}

	/** The spot on the rail: warned of here when it is spoilt, with the next free one to take by
	 * one tap. */
	function judgeSpot(values) {
		const { rules, words } = known;
		const onRail = endOf(values)?.on === 'rail';
		const rail = onRail && rules && known.rails?.[values.end];
		const marks = rail ? railMarks(rail, known.bond.id, corrects) : [];
		const { value, problem } = readMeasure('offset_mm', values.offset_mm);
		const here = Number.isInteger(value) ? value : null;

		form.querySelector('.spot').hidden = !onRail;
		form.querySelector('.spot > .unknown').hidden = !onRail || Boolean(rail);
		free = rail ? askSpot(rules, marks, rail.place, here ?? usualOffset(rail.place)) : null;
		const drawn = free && rail.place.rail_known;
		form.querySelector('.spot > .rail').hidden = !drawn;
		form.querySelector('.spot > .result').hidden = !free;
		form.querySelector('.spot > .side').hidden = !free || rail.side === 'none';
		form.querySelector('.spot > .side').textContent = rail
			? `${capital(words.joint_side.get(rail.side))}.` : '';
		form.querySelector('.spot > .unknowns').replaceChildren(...[...free ? free.unknowns : [],
			...rail?.more ?? []].map(({ sentence }) => make('li', sentence)));
		if (drawn)
			railDrawing(form.querySelector('.spot > .rail'), { marks, place: rail.place,
				clearances: free.clearances, next_mm: free.next_free_mm ?? null,
				wanted_mm: here, blocked: here !== null && !free.is_free }, words);
		if (free)
			showSpot(here, problem && !isBegun(values.offset_mm) ? problem : '');
		const offered = free && free.next_free_mm !== undefined && free.next_free_mm !== here;
		form.querySelector('.take').hidden = !offered;
		form.querySelector('.take').textContent = offered
			? `Take the next free place: ${offsetText(free.next_free_mm)}` : '';
	}

	/* What is not free can be saved all the same, when that is where it was made. */
	function showSpot(here, problem) {
		const result = form.querySelector('.spot > .result');
		const wrong = here !== null && !free.is_free;

		showSign(result.querySelector('.verdict'), here !== null && (free.is_free ? 'within'
			: 'over'), free.is_free ? 'Free' : free.is_taken ? 'Not here: this spot is spoilt'
			: 'Not here');
		result.querySelector('.means').textContent = here === null ? problem ||
			'Say where it goes; the rail drawing shows what must be kept clear.' : free.sentence;
		result.querySelector('.kept-so').textContent = !wrong ? '' : free.is_taken
			? 'If it was made here all the same, save it as it is: it is not accepted, and the ' +
				'planner is shown it.'
			: 'If it was made here all the same, save it as it is.';
	}

	/** Only the checks of the method are asked; each is judged as it is answered. */
	function judgeChecks(values) {
		const { rules } = known;

		asked = rules && values.method
			? rules.ask('acceptance', acceptanceQuestion(values, takenHere(values))) : null;
		for (const el of form.querySelectorAll('[data-check]'))
			el.hidden = Boolean(asked) &&
				!asked.checks.some(({ check: code }) => code === el.dataset.check);
		form.querySelector('.accept > .notice').textContent = rules ? ''
			: 'This tablet cannot judge the checks now: the server does when they arrive.';
		form.querySelector('.accept > .result').hidden = !asked;
		if (!asked)
			return;
		showAcceptance(form.querySelector('.accept > .result'), asked);
		form.querySelector('.accept > .result > .means').textContent = asked.spoils_spot
			? againWords(values) : asked.asked ?? '';
	}

	/* undefined where the spot is not known. */
	function takenHere({ offset_mm }) {
		return free && free.is !== 'rail_not_known' &&
			Number.isInteger(readMeasure('offset_mm', offset_mm).value) ? free.is_taken
			: undefined;
	}

	/** Where it can be done again: what cannot be mended spoils its spot. */
	function againWords({ end, offset_mm }) {
		const { value } = readMeasure('offset_mm', offset_mm);
		const rail = known.rails?.[end];

		if (!free || !Number.isInteger(value))
			return 'Record it as it is, then make another one clear of this spot.';
		const { next_free_mm: next } = askSpot(known.rules, [...railMarks(rail, known.bond.id,
			corrects), { kind: 'spoilt', offset_mm: value }], rail.place, value);
		return `Record it as it is, then make another one${next === undefined
			? ' clear of this spot' : `: the next free place is then ${offsetText(next)}`}.`;
	}

	form.querySelector('.spot .sign').addEventListener('click', ({ target }) => {
		const input = target.previousElementSibling;

		setOffset(/^\s*[-\u2212]/.test(input.value) ? input.value.replace(/^\s*[-\u2212]/, '')
			: `-${input.value}`);
	});
	form.querySelector('.take').addEventListener('click', () => {
		const before = form.elements.offset_mm.value;

		setOffset(free.next_free_mm);
		form.elements.offset_mm.focus();
		undoable('The next free place is taken.', () => setOffset(before));
	});

	function setOffset(value) {
		form.elements.offset_mm.value = value;
		judge();
		changed();
	}

	return { offer, write, read, body, judge, asked: () => asked };
}
