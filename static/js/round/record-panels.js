import { answersTo, answerWords } from '../logic/asked.js';
import { failureAsked, keyTo, leaveAsked, openedBeside, putBy, QUANTITIES, turnTo, typedReading,
	unprobed } from '../logic/bond-visit.js';
import { defectCaution } from '../logic/defect.js';
import { isContact } from '../logic/inspection.js';
import { provesNothing } from '../logic/judge.js';
import { quantityWords } from './record-view.js';

const WHY_USUAL = ['under the ballast', 'under snow or ice', 'behind a cover',
	'no safe place to stand'];
const OPENED = ['the fishplates are off', 'the rail is cut beside it',
	'the cables beside it are off'];
const METHODS = ['four_wire', 'two_wire'];

/*
 * What takes the place of the keys: {title, choices: [text, act, isChosen?][]}.
 * act({night, set, to}) does it and may name the panel that comes next; set(to) changes the
 * settings of the night, to(view) goes to another view of this bond.
 */

/**
 * The panel that was opened, else what has to be said first, else null: the keys.
 *
 * @param {object} state  of the record view
 */
export function panelOf(state) {
	const { open, visit, cables, rested, asked } = state;

	if (open === 'keys')
		return null;
	if (open)
		return OPENED_BY[open]?.(state) ?? endPanel(state);
	if (failureAsked(visit, cables) && visit.failed === undefined)
		return failedPanel(state);
	if (visit.failed === 'yes' && !visit.failure_mode)
		return modePanel(state);
	if (Object.values(visit.seen).includes('not_visible') && !visit.why_not_seen)
		return { title: 'Why could it not be seen?', choices: WHY_USUAL.map((why) =>
			[why, () => { visit.why_not_seen = why; }]) };
	if (rested && unprobed(visit))
		return probePanel(state);
	return asked && isTime(state) ? askedPanel(state)
		: visit.corrects && !visit.reason && rested === 'saving' ? reasonPanel(state) : null;
}

/* (a second figure that is waited for is keyed before anything more is asked) */
const isTime = ({ rested, asked, visit }) => rested === 'saving' || (rested &&
	(asked.quantity !== visit.quantity || /\d/.test(visit.text)));

const WHY_AGAIN = ['keyed wrong', 'another end', 'another unit', 'looked at again'];

const reasonPanel = ({ visit }) => ({ title: 'Why is it corrected?', choices: WHY_AGAIN.map((why) =>
	[why, () => { visit.reason = why; }]) });

const OPENED_BY = {
	what: ({ bond, visit, words }) => ({ title: 'What is read', choices: QUANTITIES.map((one) =>
		[quantityWords(bond.known, one, words), ({ night }) => turnTo(visit, one, night),
			one === visit.quantity]) }),
	cables: ({ cables, visit }) => ({ title: 'Cables seen whole, over their length and at the lugs',
		choices: Array.from({ length: cables + 1 }, (_, i) => cables - i).map((n) =>
			[cables > 1 ? `${n} of ${cables}` : n ? 'whole' : 'not whole', () => {
				visit.cables_whole = String(n);
				sayAnew(visit);
			}, visit.cables_whole === String(n)]) }),
	night: nightPanel,
	meter: ({ pack, night }) => ({ title: 'Meter', choices: pack.instruments.map(({ serial }) =>
		[serial, ({ set }) => set({ instrument: serial }), serial === night.instrument]) }),
	method: ({ words, night }) => ({ title: 'Leads', choices: METHODS.map((method) =>
		[words.reading_method.get(method), ({ set }) => set({ method }),
			method === (night.method ?? METHODS[0])]) }),
	more: morePanel,
	opened: ({ visit }) => ({ title: 'What was opened, so that the bond is read alone? What was ' +
		'read before that is taken out.', choices: OPENED.map((text) =>
		[text, () => openedBeside(visit, text), visit.opened === text]) }),
	failed: failedPanel, mode: modePanel
};

/* What was said after another word is asked again. */
function sayAnew(visit) {
	visit.failed = visit.failure_mode = undefined;
	if (!Object.values(visit.seen).includes('not_visible'))
		visit.why_not_seen = undefined;
}

function endPanel({ open: end, bond, visit, words }) {
	const { words: where } = bond.known.ends?.find((one) => one.end === end) ?? {};

	return { title: `${where ?? bond.row[`end_${end}_words`]}: what is seen?`,
		choices: Array.from(words.seen, ([code, text]) => [text, () => {
			visit.seen = { ...visit.seen, [end]: code };
			sayAnew(visit);
		}, visit.seen[end] === code]) };
}

