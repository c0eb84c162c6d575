import { get, getWords } from '../api.js';
import { momentWords } from '../logic/moment.js';
import { durationWords, farWords } from '../logic/round.js';
import { again } from '../parts/again.js';
import { bridgesOn } from '../parts/bridges-on.js';
import { frame } from '../parts/frame.js';
import { showNotice } from '../parts/problems.js';
import { make, row } from '../parts/template.js';

const $ = (selector) => document.querySelector(selector);
const LAST = 200;            // rounds
const HEADS = Array.from(document.querySelectorAll('.rounds thead th'),
	({ textContent }) => textContent);
let words, shown = '';

async function start() {
	await frame();
	words = await getWords();
	$('.print').addEventListener('click', () => print());
	showButtons();
	await again(load, (problem) => showNotice($('main > .notice'), problem.detail, problem.status));
}

async function load() {
	const state = shown ? `&state=${shown}` : '';
	const [{ rows, next }] = await Promise.all([get(`/api/rounds?limit=${LAST}${state}`),
		bridgesOn($('.bridges-on'))]);

	$('.rounds > tbody').replaceChildren(...rows.map(roundRow));
	$('main .none').hidden = rows.length > 0;
	$('.rounds').hidden = rows.length === 0;
	$('.summary').textContent = next ? `the last ${LAST}` : rows.length === 1 ? '1 round'
		: `${rows.length} rounds`;
	showNotice($('main > .notice'), '');
}

function showButtons() {
	$('.by-state').replaceChildren(...[['', 'all'], ...words.round_state].map(([state, text]) => {
		const button = Object.assign(make('button', text), { type: 'button' });

		button.setAttribute('aria-pressed', String(state === shown));
		button.addEventListener('click', () => {
			shown = state;
			showButtons();
			$('.by-state [aria-pressed="true"]').focus();
			load().catch(({ detail, status }) => showNotice($('main > .notice'), detail, status));
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

start().catch((problem) => showNotice($('main > .notice'), problem.detail ?? problem.message,
	problem.status));
