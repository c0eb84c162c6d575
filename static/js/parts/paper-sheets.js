import { placeWords } from '../logic/place.js';
import { lastWords, loadWords, sheetsOf } from '../logic/round.js';
import { make } from './template.js';

const CAUTION = 'Rails carry return current. A loose or broken bond can be live: hands off the ' +
	'open end, never across the gap, tell the person in charge. Cut, lift or part nothing ' +
	'without isolation or a bridge; a bridge is first on and last off, and counted. On a ' +
	'track-circuited rail no bridge and no test current without the signalling engineer. Arc: ' +
	'eyes shaded, others away. Local rules and licensed people decide.';

/**
 * The sheets of a round for a shift without a tablet: the boxes in the order of the recording page.
 *
 * @param {object} taken  GET /api/rounds/{id}/tablet
 * @param {Record<string, Map<string, string>>} words
 * @returns {HTMLElement[]}
 */
export function paperSheets(taken, words) {
	const facts = new Map(taken.bonds.map((bond) => [bond.bond_id, bond]));
	const sheets = sheetsOf(taken.bond_rows);

	return sheets.map((bonds, n) => {
		const page = make('article', '', 'page');
		const list = make('ol');

		list.append(...bonds.map((bond) => bondItem(bond, facts.get(bond.bond_id), words)));
		page.append(head(taken, bonds, n, sheets.length), make('p', CAUTION, 'caution'), night(),
			...n === 0 ? notes(taken, words) : [], list);
		return page;
	});
}

function head({ round, made_at: made }, bonds, n, of) {
	const el = make('header', '', 'head');
	const title = make('div');

	title.append(make('h2', `${round.crew}, night of ${round.shift_day}`),
		make('p', `${round.begins} to ${round.ends} · bonds ${bonds[0].n} to ` +
			`${bonds.at(-1).n} of ${round.bonds}, in walking order`));
	el.append(title, make('p', `sheet ${n + 1} of ${of} · bondbook, as of ` +
		`${made.slice(0, 16).replace('T', ' ')} UTC`));
	return el;
}

function night() {
	const el = make('div', '', 'night');

	el.append(...['meter, leads', 'wrote, made', 'bridges on / off', 'possession: by whom, at',
		'isolation: by whom, at'].map((text) => make('div', text)));
	return el;
}

/** What the crew must know beside the bonds, and what it loads. */
function notes({ round, bridges, bonds, bond_rows: rows }, words) {
	return [
		round.wish && `The planner's newer wish: ${round.wish}`,
		round.note && `Note: ${round.note}`,
		bridges.length && `Temporary bridges still on: ${bridges.map((one) =>
			`${one.label} (${one.line} ${one.chainage ?? ''}, ${one.place}, ` +
			`${one.age_days} days)`).join('; ')}`,
		round.work === 'mend' && loadWords(rows, bonds, words)
	].filter(Boolean).map((text) => make('p', text, 'load'));
}

/* (a tablet that is bought or charged later goes on from the paper) */
const code = (id) => Object.assign(make('img'), { src: `/api/bonds/${id}/code`, alt: '' });

function bondItem(bond, facts, words) {
	const li = make('li');
	const what = make('div');
	const open = facts.failures_open.map(({ mode }) => words.failure_mode.get(mode)).join(', ');

	what.append(make('p', bond.label, 'bond'),
		make('p', `${bond.line} ${bond.chainage ?? ''} ${placeWords(bond, words.rail)}`),
		make('p', words.bond_kind.get(bond.kind)));
	if (open)
		what.append(make('strong', `open: ${open}`));
	const last = make('div', '', 'last');
	last.append(...lastWords(facts.known.last).map(({ limit, value }) => {
		const p = make('p');
		p.append('limit ', make('strong', limit), make('br'), value);
		return p;
	}));
	if (!last.firstChild)
		last.append(make('p', 'no evidence yet'));
	li.append(make('b', bond.n), code(bond.bond_id), what, last,
		...[`${bond.end_a_words} ☐ good`, `${bond.end_b_words} ☐ good`, 'reading ☐ µΩ ☐ mΩ',
			'turned', '°C'].map((text) => make('div', text, 'box')));
	return li;
}
