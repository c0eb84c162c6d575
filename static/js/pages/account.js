import { del, get, post, put } from '../api.js';
import { deviceWords, minuteWords } from '../logic/account.js';
import { formDialog } from '../parts/form-dialog.js';
import { frame } from '../parts/frame.js';
import { clearProblem, showNotice, showProblem } from '../parts/problems.js';
import { may } from '../parts/session.js';
import { make, row } from '../parts/template.js';

const $ = (selector) => document.querySelector(selector);
const FACTOR = '/api/session/second-factor';
let person;

const setting = formDialog($('#set-factor'), ({ password, code }) =>
	put(FACTOR, { password, code }), showCodes);
const dropping = formDialog($('#drop-factor'), ({ code }) =>
	del(FACTOR, { body: JSON.stringify({ code }),
		headers: { 'content-type': 'application/json' } }), show);

async function start() {
	person = await frame();
	$('.factor .begin').addEventListener('click', begin);
	$('.factor .drop').addEventListener('click', () => dropping.open());
	$('#codes .main').addEventListener('click', () => {
		$('#codes').close();
		if (person.lacks_second_factor)
			location.assign('/');
	});
	$('.people').hidden = !may(person, 'administer');
	await show();
}

async function show() {
	const [factor, { rows }] = await Promise.all([get(FACTOR), get('/api/sessions')]);

	$('.summary').textContent = person ? `${person.name} (${person.login})` : '';
	$('.factor .said').textContent = factorWords(factor);
	$('.factor .begin').hidden = factor.set;
	$('.factor .drop').hidden = !factor.set;
	$('.sessions > tbody').replaceChildren(...rows.map(sessionRow));
}

function factorWords({ set, recovery_codes_left: left }) {
	if (set)
		return `Set. ${left} recovery ${left === 1 ? 'code is' : 'codes are'} left.`;
	return person?.lacks_second_factor
		? 'Your railway requires one of everybody in your role: set it to go on.'
		: 'Not set. With one, a password that somebody saw is not enough to come in as you.';
}

function sessionRow({ id, agent, began_at, seen_at, ends_at, here }) {
	const tr = row(deviceWords(agent) + (here ? ', here' : ''), minuteWords(began_at),
		minuteWords(seen_at), minuteWords(ends_at));
	const td = make('td');

	if (!here) {
		const button = Object.assign(make('button', 'End it'), { type: 'button' });

		button.setAttribute('aria-label',
			`End the session on ${deviceWords(agent)} of ${minuteWords(began_at)}`);
		button.addEventListener('click', () => del(`/api/sessions/${id}`).then(show, tell));
		td.append(button);
	}
	tr.append(td);
	return tr;
}

async function begin() {
	try {
		const { key, link } = await post(FACTOR, {});
		$('#set-factor .key').textContent = key;
		$('#set-factor .link').href = link;
		setting.open({ username: person?.login });
	} catch (problem) {
		tell(problem);
	}
}

function showCodes({ recovery_codes: codes }) {
	$('#codes ul').replaceChildren(...codes.map((code) => make('li', code)));
	$('#codes').showModal();
	show().catch(tell);
}

const tell = ({ detail, message, status }) =>
	showNotice($('main > .notice'), detail ?? message, status);

clearProblem(document.body);
start().catch((problem) => showProblem(document.body, problem));
