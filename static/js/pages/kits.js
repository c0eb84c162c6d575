import { get, getAll, getWords } from '../api.js';
import { dayOf } from '../logic/day.js';
import { bodyOf, describedForm } from '../logic/described-form.js';
import { notGood } from '../logic/kit.js';
import { describedFields } from '../parts/described-fields.js';
import { recordDialog } from '../parts/form-dialog.js';
import { frame } from '../parts/frame.js';
import { clearProblem, showNotice, showProblem } from '../parts/problems.js';
import { may } from '../parts/session.js';
import { fill, make, row } from '../parts/template.js';

const $ = (selector) => document.querySelector(selector);
const dialog = $('#check');
const LAST = 20;
let person, words, fields, kit;

const { open } = recordDialog(dialog,
	(values) => ({ what: 'kit-checks', label: values.kit, body: bodyOf(fields, values) }), saved,
	(field) => dialog.querySelector(`[name="${field}"]`));

async function start() {
	const [who, description, known] = await Promise.all([frame(), get('/api'), getWords()]);

	[person, words] = [who, known];
	fields = describedForm(description, '/api/kit-checks/{uuid}');
	describedFields(dialog.querySelector('.described'),
		fields.filter(({ name }) => name !== 'kit'), words);
	$('.print').addEventListener('click', () => print());
	await show();
}

async function show() {
	const [kits, checks] = await Promise.all([getAll('kits', ''), getAll('kit-checks', '')]);
	const valid = checks.rows.filter(({ replaced }) => !replaced);

	$('.summary').textContent = kits.rows.length === 1 ? '1 kit' : `${kits.rows.length} kits`;
	$('.kits > tbody').replaceChildren(...kits.rows.map((one) =>
		kitRow(one, valid.find(({ kit: of }) => of === one.code))));
	$('.none').hidden = kits.rows.length > 0;
	$('.last').hidden = valid.length === 0;
	$('.checks > tbody').replaceChildren(...valid.slice(0, LAST).map((check) =>
		row(check.checked_day, check.kit, result(check), check.done_by, check.note)));
}

function kitRow({ code, name, checked_day: passed }, last) {
	const tr = row(code, name, last ? `${last.checked_day}: ${result(last)}` : 'never checked',
		passed ?? 'never');
	const button = Object.assign(make('button', `Check ${code}`), { type: 'button' });
	const td = make('td');

	button.disabled = !person || !may(person, 'inspect');
	button.addEventListener('click', () => {
		kit = code;
		fill(dialog, { kit: code });
		open({ kit, checked_day: dayOf(new Date()) });
	});
	td.append(button);
	tr.append(td);
	return tr;
}

/** In words: passed, or what is not good. */
const result = (check) => check.passed ? 'passed'
	: `not passed: ${notGood(check, fields, words.kit_found)}`;

async function saved(uuid) {
	await show();
	const [{ rows: [check] }] = [await get(`/api/kit-checks?uuid=${uuid}`)];

	showNotice($('main > .notice'), check.passed ? `${kit} has passed: saved.`
		: `${kit} has not passed: ${notGood(check, fields, words.kit_found)}. Saved. Do not work ` +
			'with it: have it put right and check it again, or take another kit.');
}

clearProblem(document.body);
start().catch((problem) => showProblem(document.body, problem));
