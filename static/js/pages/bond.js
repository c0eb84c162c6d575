import { get, getAll, getWords, put } from '../api.js';
import { bondOf } from '../logic/address.js';
import { dayOf } from '../logic/day.js';
import { dueWords } from '../logic/due-words.js';
import { attachmentsByEnd, history } from '../logic/history.js';
import { readNumber, writeFigure } from '../logic/number.js';
import { placeWords } from '../logic/place.js';
import { newUuid } from '../logic/uuid.js';
import { choices } from '../parts/choices.js';
import { deferDialog } from '../parts/defer.js';
import { dueState } from '../parts/due-state.js';
import { formDialog } from '../parts/form-dialog.js';
import { frame, may } from '../parts/frame.js';
import { gradeSign } from '../parts/grade-sign.js';
import { keepLastUsed, lastUsed } from '../parts/kept.js';
import { showNotice } from '../parts/problems.js';
import { readingsChart } from '../parts/readings-chart.js';
import { strip } from '../parts/strip.js';
import { fill, fillSelect, make, row, stamp } from '../parts/template.js';

const $ = (selector) => document.querySelector(selector);
const id = bondOf(location.pathname);
const today = dayOf(new Date());
const NEAR_MM = 150000;   // of line shown to either side

let words, bond, open = [];

async function start() {
	const [person, known] = await Promise.all([frame(), getWords()]);

	words = known;
	$('.acts > .inspect').href = `/bonds/${id}/inspect`;
	for (const [button, right] of [['inspect', 'inspect'], ['report', 'inspect'], ['repair', 'inspect'], ['attach', 'inspect'], ['put-off', 'plan']])
		$(`.acts > .${button}`).hidden = !may(person, right);
	$('.printed').textContent = `Printed ${today}.`;
	await load();
	dialogs();
	if (may(person, 'inspect'))
		fillSelect($('#kit'), (await getAll('kits', '')).rows.map((kit) => [kit.code, `${kit.code} ${kit.name}`]));
}

async function load() {
	const of = (list) => getAll(list, `bond=${id}`).then(({ rows }) => rows);
	const [got, inspections, readings, failures, deferrals, attachments] = await Promise.all(
		[get(`/api/bonds/${id}`), of('inspections'), of('readings'), of('failures'), of('deferrals'), of('attachments')]);

	bond = got;
	open = failures.filter((failure) => !failure.made_good_day && !failure.replaced);
	showBond();
	showEnds(attachmentsByEnd(attachments));
	showReadings(readings);
	showHistory(history({ inspections, failures, deferrals }, words));
	$('.sheets').hidden = false;
	showStrip();
	$('.acts > .repair').disabled = open.length === 0;
}

function showBond() {
	const due = bond.due ?? {};
	const kind = words.bond_kind.get(bond.kind);

	document.title = `${bond.label}, ${bond.line.name} · ${due.state ? dueWords(due) : 'bondbook'}`;
	fill($('main'), {
		label: bond.label, note: bond.note,
		place: [kind, bond.line.name, bond.chainage].filter(Boolean).join(' · '),
		reason: due.reason,
		deferral: due.deferred_to_day ? `Deferred to ${due.deferred_to_day}: ${due.deferral_reason}` : ''
	});
	$('.open-failures').replaceChildren(...open.map((failure) => make('p', openWords(failure), 'notice')));
	dueState($('#due-title > .state'), due.state ?? 'not_due', due.state ? dueWords(due) : 'not due');
	if (bond.grade) {
		$('.grade').hidden = false;
		gradeSign($('.grade'), bond.grade);
	}
	facts($('.facts.bond'), [
		['Kind', kind], ['Criticality', words.criticality.get(bond.criticality)],
		['Status', words.bond_status.get(bond.status)], ['Installed', bond.installed_day ?? 'not known'],
		['Line', `${bond.line.code} ${bond.line.name}`],
		['Place', bond.chainage && `${bond.chainage} (${bond.surveyed ? 'surveyed' : 'as stated'})`],
		['Conductor', conductor()]
	]);
}

