import { isContact } from '../logic/inspection.js';
import { provesNothing } from '../logic/judge.js';
import { writeFigure } from '../logic/number.js';
import { partsOfEnds } from '../logic/end-parts.js';
import { verdictSign } from '../parts/grade-sign.js';
import { make } from '../parts/template.js';
import { readingsList } from './past.js';

const WANTS = { ends: 'ends', cables: 'cables seen' };
const UNITS = { true: 'mΩ', false: 'µΩ' };

/** What is read, in words that a person at the bond can check. */
export const quantityWords = ({ ends }, quantity, words) => isContact(quantity)
	? ends?.find(({ end }) => quantity.endsWith(`_${end}`))?.contact ?? words.quantity.get(quantity)
	: words.quantity.get(quantity);

/**
 * What stands on the screen of one bond, but for the keys.
 *
 * @param {{bond: object, words: object, proof: string|null, cables: number, night: object}} about
 * @param {{both(): void, open(name: string): void, save(): void, undo(): void}} acts
 */
export function recordView({ bond, words, proof, cables, night }, acts) {
	const { row, known } = bond;
	const el = make('section', '', 'record');
	const add = (tag, name, into = el) => into.appendChild(make(tag, '', name));
	const button = (name, act, into = el) => {
		const piece = add('button', name, into);

		piece.type = 'button';
		piece.addEventListener('click', act);
		return piece;
	};
	const names = partsOfEnds(row.end_a_words, row.end_b_words);

	el.setAttribute('aria-label', row.label);
	const place = add('p', 'place');
	const ends = add('div', 'ends');
	const both = button('both', acts.both, ends);
	const end = Object.fromEntries(['a', 'b'].map((name) =>
		[name, button('end', () => acts.open(name), ends)]));
	const whole = button('whole', () => acts.open('cables'), ends);
	const small = add('div', 'small');
	const what = button('what', () => acts.open('what'), small);
	const tonight = button('tonight', () => acts.open('night'), small);
	const figure = add('p', 'figure');
	const verdict = add('div', 'verdict');
	const past = add('div', 'past');
	const padding = add('div', 'pad');
	const save = button('save', acts.save);
	const more = button('more', () => acts.open('more'));

	whole.hidden = cables < 2 && !['contacts', 'seen'].includes(proof);
	more.textContent = 'More';
	verdict.setAttribute('role', 'status');
	place.replaceChildren(...[`${row.chainage ?? ''} ${words.bond_kind.get(row.kind)}`,
		...warnings(bond).map((text) => make('strong', text))]
		.flatMap((piece) => [piece, ' ']));

	function showEnds({ seen, cables_whole: said }) {
		both.setAttribute('aria-pressed', String(seen.a === 'good' && seen.b === 'good'));
		both.textContent = Boolean(seen.a) === Boolean(seen.b) ? 'BOTH ENDS GOOD'
			: 'OTHER END GOOD';
		for (const [name, piece] of Object.entries(end)) {
			const title = make('b', '');

			title.append(...names[name].map(({ text, isCommon }) =>
				make('span', text, isCommon ? 'common' : '')).flatMap((one) => [one, ' ']));
			piece.replaceChildren(title, make('span', seen[name] ? words.seen.get(seen[name])
				: 'say ▾'));
			piece.dataset.said = seen[name] ?? '';
		}
		whole.textContent = said === undefined ? `cable${cables > 1 ? 's' : ''} ▾`
			: cables > 1 ? `${said} of ${cables} whole` : Number(said) ? 'cable whole'
				: 'cable not whole';
		whole.setAttribute('aria-pressed', String(Number(said) === cables));
	}

	function showFigure({ quantity, text, isMilli, keyed, opened }) {
		const others = keyed.filter((one) => one.quantity === quantity);

		what.textContent = `${quantityWords(known, quantity, words)} ▾`;
		figure.replaceChildren(make('span', [quantityWords(known, quantity, words),
			opened && 'alone', ...others.map((one) => `${one.text} ${UNITS[Boolean(one.isMilli)]}`)]
			.filter(Boolean).join(' · ')), make('b',
			`${text.replace('-', '−') || '–'} ${UNITS[Boolean(isMilli)]}`));
	}

	function showNight(temp) {
		const degrees = temp.temp_c ? `${String(temp.temp_c).replace('-', '−')} °C` +
			`${temp.temp_carried ? ' carried' : ''}` : 'temperature?';

		tonight.textContent = `${night.instrument ?? 'no meter'} · ${degrees} ▾`;
	}

	/* None stays on the screen of a figure that is no longer there. */
	function showVerdict({ visit, all, hasRules, saved, said }) {
		const now = all.find(({ quantity }) => quantity === visit.quantity);
		const rest = all.filter((one) => one !== now).map((one) => lineOf(one));

		if (saved) {
			const undo = make('button', 'Undo', 'undo-it');

			undo.type = 'button';
			undo.addEventListener('click', acts.undo);
			verdict.replaceChildren(make('p', `${saved.words}: saved on this tablet.`), undo);
		} else if (said) {
			verdict.replaceChildren(make('p', said, 'bad'));
		} else if (now) {
			verdict.replaceChildren(...fullOf(now), ...rest);
		} else {
			verdict.replaceChildren(make('p', /\d/.test(visit.text) ? hasRules
				? 'where the probe stood decides what it proves'
				: 'no verdict on this tablet: the server judges' : lastWords(visit.quantity)),
			...rest);
		}
	}

	function signOf({ answer, isOpen, isLeft }) {
		const sign = make('p');

		verdictSign(sign, isOpen ? 'none' : answer.verdict, isOpen ? isLeft ? 'left asked'
			: 'not judged yet' : answer.verdict_title);
		return sign;
	}

	function lineOf(one) {
		const sign = signOf(one);

		sign.append(` ${quantityWords(known, one.quantity, words)} ${
			writeFigure(one.answer.value)}`);
		return sign;
	}

	function fullOf(one) {
		const { value, u95, limit, sentence } = one.answer;
		const alone = provesNothing(one.answer, proof) && !isContact(one.quantity);

		return [signOf(one), make('p', [value !== undefined && !one.isOpen &&
			`${writeFigure(value)}${u95 === undefined ? '' : ` ± ${writeFigure(u95, 2)}`} µΩ`,
		limit !== undefined && `limit ${writeFigure(limit)}`, one.isTwice && 'read twice',
		alone && 'read with what lies beside it'].filter(Boolean).join(' · '), 'value'),
		make('p', sentence, 'means')];
	}

	/* Before anything is keyed: what it was, and by what it will be judged. */
	function lastWords(quantity) {
		const last = known.last?.[quantity];

		return last ? `last ${last.open_circuit ? 'open circuit' : writeFigure(last.value)}, ` +
			`${last.day}${last.limit === undefined ? '' : ` · limit ${writeFigure(last.limit)}`}`
			: 'no earlier evidence';
	}

	return {
		el,
		fill: (piece) => padding.firstChild === piece || padding.replaceChildren(piece),
		show(state) {
			const { missing, wants, visit } = state;
			const part = wants.map((one) => WANTS[one] ?? quantityWords(known, one, words));

			showEnds(visit);
			showFigure(visit);
			showNight(state.temp);
			past.replaceChildren(readingsList(bond.readings.filter(({ quantity }) =>
				quantity === visit.quantity), 6));
			showVerdict(state);
			el.toggleAttribute('data-warned', warnings(bond).length > 0);
			save.replaceChildren(visit.corrects ? 'SAVE THE CORRECTION' : 'SAVE, NEXT BOND →',
				...missing || part.length ? [make('small', missing ||
					`done in part, without: ${part.join(', ')}`)] : []);
			save.toggleAttribute('data-ready', !missing && part.length === 0);
		},
		saving(is) { save.disabled = is; },
		choosing(title, choices) {
			const panel = make('div', '', 'choosing');

			panel.append(make('p', title), ...choices.map(([text, act, isChosen]) => {
				const piece = make('button', text);

				piece.type = 'button';
				piece.addEventListener('click', act);
				if (isChosen !== undefined)
					piece.setAttribute('aria-pressed', String(isChosen));
				return piece;
			}));
			return panel;
		}
	};
}

const warnings = ({ failures_open: open, bridges }) => [open?.length && 'OPEN FAILURE',
	bridges?.some(({ off_day: off }) => !off) && 'BRIDGE STILL ON'].filter(Boolean);
