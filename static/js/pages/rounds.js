import { get, getWords } from '../api.js';
import { momentWords } from '../logic/moment.js';
import { durationWords, farWords } from '../logic/round.js';
import { again } from '../parts/again.js';
import { bridgesOn } from '../parts/bridges-on.js';
import { foundBonds, foundDialog } from '../parts/found-bonds.js';
import { frame } from '../parts/frame.js';
import { showNotice } from '../parts/problems.js';
import { may } from '../parts/session.js';
import { make, row } from '../parts/template.js';

const $ = (selector) => document.querySelector(selector);
const LAST = 200;            // rounds
const HEADS = Array.from(document.querySelectorAll('.rounds thead th'),
	({ textContent }) => textContent);
let words, answer, shown = '';

async function start() {
	const person = await frame();

	words = await getWords();
	answer = may(person, 'plan') ? foundDialog($('#found-answer'), answered, words) : undefined;
	$('.print').addEventListener('click', () => print());
	showButtons();
	await again(load, failed);
}

async function load() {
	const state = shown ? `&state=${shown}` : '';
	const [{ rows, next }] = await Promise.all([get(`/api/rounds?limit=${LAST}${state}`),
		bridgesOn($('.bridges-on')), foundBonds($('.found-open'), { words, answer: answer &&
			((found) => answer(found).catch(failed)) })]);

	$('.rounds > tbody').replaceChildren(...rows.map(roundRow));
	$('main .none').hidden = rows.length > 0;
	$('.rounds').hidden = rows.length === 0;
	$('.summary').textContent = next ? `the last ${LAST}` : rows.length === 1 ? '1 round'
		: `${rows.length} rounds`;
	showNotice($('main > .notice'), '');
}

const failed = ({ detail, message, status }) => showNotice($('main > .notice'),
	detail ?? message, status);

function answered({ place }) {
	load().then(() => showNotice($('main > .notice'), `Said which bond it is: ${place}.`), failed);
}

function showButtons() {
	$('.by-state').replaceChildren(...[['', 'all'], ...words.round_state].map(([state, text]) => {
		const button = Object.assign(make('button', text), { type: 'button' });

		button.setAttribute('aria-pressed', String(state === shown));
		button.addEventListener('click', () => {
			shown = state;
			showButtons();
			$('.by-state [aria-pressed="true"]').focus();
			load().catch(failed);
		});
		return button;
	}));
}

/** An instant on this device's clock. */

function roundRow(round) {
	const tr = row('', round.persons ? `${round.crew}: ${round.persons}` : round.crew,
		[words.round_state.get(round.state), round.state], words.round_work.get(round.work),
		farWords(round),
		[`${durationWords(round.work_minutes)} of ${durationWords(round.shift_minutes)}`,
			round.work_minutes > round.shift_minutes ? 'bad' : ''],
		[round.failures || '', 'figure'], [round.asked || '', 'figure'],
		[round.bridges || '', round.bridges ? 'figure bad' : 'figure'],
		round.came_at ? momentWords(round.came_at) : '', round.withdrawn_why ?? round.wish ?? '');
	const link = make('a', `${round.shift_day} ${round.begins}`);

	link.href = `/rounds/${round.uuid}`;
	tr.cells[0].append(link);
	for (const [n, cell] of Array.from(tr.cells).entries())
		cell.dataset.head = HEADS[n];
	return tr;
}

start().catch(failed);