function openWords(failure) {
	return `Not made good: ${[words.failure_mode.get(failure.mode), failure.end && `end ${failure.end.toUpperCase()}`,
		`found ${failure.found_day}`].filter(Boolean).join(', ')}.`;
}

function conductor() {
	return [words.material.get(bond.material), bond.conductor_class && `class ${bond.conductor_class}`,
		bond.area_mm2 && `${bond.area_mm2} mm²`, bond.length_m && `${bond.length_m} m`,
		bond.cables > 1 && `${bond.cables} in parallel`].filter(Boolean).join(', ') || 'not known';
}

function facts(dl, pairs) {
	dl.replaceChildren(...pairs.filter(([, text]) => text).flatMap(([term, text]) => [make('dt', term), make('dd', text)]));
}

function showEnds({ live, former }) {
	$('.ends').replaceChildren(...bond.ends.map((end) => {
		const el = stamp('end', { heading: `End ${words.bond_end.get(end.end)}, on ${words.end_on.get(end.on)}` });
		facts(el.querySelector('dl'), [
			['Where', placeWords(end, words.rail)],
			['Chainage', end.chainage], ['Face', words.rail_face.get(end.face)],
			['Attached', live[end.end]?.made_day], ['How', live[end.end] ? attachmentWords(live[end.end]) : 'nothing recorded']
		]);
		return el;
	}));
	$('.former').replaceChildren(...former.map((one) => stamp('event', {
		day: one.made_day, what: `End ${words.bond_end.get(one.end)}`, words: attachmentWords(one),
		more: [one.until_day && `until ${one.until_day}`, one.note].filter(Boolean).join(' · ')
	})));
	emptyList('.former', former.length);
}

function attachmentWords(one) {
	return [words.attach_method.get(one.method), one.person, kitWords(one),
		one.offset_mm != null && `${String(one.offset_mm).replace('-', '\u2212')} mm from the mark`].filter(Boolean).join(', ');
}

function kitWords({ kit, batch }) {
	return [kit && `kit ${kit}`, batch && `batch ${batch}`].filter(Boolean).join(', ');
}

function showReadings(readings) {
	const newest = [...readings].sort((a, b) => b.day.localeCompare(a.day));

	readingsChart($('.charts'), readings, words);
	$('.readings > tbody').replaceChildren(...newest.map((one) => row([one.day, 'keep'], [words.quantity.get(one.quantity), 'keep'],
		[one.quantity === 'rail_drop' ? '' : words.reading_method.get(one.method), 'keep'], [writeFigure(one.r_uohm), 'figure'], [writeFigure(one.r20_uohm), 'figure'],
		[writeFigure(one.equivalent_m, 3), 'figure'], [addedFigure(one), 'figure'], [temperature(one), 'figure'], one.instrument, remarkWords(one))));
	emptyList('.readings', readings.length);
	$('.readings').classList.toggle('no-rail', !readings.some(({ quantity }) => quantity === 'rail_drop'));
	$('.rings').hidden = !readings.some(remarkWords);
}

const temperature = ({ temp_c }) => temp_c == null ? '' : temp_c.toFixed(1).replace('-', '\u2212');

function addedFigure({ equivalent_m, joint_m }) {
	return equivalent_m === null || joint_m === null ? '' : writeFigure(equivalent_m - joint_m, 3);
}

/* "none" says nothing. */
function remarkWords({ remark }) {
	return remark && remark !== 'none' ? words.reading_remark.get(remark) : '';
}

function emptyList(name, count) {
	$(name).hidden = count === 0;
	$(name).closest('section').querySelector('.none').hidden = count > 0;
}

function showHistory(events) {
	$('.history.all').replaceChildren(...events.map((event) => {
		const el = stamp('event', event);
		const link = el.querySelector('a');
		if (event.place_id)
			link.href = `/repeat?place=${event.place_id}`;
		link.hidden = !event.place_id;
		return el;
	}));
	emptyList('.history.all', events.length);
}

