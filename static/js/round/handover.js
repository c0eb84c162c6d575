import { bridgesOn, countsOf, openAtTheEnd } from '../logic/shift.js';
import { make } from '../parts/template.js';
import { button, field, group, link, list, part } from './pieces.js';
import { standsOf } from './walk.js';

/**
 * The end of the shift: what was done and what not, what is received, bridges still on.
 *
 * @param {HTMLElement} root
 * @param {{pack: object, entries: object[]}} data
 * @param {{bridgeOff(bridge: object): void, done(said: string): void}} wishes
 */
export function mountHandover(root, { pack, entries }, { bridgeOff, done }) {
	const stands = standsOf(pack, entries);
	const counts = countsOf(stands);
	const bridges = bridgesOn(pack, entries);
	const rows = (how) => pack.bond_rows.filter(({ bond_id: id }) => how(stands.get(id)))
		.map(({ label, bond_id: id }) => `${label}: ${stands.get(id).words || 'nothing recorded'}`);
	const act = pack.bond_rows.filter((row) => row.failures_open > 0 || row.grade === 'act' ||
		stands.get(row.bond_id).failures > 0 || isOver(row, entries));

	root.replaceChildren(...bridges.map((one) => bridgeOn(one, bridgeOff)),
		part(`${counts.done} of ${pack.round.bonds} done`, make('p', [`${counts.partly} in part`,
			`${counts.not_reached} not reached`, `${counts.open} open`].join(', '))),
		part(`Act: ${act.length}`, act.length && list(act.map(({ label, bond_id: id,
			failures_open: open }) =>
			`${label}: ${stands.get(id).words || (open ? 'failure not made good' : 'act')}`))),
		part('Not reached: the planner gets them back', list(rows(({ stands: how }) =>
			how === 'not_reached'))),
		recorded(entries), end(openAtTheEnd(counts, bridges.length), entries, done),
			group(link('Walk', '#walk')));
}

const isOver = ({ bond_id: id }, entries) => entries.some(({ bond_id: of, verdict }) => of === id &&
	verdict === 'over');

function bridgeOn(bridge, off) {
	const el = make('section', '', 'bridge');

	el.append(make('p', 'TEMPORARY BRIDGE STILL ON', 'big'),
		make('p', `${bridge.label}: ${bridge.place}, since ${bridge.day}`),
		button('It is off, now', () => off(bridge)));
	return el;
}

function recorded(entries) {
	const count = (state) => entries.filter((one) => one.state === state).length;
	const kept = ['saved', 'received', 'refused'].map((state) =>
		link(`${count(state)} ${state}`, `/queue#${state}`));

	return part(`What was recorded here: ${entries.length}`, group(...kept));
}

function end(open, entries, done) {
	const said = entries.find(({ what, body }) => what === 'round-steps' && body.step === 'done');
	let why = '';

	if (said)
		return part('Handed over', make('p', said.state === 'received' ? 'The server has it.' :
			'Saved on this tablet; it is sent when the server answers.'));
	const go = button('', () => (open.length === 0 || why.trim()) && done(why.trim()), 'save');
	const show = () => {
		const may = open.length === 0 || why.trim() !== '';

		go.textContent = may ? 'HAND OVER' : 'HAND OVER: say to whom, or why';
		go.className = may ? 'save main' : 'save lacks';
	};
	show();
	return part('Before leaving', open.length > 0 && list(open), open.length > 0 &&
		field('To whom, or why it stays open', why, (value) => {
			why = value;
			show();
		}), go);
}
