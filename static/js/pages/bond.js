import { get, getAll, getWords } from '../api.js';
import { bondOf } from '../logic/address.js';
import { acceptanceLine } from '../logic/attachment.js';
import { dayOf } from '../logic/day.js';
import { doerToSend, whoWords } from '../logic/doer.js';
import { dueHeadline, dueWords } from '../logic/due-words.js';
import { alikeWords, placesOfFailure, wordsOfBond } from '../logic/ends.js';
import { aheadWords, attachmentsByEnd, history } from '../logic/history.js';
import { atToSend, dayIn } from '../logic/instant.js';
import { placeWords } from '../logic/place.js';
import { offsetText, railMarks } from '../logic/rail.js';
import { formerWords } from '../logic/rulebook.js';
import { withPoints } from '../logic/readings.js';
import { choices } from '../parts/choices.js';
import { isTablet, zoneHere } from '../parts/device.js';
import { doerField } from '../parts/doer-field.js';
import { dueState } from '../parts/due-state.js';
import { recordDialog } from '../parts/form-dialog.js';
import { frame } from '../parts/frame.js';
import { gradeSign } from '../parts/grade-sign.js';
import { photoShown } from '../parts/photo-shown.js';
import { showNotice } from '../parts/problems.js';
import { railDrawing } from '../parts/rail-drawing.js';
import { readingsChart, verdictKey } from '../parts/readings-chart.js';
import { readingsTable } from '../parts/readings-table.js';
import { rulings } from '../parts/rulings.js';
import { may, me } from '../parts/session.js';
import { strip } from '../parts/strip.js';
import { fill, fillSelect, make, stamp } from '../parts/template.js';
import { withdrawals } from '../parts/withdraw.js';

const $ = (selector) => document.querySelector(selector);
const id = bondOf(location.pathname);
const today = dayOf(new Date());
const NEAR_MM = 150000;   // of line shown to either side

const offerWithdrawal = withdrawals($('.history.all'), $('#withdraw'), done);
const showRulings = rulings($('.rulings'), $('#ruling'), done);
let words, person, bond, attachments, zone, visits = [], open = [];

async function start() {
	[person, words, zone] = await Promise.all([frame(), getWords(), zoneHere()]);
	$('.acts > .inspect').href = `/bonds/${id}/inspect`;
	for (const link of document.querySelectorAll('a.attach'))
		link.href = `/bonds/${id}/attach`;
	for (const button of ['inspect', 'report', 'attach', 'add-photo'])
		$(`.acts > .${button}`).hidden = !may(person, 'inspect');
	$('.code > img').src = `/api/bonds/${id}/code`;
	$('.printed').textContent = `Printed ${today}.`;
	await load();
	if (!bond.withdrawn)
		dialogs();
}

async function load() {
	const of = (list) => getAll(list, `bond=${id}`).then(({ rows }) => rows);

	bond = await get(`/api/bonds/${id}`);
	if (bond.withdrawn) {
		showWithdrawn();
		return;
	}
	const [judgement, inspections, readings, failures, deferrals, fixed, changes, photos] =
		await Promise.all([
			get(`/api/bonds/${id}/judgement`), of('inspections'),
			of('readings'), of('failures'), of('deferrals'), of('attachments'), of('bond-changes'),
			of('photos')
		]);
	const [said, { rows: waiting }] = await Promise.all([of('rulings'),
		getAll('better-by-correction', `bond=${id}&waits=yes`)]);
	const marked = (rows) =>
		rows.map((row) => ({ ...row, waits: waiting.some(({ uuid }) => uuid === row.uuid) }));

	words = wordsOfBond(bond, words);
	attachments = fixed;
	visits = inspections;
	open = failures.filter((failure) => !failure.made_good_day && !failure.replaced);
	showBond();
	showGrade(bond.grade);
	$('[data-f="formerly"]').textContent = formerWords(judgement, words.grade);
	showEnds(attachmentsByEnd(attachments), judgement.attachments);
	showReadings(withPoints(readings, judgement.quantities), judgement);
	showHistory(history({ inspections: marked(inspections), failures: marked(failures), deferrals,
		attachments, changes, rulings: said, photos }, words));
	showRulings({
		bond, waiting, toMend: judgement.to_mend,
		attachments: attachments.filter(({ live, end }) => live && judgement.attachments.some(
			(one) => one.end === end && one.acceptance.accepted === 'not_accepted') &&
			bond.grade.reasons.includes('not_accepted'))
	}, person, words);
	$('.sheets').hidden = false;
	showStrip();
	showRails().catch(() => { $('.no-rules').hidden = false; });
}

