import { make, row, stamp } from './template.js';

const SO = { telling: 'more than chance', chance: 'may be chance' };

/**
 * A repeat place in words, the numbers folded away behind them.
 *
 * @param {object} explained  as /api/repeat-places/{id} has it
 * @returns {HTMLElement}
 */
export function repeatExplained(explained) {
	const { laplace, mean_days_between: mean, chance, common, reattached } = explained;
	const el = stamp('explained',
		{ trend: laplace.words, mean: mean.words, chance: chance.words });

	tell(el.querySelector('.common'),
		common.filter(({ meaning }) => meaning === 'telling').map(({ title, what, words }) =>
		[make('strong', `${title}: ${what}. `), words]));
	tell(el.querySelector('.near'), reattached.map((spot) => {
		const link = make('a', spot.label);
		link.href = `/bonds/${spot.bond_id}`;
		return [link, `, ${spot.end_short}. `, spot.words];
	}));
	el.querySelector('.measures').textContent = measures(explained);
	el.querySelector('.shares > tbody')
		.replaceChildren(...common.map((share) => row(share.title, share.what,
		[share.here, 'figure'], [share.of_here, 'figure'], [share.line, 'figure'],
		[share.of_line, 'figure'],
		[pWords(share.p), 'figure'], [pWords(share.q), 'figure'], SO[share.meaning])));
	el.querySelector('details > .scroll').hidden = common.length === 0;
	return el;
}

function tell(part, lines) {
	part.hidden = lines.length === 0;
	part.querySelector('ul').replaceChildren(...lines.map((pieces) => {
		const li = make('li');
		li.append(...pieces);
		return li;
	}));
}

function measures({ laplace, mean_days_between: mean, chance, asked }) {
	return [
		chance.p != null && `Chance of such a place: ${pWords(chance.p_rail)} on this rail`
			+ (chance.bound ? ' at most' : ` (simulated, ± ${pWords(chance.standard_error)})`)
			+ `, ${pWords(chance.p)} among ${chance.rails} rails.`,
		laplace.u != null && `Trend: Laplace's U ${laplace.u.toFixed(2).replace('-', '\u2212')}, ` +
			`p ${pWords(laplace.p)} (two sides, given what picked the place), ${laplace.events} `
			+ `events in ${days(laplace.days)} days of record.`,
		mean.mean != null && `Mean between two: ${days(mean.mean)} days, ${days(mean.lower)} to ` +
			`${days(mean.upper)} (95 %, chi-square).`,
		asked > 0 && `Asked about in common: ${asked} methods, kits, batches and people.`
	].filter(Boolean).join(' ');
}

const days = (number) => Math.round(number).toLocaleString('en');

function pWords(p) {
	return p == null ? '' : p >= 0.001 ? p.toFixed(3) : p >= 1e-6 ? p.toFixed(6) : 'under 0.000001';
}
