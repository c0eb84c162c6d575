import { del, get, getAll, getWords, post, put } from '../api.js';
import { minuteWords } from '../logic/account.js';
import { formDialog } from '../parts/form-dialog.js';
import { frame } from '../parts/frame.js';
import { clearProblem, showNotice, showProblem } from '../parts/problems.js';
import { may } from '../parts/session.js';
import { fillSelect, make, row } from '../parts/template.js';

const $ = (selector) => document.querySelector(selector);
const REQUIRED = '/api/register/second-factor';
let me, words;

const editing = formDialog($('#person'), ({ id, version, name, login, role, active }) => {
	const body = { name, login, role, active: active === 'yes' };
	return id ? put(`/api/people/${id}`, body, { headers:
		{ 'content-type': 'application/json', 'if-match': `"${version}"` } })
		: post('/api/people', body);
}, show);
const making = formDialog($('#token'), (values) => post('/api/tokens', values), ({ token }) => {
	showOnce('The token', 'The machine sends it with each request: "Authorization: Bearer", a ' +
		'blank, and this. Whoever has it may what it may.', token);
	show().catch(tell);
});

async function start() {
	[me, words] = await Promise.all([frame(), getWords()]);
	if (me && !may(me, 'administer')) {
		showNotice($('main > .notice'), 'Only an administrator sees this page.');
		for (const sheet of document.querySelectorAll('.sheet, .page-head .add'))
			sheet.hidden = true;
		return;
	}
	fillSelect($('#person-role'), words.role);
	fillSelect($('#token-scope'), words.token_scope);
	$('.add').addEventListener('click', () => edit({ active: true }));
	$('.make').addEventListener('click', () => making.open());
	$('#once .main').addEventListener('click', () => $('#once').close());
	$('.required').addEventListener('submit', require);
	await show();
}

async function show() {
	const [people, tokens, required] = await Promise.all([getAll('people', ''),
		getAll('tokens', ''), get(REQUIRED)]);
	const active = people.rows.filter((one) => one.active).length;

	$('.summary').textContent = `${active} may sign in, ${people.rows.length} in all`;
	$('.people > tbody').replaceChildren(...people.rows.map(personRow));
	$('.tokens > tbody').replaceChildren(...tokens.rows.map(tokenRow));
	$('.no-token').hidden = tokens.rows.length > 0;
	$('.required .choices').replaceChildren(...Object.entries(required).map(requiredChoice));
}

function act(text, label, work) {
	const button = Object.assign(make('button', text), { type: 'button' });

	button.setAttribute('aria-label', label);
	button.addEventListener('click', async () => {
		button.disabled = true;
		await work().catch(tell);
		button.disabled = false;
	});
	return button;
}

function personRow(one) {
	const { id, name, login, role, active, has_password, has_second_factor } = one;
	const tr = row(name, login, words.role.get(role) ?? role, active ? 'yes' : 'no',
		has_password ? 'chosen' : 'none yet', has_second_factor ? 'set' : 'none');
	const td = make('td');

	td.append(act('Change', `Change ${name}`, () => change(id)));
	if (id !== me?.id) {
		td.append(' ', act('Code', `Code for a new password of ${name}`, () => reset(id, name)),
			' ', act('Sign out', `Sign out ${name} everywhere`, () => signOut(id, name)));
		if (has_second_factor)
			td.append(' ', act('Take factor away', `Take factor away from ${name}`,
				() => del(`/api/people/${id}/second-factor`).then(show)));
	}
	tr.append(td);
	return tr;
}

const edit = ({ id = '', version = '', name = '', login = '', role, active }) => {
	$('#person-title').textContent = id ? name : 'A new person';
	editing.open({ id, version, name, login, role: role ?? 'viewer',
		active: active ? 'yes' : 'no' });
	$('#person-login').readOnly = Boolean(id);
};

const change = async (id) => edit(await get(`/api/people/${id}`));

async function reset(id, name) {
	const { code, ends_at } = await post(`/api/people/${id}/reset`, {});

	showOnce(`A code for ${name}`, `Hand it to ${name} and to nobody else. With it they choose a ` +
		`new password at /new-password, until ${minuteWords(ends_at)} UTC. A second factor is ` +
		'asked of them all the same. It is on record that you made it.', code);
}

async function signOut(id, name) {
	await del(`/api/people/${id}/sessions`);
	showNotice($('main > .notice'), `${name} is signed out everywhere.`);
	$('main > .notice').dataset.kind = '';
}

function tokenRow({ id, name, scope, ends_day, made_by, good, ended_at, ended_by }) {
	const tr = row(name, words.token_scope.get(scope) ?? scope, ends_day, made_by, good ? 'good'
		: ended_at ? `ended ${minuteWords(ended_at)} by ${ended_by}` : 'over');
	const td = make('td');

	if (good)
		td.append(act('End it', `End the token of ${name}`,
			() => del(`/api/tokens/${id}`).then(show)));
	tr.append(td);
	return tr;
}

function requiredChoice([role, on]) {
	const label = make('label', '', 'choice');
	const input = Object.assign(make('input'), { type: 'checkbox', name: role, checked: on });

	label.append(input, make('span', words.role.get(role) ?? role));
	return label;
}

async function require(e) {
	const form = e.currentTarget;

	e.preventDefault();
	clearProblem(form);
	try {
		await put(REQUIRED, Object.fromEntries(Array.from(form.querySelectorAll('input'),
			({ name, checked }) => [name, checked])));
		showNotice(form.querySelector('.notice'), 'Saved.');
		form.querySelector('.notice').dataset.kind = '';
	} catch (problem) {
		showProblem(form, problem);
	}
}

function showOnce(title, why, secret) {
	$('#once-title').textContent = title;
	$('#once .why').textContent = why;
	$('#once .secret').textContent = secret;
	$('#once').showModal();
}

const tell = ({ detail, message, status }) =>
	showNotice($('main > .notice'), detail ?? message, status);

clearProblem(document.body);
start().catch((problem) => showProblem(document.body, problem));
