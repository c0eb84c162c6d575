import { became, countsOf, farWords, nextOf, standing } from '../logic/shift.js';
import { kindGlyph } from '../parts/kind-glyph.js';
import { gradeSign } from '../parts/grade-sign.js';
import { make } from '../parts/template.js';
import { button, group, link, list, part } from './pieces.js';

const WHY_NOT = ['not found', 'buried', 'no access', 'line not blocked', 'not isolated', 'train',
	'gear failed', 'time is up'];

/** What became of each bond: bond_id -> as became() of logic/shift.js has it. */
export const standsOf = ({ bond_rows: rows }, entries) =>
	new Map(rows.map((row) => [row.bond_id, became(row, entries)]));

/* What can be said of a bond that is ticked, beside recording its visit. */
const ACTS = [['New attachment', 'attach'], ['It failed', 'failed'], ['Made good', 'mend'],
	['Temporary bridge', 'bridge'], ['Photo', 'photo']];

/**
 * The round in walking order, and the bond to go to first.
 *
 * @param {HTMLElement} root
 * @param {{pack: object, entries: object[], ticked: Set<number>|null, canRead: boolean}} data
 *	ticked: bonds; null: a row leads to its bond, and none is ticked
 * @param {{notReached(row: object, why: string): void, tick(to: Set<number>|null): void}} wishes
 *	(to a bond leads a link)
 */
export function mountWalk(root, { pack, entries, ticked, canRead }, { notReached, tick }) {
	const rows = pack.bond_rows;
	const stands = standsOf(pack, entries);
	const lastId = entries.filter(({ bond_id: id }) => stands.has(id)).at(-1)?.bond_id;
	const next = nextOf(rows, stands, lastId);
	const last = rows.find(({ bond_id: id }) => id === lastId);
	const { open } = countsOf(stands);

	if (ticked) {
		root.replaceChildren(tickedActs(rows, ticked, tick),
			walk(rows, stands, null, { ticked, tick }));
		return;
	}
	root.replaceChildren(
		next ? nextBond(next, last, notReached) : make('p', 'Every bond of the round has its word.',
			'notice'),
		group(button('Tick bonds: other acts', () => tick(new Set())),
			link('A bond not in the book', '#found'),
			...canRead ? [link('Read a code', '#code')] : []),
		foundHere(entries),
		walk(rows, stands, next),
		group(link('Depot', '#depot'), link(open ? `Hand over, ${open} open` : 'Hand over',
			'#handover')));
}

function nextBond(row, last, notReached) {
	const el = make('section', '', 'next');
	const name = make('h2', '', 'name');
	const why = make('p', '');

	name.append(make('span', row.label), make('span', farWords(last, row), 'far'));
	el.setAttribute('aria-label', `Next: ${row.label}`);
	why.append(make('strong', 'Not reached, because'), make('span', ' one tap, then the next bond',
		'quiet'));
	el.append(name, place(row), warnings(row), link(`RECORD ${row.label}`, `#record=${row.bond_id}`,
		'button main save'),
		group(...ACTS.map(([words, view]) => link(words, `#${view}=${row.bond_id}`))),
		why, group(...WHY_NOT.map((words) => button(words, () => notReached(row, words)))));
	return el;
}

/** What this tablet recorded of bonds that are not in the book. */
function foundHere(entries) {
	const found = standing(entries).filter(({ what }) => what === 'found-bonds');

	return found.length ? part(`Not in the book: ${found.length}`,
		list(found.map(({ state, body }) => `${body.place}: ${body.joins}, ${state}`))) : '';
}

const place = ({ chainage, line, track, rail }) =>
	make('p', [chainage, line, track, rail && `${rail} rail`].filter(Boolean).join(' · '));

function warnings({ failures_open: open, grade }) {
	const el = make('p');

	gradeSign(el, open ? 'act' : grade, open ? `${open} open failure${open === 1 ? '' : 's'}`
		: grade);
	return el;
}

/* What is done to the ticked bonds stands above them, and says to how many. */
function tickedActs(rows, ticked, tick) {
	const chosen = rows.filter(({ bond_id: id }) => ticked.has(id));
	const el = make('section', '', 'next ticked');
	const ids = chosen.map(({ bond_id: id }) => id).join();

	el.append(make('h2', chosen.length === 0 ? 'Tick the bonds below' : chosen.length === 1
		? `1 bond: ${chosen[0].label}` : `${chosen.length} bonds`),
	group(...chosen.length === 1 ? ACTS.map(([words, view]) => link(words, `#${view}=${ids}`)) : [],
		...chosen.length > 1 ? [link('One failure of all', `#failed=${ids}`)] : [],
		button('No ticks', () => tick(null))));
	return el;
}

function walk(rows, stands, next, ticking) {
	const el = make('ol', '', 'walk');

	el.append(...rows.map((row, i) => walkRow(row, rows[i - 1], stands.get(row.bond_id),
		row === next, ticking)));
	return el;
}

/* A row to be tipped: it stays where it is, and its ticks are those of the view. */
function tickBox(row, { ticked, tick }) {
	const el = Object.assign(make('button', '', 'tick'), { type: 'button' });

	el.setAttribute('aria-pressed', String(ticked.has(row.bond_id)));
	el.addEventListener('click', () => {
		const to = new Set(ticked);

		if (!to.delete(row.bond_id))
			to.add(row.bond_id);
		tick(to);
	});
	return el;
}

function walkRow(row, before, { stands, words }, isNext, ticking) {
	const li = make('li');
	const to = ticking ? tickBox(row, ticking) : link('', `#record=${row.bond_id}`, '');
	const text = make('span', '', 'grow');
	const name = make('span');

	li.dataset.stands = stands;
	li.dataset.bond = row.bond_id;
	if (isNext)
		li.setAttribute('aria-current', 'step');
	name.append(make('strong', row.label), ` ${row.chainage ?? ''} `);
	text.append(name, make('br'), words ? make('span', words, 'became')
		: row.failures_open ? warnings(row) : make('span', [row.track,
			row.rail].filter(Boolean).join(', '), 'quiet'));
	to.append(kindGlyph(row.kind), text, make('span', farWords(before, row), 'far'));
	li.append(to);
	return li;
}
