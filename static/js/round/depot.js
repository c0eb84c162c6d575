import { bridgesOn, bytesWords, competences, lacking, meterState } from '../logic/shift.js';
import { make } from '../parts/template.js';
import { button, choice, field, group, list, part, sign } from './pieces.js';

const FOUND = [undefined, 'good', 'not_good', 'missing'];
const UNSAID = 'not looked at';

/**
 * Before the shift: what is on this tablet, kit, meter, who may do what, possession and isolation.
 *
 * @param {HTMLElement} root
 * @param {{kept: import('../logic/packs.js').Kept, night: object, entries: object[]}} data
 * @param {{change(to: object): void, start(why: string): void, renew(): void}} wishes
 *	change: of the night, members to be set; start: why it begins all the same, "" when all is well
 */
export function mountDepot(root, data, wishes) {
	const { kept: { pack }, night, entries } = data;
	const on = bridgesOn(pack, entries);
	const foot = make('div', '', 'part');

	root.replaceChildren(onTablet(data, wishes), meters(pack, night, wishes), kit(data, wishes),
		part('Who may do what', ...competences(pack).map(({ grade, words }) => sign(grade, words))),
		confirmed(night, (to) => {
			Object.assign(night, to);
			wishes.change(to, true);
			showFoot(foot, data, wishes);
		}),
		part(`Temporary bridges on: ${on.length}`, on.length && list(on.map(({ label, place,
			day }) =>
			`${label}: ${place}, since ${day}`))), foot);
	showFoot(foot, data, wishes);
}

function onTablet({ kept: { pack, bytes } }, { renew }) {
	const { bonds, shift_day: day, begins, ends, persons, work, note } = pack.round;

	return part('Tonight\'s round', make('p',
		`${bonds} bonds to ${work} · ${day}, ${begins} to ${ends}`),
		make('p', persons), note && make('p', note),
		sign('sound',
			`On this tablet: ${pack.bonds.length}/${bonds} · ${bytesWords(bytes)} · ready`),
		make('p', `As of ${new Date(pack.made_at).toLocaleString('sv').slice(0, 16)}`, 'quiet'),
		button('Fetch it again', renew));
}

function meters({ instruments, round }, night, { change }) {
	const chosen = instruments.find(({ serial }) => serial === night.instrument);
	const state = chosen && meterState(chosen, round.shift_day);

	return part('Meter', group(...instruments.map(({ serial }) =>
		choice(serial, serial === night.instrument, () => change({ instrument: serial })))),
	state ? sign(state.grade, state.words) : make('p', 'None chosen.'));
}

function kit({ kept: { pack, parts, words }, night }, { change }) {
	const { found = {} } = night;
	const said = new Map((words.kit_found ?? []).map(({ code, title }) => [code, title]));
	const one = pack.kits.find(({ code }) => code === night.kit);
	const due = one?.service_due_day;

	return part('Kit, looked at by hand', group(...pack.kits.map(({ code }) =>
		choice(code, code === night.kit, () => change({ kit: code, found: {} })))),
	one && sign(!due ? 'unknown' : due < pack.round.shift_day ? 'act' : 'sound',
		!due ? 'Service not known' : `Serviced, next due ${due}`),
	one && make('p', 'One tap: good. Again: not good, missing.', 'quiet'),
	one && group(...parts.map(({ name, title }) =>
		choice(`${title}: ${said.get(found[name]) ?? UNSAID}`, found[name] === 'good', () =>
			change({
			found: { ...found, [name]: FOUND[(FOUND.indexOf(found[name]) +
				1) % FOUND.length] } })))));
}

const confirmed = (night, changed) => part('Confirmed, by whom and when',
	field('Possession', night.possession, (possession) => changed({ possession })),
	field('Isolation', night.isolation, (isolation) => changed({ isolation })));

function showFoot(foot, { kept: { pack, parts }, night }, { start }) {
	const lacks = lacking(pack, night, parts);
	let why = night.why ?? '';
	const go = button('', () => (lacks.length === 0 || why.trim()) && start(lacks.length ?
		why.trim() : ''), 'save');
	const show = () => {
		const may = lacks.length === 0 || why.trim() !== '';

		go.textContent = lacks.length === 0 ? 'START' : may ? 'START WITH THIS REASON'
			: 'START: say why first';
		go.className = may ? 'save main' : 'save lacks';
	};

	foot.replaceChildren(...lacks.length ? [make('h2', 'Still open'), list(lacks),
		field('Why it begins all the same (the planner sees it)', why, (value) => {
			why = night.why = value;
			show();
		})] : [make('p', 'All is well.')], go);
	show();
}
