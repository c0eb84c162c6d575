import { get, getAll, getWords } from '../api.js';
import { readingOf } from '../logic/address.js';
import { dayOf } from '../logic/day.js';
import { withBounds } from '../logic/judgement.js';
import { writeFigure } from '../logic/number.js';
import { versionWords } from '../logic/rulebook.js';
import { frame } from '../parts/frame.js';
import { verdictSign } from '../parts/grade-sign.js';
import { printHead } from '../parts/print-head.js';
import { showNotice } from '../parts/problems.js';
import { make, row } from '../parts/template.js';

const $ = (selector) => document.querySelector(selector);
const setHead = printHead();
const today = dayOf(new Date());
let words;

async function start() {
	const { inspection, number } = readingOf(location.pathname);
	const [, known, working, { rows }] = await Promise.all([frame(), getWords(),
		get(`/api/inspections/${inspection}/readings/${number - 1}/working`),
			getAll('readings', `inspection=${inspection}`)]);
	const reading = rows.find(({ n }) => n === number - 1);
	const bond = await get(`/api/bonds/${reading.bond_id}`);

	words = known;
	showHead(bond, reading, working);
	showSteps(working);
	showFormer(working, unitOf(reading));
	$('.sheets').hidden = false;
}

const unitOf = ({ quantity }) => quantity === 'rail_drop' ? 'm' : 'µΩ';

function showHead(bond, reading, working) {
	const what = `${bond.label}, ${working.quantity_words}, ${reading.day}`;
	const unit = { rail_drop: 'm of rail that the joint adds',
		end_to_end: 'µΩ at 20 °C' }[reading.quantity] ?? 'µΩ';

	$('.summary').textContent = `${what} · ${bond.line.name}, ${bond.chainage}`;
	document.title = `Working: ${what} · ${words.verdict.get(working.verdict)}`;
	setHead(`Working: ${what}. ${bond.line.name}, ${bond.chainage}. Printed ${today}.`);
	$('.back').href = `/bonds/${bond.id}`;
	verdictSign($('.verdict'), working.verdict, capital(words.verdict.get(working.verdict)));
	$('.of').replaceChildren(...[
		['Value',
			reading.value === null ? 'none' : `${withBounds(reading.value, reading.u95)} ${unit}`],
		['Judged', working.judged === null || Math.abs(working.judged - reading.value) < 1e-9 ? '' :
			`${withBounds(working.judged,
				working.judged_u95)} ${unit}, of the readings of this visit`],
		['Limit',
			reading.limit === null ? 'none' : `${writeFigure(reading.limit)} ${unitOf(reading)}`],
		['Measured', [reading.day, words.reading_method.get(reading.method), reading.instrument]
			.filter(Boolean).join(', ')],
		['Judged under', `rulebook version ` +
			`${working.rulebook_version}${working.first_under && working.first_under !==
			working.rulebook_version ? `; the same since version ${working.first_under}` : ''}`]
	].filter(([, text]) => text).flatMap(([term, text]) => [make('dt', term), make('dd', text)]));
}

const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);

function showSteps({ steps }) {
	$('.working > tbody').replaceChildren(...steps.map(({ step, sentence }, i) =>
		row([i + 1, 'figure'], [words.working_step.get(step), 'keep'], [sentence, 'sentence'])));
}

function showFormer(working, unit) {
	const { former } = working;

	$('.former').hidden = former.length === 0;
	$('.sheet > .none').hidden = former.length > 0;
	$('.former > tbody').replaceChildren(...former.map((one) =>
		row([one.replaced_at.slice(0, 10), 'keep'], [one.edition === working.edition
		? versionWords(one.rulebook_version, one.withdrawn) : `${versionWords(one.rulebook_version,
		one.withdrawn)}, edition ${one.edition} of the rules`, 'wraps'],
		[one.value === null ? '' : `${withBounds(one.value, one.u95)} ${unit}`, 'figure keep'],
		[one.limit === null ? '' : `${writeFigure(one.limit)} ${unit}`, 'figure keep'],
		words.limit_kind.get(one.limit_kind) ?? '', words.verdict.get(one.verdict))));
}

$('.print').addEventListener('click', () => window.print());

start().catch((problem) => showNotice($('main > .notice'), problem.detail ?? problem.message,
	problem.status));
