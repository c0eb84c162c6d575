import { history } from '../logic/history.js';
import { writeFigure } from '../logic/number.js';
import { kindWords } from '../logic/queue.js';
import { markWords, railMarks } from '../logic/rail.js';
import { standing } from '../logic/shift.js';
import { canCorrect, canWithdraw, entryWords, withdrawalsOf } from '../logic/visit-again.js';
import { wordsOfBond } from '../logic/ends.js';
import { verdictSign } from '../parts/grade-sign.js';
import { make } from '../parts/template.js';
import { button, field, group, link, list, part } from './pieces.js';

const WHY = ['keyed wrong', 'it was not done', 'twice on record'];

/**
 * What was recorded of a bond: in this round by this tablet, where it is corrected, moved to
 * another bond or withdrawn, and before, as far as the package has it.
 *
 * @param {HTMLElement} root
 * @param {{pack: object, bond: object, entries: object[], words: object}} data
 *	entries: of the round, all of them
 * @param {{withdraw(all: object[]): void, leave(): void}} wishes  withdraw: entries that take one
 *	back
 */
export function mountPast(root, { pack, bond, entries, words }, wishes) {
	const { row } = bond;
	const mine = standing(entries).filter(({ bond_id: id, what }) => id === bond.bond_id &&
		(canWithdraw({ what }) || what === 'withdrawals'));

	root.replaceChildren(part(`${row.label}: recorded tonight`, ...mine.length
		? mine.map((entry) => entryPart(entry, { pack, entries, words }, wishes))
		: [make('p', 'Nothing, on this tablet.')]),
	part('Readings', readingsList(bond.readings)),
	part('Spots on its rails', ...bond.rail.ends.map((end) => spots(end, bond.bond_id, words))),
	part('Before', list(history({ ...bond, deferrals: [] }, wordsOfBond({ ...bond.known,
		quantity_words: {} }, words)).map((one) => [one.day, one.what, one.words, one.more]
		.filter(Boolean).join(' · ')))),
	group(link(`Record ${row.label}`, `#record=${bond.bond_id}`), button('Back to the walk',
		wishes.leave)));
}

const STATES = { saved: 'saved, not sent', refused: 'refused: mend it', received: 'received' };

function entryPart(entry, { pack, entries, words }, { withdraw }) {
	const el = make('section', '', 'recorded');
	const acts = group();
	const { uuid, what, state, problem } = entry;

	el.append(make('p', [`${kindWords(what)}: ${entryWords(entry, words) ||
		entry.body.reason || ''}`, STATES[state], state === 'refused' && problem?.detail]
		.filter(Boolean).join(' · ')), acts);
	if (what === 'inspections' && canCorrect(entry.body))
		acts.append(link('Correct it', `#correct=${uuid}`), button('It was another bond', () =>
			acts.replaceChildren(...pack.bond_rows.filter(({ bond_id: id }) => id !== entry.bond_id)
				.map(({ label, bond_id: id }) => link(label, `#move=${uuid},${id}`)))));
	if (canWithdraw(entry))
		acts.append(button('Withdraw it', () => acts.replaceChildren(...whyPieces((why) =>
			withdraw(withdrawalsOf(entry, entries, why))))));
	return el;
}

/* A reason is said before it is taken back. */
function whyPieces(said) {
	let own = '';

	return [make('p', 'Why is it withdrawn?'), ...WHY.map((why) => button(why, () => said(why))),
		field('Another reason', '', (value) => { own = value; }),
		button('Withdraw for this reason', () => own.trim() && said(own.trim()))];
}

/* Newest first; what was replaced or withdrawn stands in the history alone. */
export function readingsList(readings, most = 20) {
	const el = make('ul', '', 'readings');

	el.append(...readings.slice(0, most).map((one) => {
		const li = make('li', '');
		const sign = make('span');

		verdictSign(sign, one.verdict, '');
		sign.querySelector('svg').setAttribute('aria-label', one.verdict);
		li.append(make('span', one.day), ' ', make('span', one.quantity_words), ' ',
			make('b', one.value === null ? 'no value' : writeFigure(one.value)), ' ', sign);
		return li;
	}));
	if (readings.length === 0)
		el.append(make('li', 'None in the last three years.'));
	return el;
}

function spots(end, bondId, words) {
	const el = make('div');
	const marks = railMarks(end, bondId);

	el.append(make('h3', end.words), list([...marks.map((mark) => markWords(mark, words)),
		...end.unknowns.map(({ sentence }) => sentence)]));
	return el;
}