/** It is in no list any more; what was said of it stays readable. */
function showWithdrawn() {
	const { by, at, reason } = bond.withdrawn;

	document.title = `${bond.label}, ${bond.line.name} · withdrawn · bondbook`;
	fill($('main'), { label: bond.label, place: [words.bond_kind.get(bond.kind), bond.line.name,
		bond.chainage, 'withdrawn'].join(' · '),
	withdrawn: `Withdrawn on ${at.slice(0, 10)} by ${by ?? 'nobody who signed in'}: ${reason} ` +
		`It is in no list, and nothing is recorded of it any more.` });
	$('.withdrawn').hidden = false;
	$('.withdrawn a').href = `/list?of=recorded-since&bond=${id}`;
	$('.sheets').hidden = true;
}

function showBond() {
	const due = bond.due ?? {};
	const kind = words.bond_kind.get(bond.kind);

	const states = [bond.grade && bond.grade.grade !== 'none' && bond.grade.grade,
		due.state && dueWords(due)].filter(Boolean).join(', ');
	document.title = `${bond.label}, ${bond.line.name} · ${states || 'bondbook'}`;
	fill($('main'), {
		label: bond.label, note: bond.note,
		place: [kind, bond.line.name, bond.chainage, bond.status === 'removed' &&
			words.bond_status.get(bond.status)].filter(Boolean).join(' · '),
		reason: due.reason,
		deferral: due.deferred_to_day
			? `Deferred to ${due.deferred_to_day}: ${due.deferral_reason}` : ''
	});
	$('.open-failures').replaceChildren(...open.map((failure) => {
		const el = stamp('open-failure', { words: openWords(failure) });
		el.querySelector('button').hidden = !may(person, 'inspect');
		el.querySelector('button').dataset.failure = failure.uuid;
		return el;
	}));
	$('.acts > .put-off').hidden = !may(person, 'plan') || (due.state ?? 'not_due') === 'not_due';
	dueState($('.due-next'), due.state ?? 'not_due', due.state ? dueHeadline(due) : 'not due');
	facts($('.facts.bond'), [
		['Kind', kind], ['Criticality', words.criticality.get(bond.criticality)],
		['Status', words.bond_status.get(bond.status)],
		['Installed', bond.installed_day ?? 'not known'],
		['Removed', bond.removed_day],
		['Line', `${bond.line.code} ${bond.line.name}`],
		['Place',
			bond.chainage && `${bond.chainage} (${bond.surveyed ? 'surveyed' : 'as stated'})`],
		['Conductor', conductor()]
	]);
}

/** The grade at the top, and its reasons, worst first. */
function showGrade({ grade, reasons, evidence_until_day: until, act_since_day: since, asked }) {
	$('.page-head > .grade').hidden = grade === 'none';
	gradeSign($('.page-head > .grade'), grade, words.grade.get(grade));
	$('#grade-title').textContent = `Grade: ${words.grade.get(grade)}`;
	$('.because').replaceChildren(
		...reasons.map((reason) => make('li', sentence(words.grade_reason.get(reason)))));
	if (!reasons.length)
		$('.because').replaceChildren(make('li', grade === 'none' ? 'Not in service.'
			: 'Inspected, with evidence, and nothing speaks against it.'));
	$('[data-f="grade_since"]').textContent = [
		since && `Act since ${since}.`,
		asked > (reasons.includes('asked') ? 1 : 0) &&
			`${asked} ${asked === 1 ? 'reading waits' : 'readings wait'} for an answer.`,
		until && (until < today ? `The newest evidence counted until ${until}.`
			: `The newest evidence counts until ${until}.`)
	].filter(Boolean).join(' ');
}

const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);
const sentence = (text) => `${capital(text)}.`;

function openWords(failure) {
	return `Not made good: ${[words.failure_mode.get(failure.mode), failure.end_words,
		`found ${failure.found_day}`].filter(Boolean).join(', ')}.`;
}

function conductor() {
	return [words.material.get(bond.material),
		bond.conductor_class && `class ${bond.conductor_class}`,
		bond.area_mm2 && `${bond.area_mm2} mm²`, bond.length_m && `${bond.length_m} m`,
		bond.cables > 1 && `${bond.cables} in parallel`].filter(Boolean).join(', ') || 'not known';
}

function facts(dl, pairs) {
	dl.replaceChildren(...pairs.filter(([, text]) => text)
		.flatMap(([term, text]) => [make('dt', term), make('dd', text)]));
}

