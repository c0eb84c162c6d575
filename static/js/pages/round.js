import { get, getAll, getWords, put } from '../api.js';
import { momentWords } from '../logic/moment.js';
import { placeWords } from '../logic/place.js';
import { durationWords, farWords } from '../logic/round.js';
import { newUuid } from '../logic/uuid.js';
import { again } from '../parts/again.js';
import { formDialog } from '../parts/form-dialog.js';
import { frame } from '../parts/frame.js';
import { gradeSign } from '../parts/grade-sign.js';
import { paperSheets } from '../parts/paper-sheets.js';
import { showNotice } from '../parts/problems.js';
import { may } from '../parts/session.js';
import { make, row } from '../parts/template.js';

const $ = (selector) => document.querySelector(selector);
const uuid = location.pathname.split('/')[2];
let person, words, round, step = 'wish', id = null;

const { open } = formDialog($('#say'), ({ said }) => say({ step, said }), () => load());

async function start() {
	person = await frame();
	words = await getWords();
	$('.print').addEventListener('click', () => printSheets().catch(failed));
	$('.take').addEventListener('click', () => {
		id = newUuid();
		say({ step: 'taken' }).then(load).catch(failed);
	});
	for (const [button, what, title] of [['.wish-it', 'wish', 'A newer wish'],
		['.withdraw-it', 'withdrawn', 'Withdraw this round']]) {
		$(button).addEventListener('click', () => {
			[step, id] = [what, newUuid()];
			$('#say-title').textContent = title;
			open();
		});
	}
	await again(load, failed);
}

const failed = (problem) => showNotice($('main .notice'), problem.detail ?? problem.message,
	problem.status);

const say = (what) => put(`/api/round-steps/${id}`, { round: uuid, ...what });

async function load() {
	const [found, { rows: competences }] = await Promise.all([get(`/api/rounds/${uuid}`),
		getAll('competences', `round=${uuid}`)]);

	round = found;
	showNotice($('main .notice'), '');
	showHead();
	$('.bonds > tbody').replaceChildren(...round.bond_rows.map(bondRow));
	$('.steps-said').replaceChildren(...round.steps.map(stepItem));
	$('main .none').hidden = round.steps.length > 0;
	$('.competences > tbody').replaceChildren(...competences.map((one) => row(one.name, one.what,
		[one.expires_day ?? 'does not end',
			one.expires_day && one.expires_day < round.shift_day ? 'bad' : ''])));
	$('.competent').hidden = competences.length === 0;
}

function showHead() {
	const title = `${round.crew}, night of ${round.shift_day}`;

	$('h1').textContent = title;
	document.title = `${title} · bondbook`;
	$('.round-screen .summary').textContent =
		`${words.round_state.get(round.state)}: ${farWords(round)}`;
	$('.wish').hidden = !round.wish;
	$('.wish > span').textContent = round.wish ?? '';
	$('.on-round').hidden = $('.on-tablet').hidden = !may(person, 'inspect');
	$('.on-tablet').href = `/round/${uuid}`;
	$('.take').hidden = round.state !== 'planned';
	for (const button of ['.wish-it', '.withdraw-it'])
		$(button).hidden = !may(person, 'plan') || ['done', 'withdrawn'].includes(round.state);
	$('.round-facts').replaceChildren(...[
		['Work', words.round_work.get(round.work)],
		['Its people', round.persons ?? 'nobody is named'],
		['Shift', `${round.begins} to ${round.ends}, ${durationWords(round.shift_minutes)}`],
		['Work in it', durationWords(round.work_minutes), round.work_minutes > round.shift_minutes],
		['Failures found', round.failures], ['Wait for an answer', round.asked],
		['Temporary bridges still on', round.bridges, round.bridges > 0],
		['Why withdrawn', round.withdrawn_why], ['Note', round.note], ['Made by', round.entered_by]
	].filter(([, value]) => value !== null).flatMap(([name, value, bad]) =>
		[make('dt', name), make('dd', value, bad ? 'bad' : '')]));
}

function bondRow(bond) {
	const tr = row([bond.n, 'figure'], '', bond.line, placeWords(bond, words.rail),
		[bond.chainage, 'figure'], words.bond_kind.get(bond.kind),
		[words.round_bond_state.get(bond.stands), bond.stands], bond.why_not, '');
	const link = make('a', bond.label);

	link.href = `/bonds/${bond.bond_id}`;
	tr.cells[1].append(link);
	gradeSign(tr.cells[8].appendChild(make('span')), bond.grade, words.grade.get(bond.grade));
	return tr;
}

function stepItem(said) {
	const li = make('li');
	const time = make('time',
		momentWords(said.at ?? said.entered_at));
	const div = make('div');
	const along = [['kit', said.kit], ['meter', said.instrument], ['possession', said.possession],
		['isolation', said.isolation]].filter(([, value]) => value)
		.map(([name, value]) => `${name}: ${value}`).join('; ');

	time.dateTime = said.at ?? said.entered_at;
	div.append(make('p', words.round_step.get(said.step), 'what'));
	for (const text of [said.said, along, said.done_by && `said by ${said.done_by}`]) {
		if (text)
			div.append(make('p', text));
	}
	li.append(time, div);
	return li;
}

async function printSheets() {
	const taken = await get(`/api/rounds/${uuid}/tablet`);

	$('.paper').replaceChildren(...paperSheets(taken, words));
	await Promise.all(Array.from(document.querySelectorAll('.paper img'),
		(img) => img.decode().catch(() => {})));   // (a sheet without its codes is a sheet)
	print();
}

start().catch(failed);