/** The bond among its neighbours. One that was removed is no longer drawn, so its place is. */
function showStrip() {
	const [{ track, rail }] = bond.ends;
	const removed = { from_mm: bond.distance_mm, to_mm: bond.distance_mm, track, rail, label: `${bond.label}, removed` };

	strip($('.bond-strip'), {
		line: bond.line, words, chosen: bond.id, marks: bond.status === 'removed' ? [removed] : [],
		view: { from_mm: bond.distance_mm - NEAR_MM, to_mm: bond.distance_mm + NEAR_MM }
	});
}

/** Shows the bond anew and says what is on record now. */
function done(text) {
	load().then(() => { $('.said').textContent = text; }, say);
}

const ENDS = [['', 'the cable, or both'], ['a', 'end A'], ['b', 'end B']];
/* What the acceptance of an attachment asks about, in the order of the work. */
const CHECKS = [['ground_bright', 'Both surfaces ground to bright steel'], ['battery_charged', 'Battery charged'],
	['gun_flush', 'Gun set flush'], ['hammer_passed', 'Hammer test passed'], ['solder_all_round', 'Solder even all round']];
const pick = (dialog, name) => document.querySelector(`${dialog} [data-name="${name}"]`);

function dialogs() {
	let uuid;
	const opens = (button, dialog, send, said, values) => {
		const { open: openDialog } = formDialog($(dialog), send, () => done(said));
		$(`.acts > ${button}`).addEventListener('click', () => {
			uuid = newUuid();   // one for each opening: sending again after no answer stores once
			openDialog(values());
		});
	};

	choices(pick('#report', 'end'), 'end', ENDS);
	choices(pick('#report', 'mode'), 'mode', words.failure_mode, 'not_stated');
	opens('.report', '#report', (values) => put(`/api/failures/${uuid}`, present({ bond_id: bond.id, ...values })),
		'The failure is on record.', () => ({ found_day: today }));

	opens('.repair', '#repair', (values) => put(`/api/repairs/${uuid}`, present(values)), 'Made good is on record.', () => {
		choices(pick('#repair', 'failure'), 'failure', open.map((f) => [f.uuid,
			`${f.found_day} ${words.failure_mode.get(f.mode)}${f.end ? `, end ${f.end.toUpperCase()}` : ''}`]), open[0]?.uuid);
		return { day: today };
	});

	choices(pick('#attach', 'end'), 'end', ENDS.slice(1), 'a');
	choices(pick('#attach', 'method'), 'method', words.attach_method, 'brazed_pin');
	$('#attach .checks').replaceChildren(...CHECKS.map(([name, title]) => {
		const el = stamp('check', { title });
		choices(el.querySelector('.choices'), name, [['yes', 'yes'], ['no', 'no'], ['', 'not recorded']]);
		return el;
	}));
	opens('.attach', '#attach', (values) => attach(uuid, values), 'The attachment is on record.',
		() => ({ made_day: today, kit: lastUsed('kit'), batch: lastUsed('batch') }));

	const putOff = deferDialog($('#defer'), () => done('The deferral is on record.'));
	$('.acts > .put-off').addEventListener('click', () => putOff(bond));
}

async function attach(uuid, values) {
	const read = ['offset_mm', 'arc_s', 'hold_s', 'stub_mm'].map((field) => ({ field, ...readNumber(values[field]) }));
	const errors = read.filter(({ problem }) => problem).map(({ field, problem }) => ({ field, detail: problem }));
	const figures = Object.fromEntries(read.map(({ field, value }) => [field, value]));

	if (errors.length)
		throw { errors };
	for (const [check] of CHECKS)
		figures[check] = { yes: true, no: false }[values[check]] ?? null;
	await put(`/api/attachments/${uuid}`, present({
		...values, bond_id: bond.id, ...figures
	}));
	keepLastUsed('kit', values.kit);
	keepLastUsed('batch', values.batch);
}

function present(values) {
	return Object.fromEntries(Object.entries(values).filter(([, value]) => value !== '' && value !== null));
}

const say = (problem) => showNotice($('main > .notice'), problem.detail ?? problem.message, problem.status);
start().catch(say);