function showEnds({ live, former }, accepted) {
	$('.ends').replaceChildren(...bond.ends.map((end) => {
		const el = stamp('end', { heading: capital(end.short), letter: end.end.toUpperCase() });
		const { acceptance, spot } = accepted.find((one) => one.end === end.end) ?? {};
		el.dataset.end = end.end;
		facts(el.querySelector('dl'), [
			['Where', placeWords(end, words.rail) || words.end_on.get(end.on)],
			['Chainage', end.chainage], ['Face', words.rail_face.get(end.face)],
			['Attached', live[end.end] && [live[end.end].made_day,
				aheadWords(live[end.end].days_ahead)].filter(Boolean).join(', ')],
			['How', live[end.end] ? attachmentWords(live[end.end]) : 'nothing recorded'],
			['By', live[end.end] && whoWords(live[end.end])],
			['Acceptance', acceptanceLine(acceptance, spot)]
		]);
		el.querySelector('dd:last-child').classList.toggle('bad',
			acceptance?.accepted === 'not_accepted');
		return el;
	}));
	$('.alike').textContent = alikeWords(bond);
	$('.former').replaceChildren(...former.map((one) => stamp('event', {
		day: one.made_day, what: capital(one.end_words), words: attachmentWords(one),
		more: [one.until_day && `until ${one.until_day}`, one.note, whoWords(one),
			aheadWords(one.days_ahead)].filter(Boolean).join(' · ')
	})));
	emptyList('.former', former.length);
}

function attachmentWords(one) {
	return [words.attach_method.get(one.method), one.done_by, kitWords(one),
		one.offset_mm != null && `${offsetText(one.offset_mm)} from the mark`].filter(Boolean)
			.join(', ');
}

function kitWords({ kit, batch }) {
	return [kit && `kit ${kit}`, batch && `batch ${batch}`].filter(Boolean).join(', ');
}

/** The rail at each end that is on one. */
async function showRails() {
	const on = [...document.querySelectorAll('.ends > [data-end]')]
		.filter((el) => bond.ends.find(({ end }) => end === el.dataset.end).on === 'rail');
	const rail = on.length ? await get(`/api/bonds/${id}/rail`) : null;

	for (const el of on) {
		const { next_free_mm: next_mm, ...end } =
			rail.ends.find((one) => one.end === el.dataset.end);
		const marks = railMarks(end, bond.id);
		el.querySelector('.rail').hidden = !end.place.rail_known;
		if (end.place.rail_known)
			railDrawing(el.querySelector('.rail'), { marks, place: end.place,
				clearances: marks.map(({ kind }) => rail.clearance_mm[kind]), next_mm }, words);
		el.querySelector('.spot-words').textContent = [end.side === 'none' ? ''
			: sentence(words.joint_side.get(end.side)), next_mm === null ? end.sentence : '']
			.filter(Boolean).join(' ');
		el.querySelector('.unknowns').textContent = end.unknowns.map((one) => one.sentence)
			.filter((text) => next_mm !== null || !end.sentence.startsWith(text)).join(' ');
	}
}

function showReadings(readings, { quantities }) {
	readingsChart($('.charts'), { readings, quantities, today }, words);
	verdictKey($('.chart-key'), words);
	readingsTable($('.readings'), readings, words);
	emptyList('.readings', readings.length);
	$('.chart-key').hidden = $('.means').hidden = readings.length === 0;
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
		if (event.photo)
			el.querySelector('div').append(photoShown(event.photo, event.words || bond.label));
		offerWithdrawal(el, event, person);
		return el;
	}));
	emptyList('.history.all', events.length);
}

/** The bond among its neighbours. One that was removed is no longer drawn, so its place is. */
function showStrip() {
	const [{ track, rail }] = bond.ends;
	const removed = { from_mm: bond.distance_mm, to_mm: bond.distance_mm, track, rail,
		label: `${bond.label}, removed` };

	strip($('.bond-strip'), {
		line: bond.line, words, chosen: bond.id, marks: bond.status === 'removed' ? [removed] : [],
		view: { from_mm: bond.distance_mm - NEAR_MM, to_mm: bond.distance_mm + NEAR_MM }
	});
}

/** Shows the bond anew and says what is on record now. */
function done(text) {
	load().then(() => { $('.said').textContent = text; }, say);
}

const pick = (dialog, name) => document.querySelector(`${dialog} [data-name="${name}"]`);