function failedPanel({ visit, cables }) {
	const cable = visit.cables_whole !== undefined && Number(visit.cables_whole) < cables &&
		'cable';
	const cautions = [visit.seen.a, visit.seen.b, cable].map(defectCaution).filter(Boolean);

	return { title: [...new Set(cautions.map((said) => said.join('. ')))]
		.concat('Did it fail?').join(' '),
	choices: [['it failed', () => { visit.failed = 'yes'; }, visit.failed === 'yes'],
		['it holds', () => { visit.failed = 'no'; visit.failure_mode = undefined; },
			visit.failed === 'no'], ['temporary bridge put on', ({ to }) => to('bridge')]] };
}

function modePanel({ visit, words }) {
	return { title: 'What failed?', choices: Array.from(words.failure_mode, ([code, text]) =>
		[text, () => {
			visit.failed = 'yes';
			visit.failure_mode = code;
		}, visit.failure_mode === code]) };
}

function probePanel({ bond, visit, words }) {
	const one = unprobed(visit);

	return { title: `${quantityWords(bond.known, one.quantity, words)}: where did the probe stand?`,
		choices: Array.from(words.probed, ([code, text]) => [text, () => {
			if (one === visit)
				visit.probed = code;
			else
				visit.keyed = visit.keyed.map((put) => put === one ? { ...put, probed: code }
					: put);
		}]) };
}

const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);

/* The question in the place of the keys, with its answers. */
function askedPanel({ bond, visit, words, proof, asked: { quantity, asked, answer } }) {
	const isInCircuit = Boolean(provesNothing(answer, proof)) && !isContact(quantity);
	const last = bond.known.last?.[quantity]?.value;
	const answers = answersTo(asked.map(({ question }) => question),
		{ isLow: answer.value < last, isNamed: answer.meter !== 'not_recorded', isInCircuit });
	const known = [...answers.filter((one) => one in ANSWERS), ...asked.length ? []
		: ['look', 'second', 'left']];

	return { title: `${quantityWords(bond.known, quantity, words)}. ${asked.map(({ sentence }) =>
		capital(sentence)).join('. ') || 'It waits with the other reading of this visit'}.`,
	choices: known.map((one) => [one === 'look' ? 'Back to the figure'
		: answerWords(one, typedReading(visit, { temp: {} })), ({ night }) => {
		if (quantity !== visit.quantity)
			turnTo(visit, quantity, night);
		return ANSWERS[one](visit, night);
	}]) };
}

const ANSWERS = {
	milli: (visit) => {
		if (!visit.text)
			keyTo(visit, 'back');
		visit.isMilli = true;
	},
	look: () => 'keys',
	second: putBy,
	temperature: () => 'night', name: () => 'meter',
	instrument: (visit, night) => { putBy(visit, night); return 'meter'; },
	contacts: (visit, night) => turnTo(visit, 'contact_a', night),
	open: () => 'opened',
	left: (visit) => leaveAsked(visit, visit.quantity)
};

/* A degree up or down of what was measured last; more of it by further taps. */
function nightPanel({ visit, night }) {
	const now = Number(visit.temp_c ?? night.temp_c ?? 0);
	const here = (step) => ({ set }) => {
		visit.temp_c = String(now + step);
		set({ temp_c: now + step, temp_at_ms: Date.now() });
		return step ? 'night' : null;
	};
	const degrees = (n) => `${String(n).replace('-', '−')} °C`;

	return { title: `Cable temperature, measured at this bond: ${degrees(now)}?`, choices: [
		[`It is ${degrees(now)}`, here(0)], ['1 colder', here(-1)], ['1 warmer', here(1)],
		['5 colder', here(-5)], ['5 warmer', here(5)],
		[`Meter: ${night.instrument ?? 'none'}`, () => 'meter'], ['Leads', () => 'method']] };
}

/* Other views of this bond; what was keyed stays begun here. */
const VIEWS = [['History, corrections, spots', 'past'], ['Temporary bridge', 'bridge'],
	['New attachment', 'attach'], ['Made good', 'mend'], ['Photo', 'photo']];

function morePanel({ visit }) {
	return { title: 'More of this bond', choices: [
		['What is read', () => 'what'], ['Temperature, meter, leads', () => 'night'],
		['Cables', () => 'cables'], ['It failed', () => 'mode', visit.failed === 'yes'],
		['Opened beside it', () => 'opened', Boolean(visit.opened)],
		...VIEWS.map(([text, view]) => [text, ({ to }) => to(view)]),
		['Back to the keys', () => null]] };
}
