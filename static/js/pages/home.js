import { get, getAll, getWords } from '../api.js';
import { placeWords, spanWords } from '../logic/place.js';
import { following } from '../parts/following.js';
import { frame, may } from '../parts/frame.js';
import { gradeSign } from '../parts/grade-sign.js';
import { showNotice } from '../parts/problems.js';
import { make, stamp } from '../parts/template.js';
import { zoneForm } from '../parts/zone-form.js';

const STATES = ['overdue', 'due', 'soon', 'deferred', 'later'];
const GRADES = ['act', 'watch', 'unknown', 'sound'];
const PLACES = 8;        // the worst of them
const LINES_MOST = 40;   // one question each

const $ = (selector) => document.querySelector(selector);

async function open() {
	const person = await frame();

	await show();
	if (may(person, 'administer'))
		await zoneForm($('.zone'), show);
}

async function show() {
	following($('.following')).catch(() => {});
	const [{ totals }, words, lines, places] = await Promise.all([get('/api/due?limit=1'), getWords(),
		getAll('lines', ''), get(`/api/repeat-places?limit=${PLACES}`)]);

	showCounts(totals, words);
	showPlaces(places.rows, words);
	document.title = `What needs a visit, every line · ${totals.overdue} overdue`;
	if (lines.rows.length > 0 && lines.rows.length <= LINES_MOST)
		await showLines(lines.rows);
}

function showCounts(totals, words) {
	$('.counts').replaceChildren(...STATES.map((state) => {
		const link = stamp('count', { count: totals[state], word: words.due_state.get(state) });
		link.href = `/due?state=${state}`;
		link.querySelector('.due-state').dataset.state = state;
		return link;
	}));
	$('.graded').replaceChildren(...GRADES.map((grade) => {
		const link = stamp('grade', { count: totals[grade] });
		link.href = `/due?grade=${grade}`;
		gradeSign(link.querySelector('.sign'), grade, words.grade.get(grade));
		return link;
	}));
	$('.graded').hidden = !GRADES.some((grade) => totals[grade]);
	$('.empty').hidden = STATES.some((state) => totals[state]);
}

/* Each figure leads to the rows that it counts. */
async function showLines(lines) {
	const all = await Promise.all(lines.map(({ id }) => get(`/api/due?line=${id}&limit=1`)));
	const body = $('.lines tbody');

	body.replaceChildren(...lines.map(({ id, name }, i) => {
		const tr = stamp('line', { name });
		tr.querySelector('a').href = `/lines/${id}`;
		tr.append(...STATES.map((state) => countCell(`/due?line=${id}&state=${state}`, all[i].totals[state], `${state}, ${name}`)));
		return tr;
	}));
	$('.lines').hidden = false;
}

function countCell(href, count, label) {
	const td = make('td', count ? '' : '0', count ? 'figure' : 'figure quiet');

	if (count) {
		const link = make('a', count);
		link.href = href;
		link.setAttribute('aria-label', `${count} ${label}`);
		td.append(link);
	}
	return td;
}

function showPlaces(rows, words) {
	$('.places tbody').replaceChildren(...rows.map((place) => {
		const tr = stamp('place', { ...place, place: spanWords(place), rail: placeWords(place, words.rail) });
		tr.querySelector('a').href = `/repeat?place=${place.id}`;
		return tr;
	}));
	$('.places').hidden = rows.length === 0;
}

open().catch((problem) => showNotice($('.notice'), problem.detail ?? problem.message, problem.status));