function dialogs() {
	const at = (saved_ms, day) => atToSend(saved_ms, day, { zone, isTablet: isTablet() });
	const now = () => dayIn(zone, Date.now()) ?? today;
	const showDoers = ['#found-by', '#made-good-by']
		.map((field) => doerField($(field), me));
	const made = (dialog, what, body, said) => {
		const { open: openDialog } = recordDialog($(dialog), (values, saved_ms) => ({ what,
			bond_id: bond.id, label: bond.label, body: present(body(values, saved_ms)) }),
			() => done(said));
		return (values) => {
			openDialog(values);
			showDoers.forEach((show) => show());
		};
	};

	choices(pick('#report', 'end'), 'end', placesOfFailure(bond));
	choices(pick('#report', 'mode'), 'mode', words.failure_mode);
	const report = made('#report', 'failures', (values, ms) => ({ bond_id: bond.id, ...values,
		at: at(ms, values.found_day), found_by: doerToSend(values.found_by, me()) }),
		'The failure is on record.');
	$('.acts > .report')
		.addEventListener('click', () => report({ found_day: now(), found_by: me().name }));

	const repair = made('#repair', 'repairs', ({ by, ...values }, ms) => ({ ...values,
		at: isOld({ by, ...values }) ? '' : at(ms, values.day),
		made_good_by: doerToSend(values.made_good_by, me()) }), 'Made good is on record.');
	$('.open-failures').addEventListener('click', (e) => {
		const failure = open.find((one) => one.uuid === e.target.dataset.failure);
		if (failure) {
			offerRepair(failure);
			repair({ day: now(), made_good_by: me().name });
		}
	});
	$('#by').addEventListener('change', byAttachment);

	$('.acts > .add-photo').addEventListener('click', () => offerPhoto(now()).catch(say));

	$('.acts > .put-off').addEventListener('click', () => offerDeferral().catch(say));
}

let photo = null, putOff = null;

/* What these dialogs stand on is fetched when one is first asked for. */

async function offerDeferral() {
	const { deferDialog } = await import('../parts/defer.js');

	putOff ??= deferDialog($('#defer'), () => done('The deferral is on record.'));
	await putOff(bond);
}

async function offerPhoto(day) {
	const { addPhoto } = await import('../parts/add-photo.js');

	photo ??= addPhoto($('#add-photo'), bond, () => done('The photo is on record.'));
	photo(day, [...open.map((one) => ['failure', one.uuid, openWords(one)]),
		...visits.filter((one) => !one.replaced).slice(0, 5).map((one) =>
			['inspection', one.uuid, `Inspected on ${one.day}`])]);
}

/** The open failures, this one chosen, and the attachments that were made since it was found. */
function offerRepair(failure) {
	const since = attachments.filter((one) => !one.replaced && one.made_day >= failure.found_day &&
		(!failure.end || one.end === failure.end));

	choices(pick('#repair', 'failure'), 'failure', open.map((f) => [f.uuid,
		`${f.found_day} ${words.failure_mode.get(f.mode)}${f.end ? `, ${f.end_words}` : ''}`]),
			failure.uuid);
	$('#by').replaceChildren($('#by').options[0]);
	fillSelect($('#by'), since.map((one) => [one.uuid,
		`${one.made_day}, ${one.end_words}: ${attachmentWords(one)}`]));
	$('#repair .by').hidden = since.length === 0;
	$('#repair a.attach').search = failure.end ? `?end=${failure.end}` : '';
}

/* It was made good before it is said: by an attachment on record, or before the commissioning that
 * was entered since the failure was. Then its kind orders it. */
function isOld({ by, failure, day }) {
	const since = open.find(({ uuid }) => uuid === failure)?.entered_at;

	return by !== '' || visits.some((one) => one.day === day && one.purpose === 'commissioning' &&
		!one.replaced && one.entered_at > since);
}

/* The attachment that made it good says when and how; both can still be changed. */
function byAttachment() {
	const one = attachments.find(({ uuid }) => uuid === $('#by').value);

	if (one) {
		$('#repair-day').value = one.made_day;
		$('#made-good-by').value = one.done_by ?? me().name;
		$('#made-good-by').dispatchEvent(new Event('input'));
		$('#how').value = `New attachment at ${one.end_words}: ${attachmentWords(one)}.`;
	}
}

function present(values) {
	return Object.fromEntries(Object.entries(values)
		.filter(([, value]) => value !== '' && value != null));
}

const say = (problem) => showNotice($('main > .notice'), problem.detail ?? problem.message,
	problem.status);
start().catch(say);
