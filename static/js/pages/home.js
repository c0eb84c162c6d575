import { get, getAll, getWords } from '../api.js';
import { placeWords, spanWords } from '../logic/place.js';
import { bridgesOn } from '../parts/bridges-on.js';
import { lastBackup } from '../parts/last-backup.js';
import { following } from '../parts/following.js';
import { frame } from '../parts/frame.js';
import { gradeSign } from '../parts/grade-sign.js';
import { showNotice } from '../parts/problems.js';
import { may } from '../parts/session.js';
import { make, stamp } from '../parts/template.js';
import { zoneForm } from '../parts/zone-form.js';

const GRADES = ['act', 'unknown', 'watch', 'sound'];   // worst first
/* inspections and mendings apart, in the words of the totals and as the due list is asked for
 * them */
const PARTS = ['inspection', 'mending']
	.flatMap((what) => ['overdue', 'due', 'soon', 'deferred'].map((state) => (
	{ total: `${what}s_${state}`, words: `${what}s ${state}`, state,
		of: `what=${what}&state=${state}` })));
const SHOWN = PARTS.filter(({ state }) => state !== 'soon');
const BETTER = 8;        // corrections
const PLACES = 8;        // the worst of them
const LINES_MOST = 40;   // one question each

const $ = (selector) => document.querySelector(selector);

async function open() {
	const person = await frame();

	await show();
	if (may(person, 'administer')) {
		lastBackup($('.backup')).catch(() => {});
		await zoneForm($('.zone'), show);
	}
}

async function show() {
	following($('.following')).catch(() => {});
	showFound().catch(() => {});
	const [{ totals }, words, lines, places, better] = await Promise.all([get('/api/due?limit=1'),
		getWords(), getAll('lines', ''),
		get(`/api/repeat-places?limit=${PLACES}`),
			get(`/api/better-by-correction?limit=${BETTER}`), bridgesOn($('.bridges-on'))]);

	showCounts(totals, words);
	showPlaces(places.rows, words);
	showBetter(better, words);
	document.title = `What needs a visit, every line · ${totals.overdue} overdue`;
	if (lines.rows.length > 0 && lines.rows.length <= LINES_MOST)
		await showLines(lines.rows);
}

/** Bonds that crews found, and of which nobody said yet which they are. */
async function showFound() {
	const { rows, next } = await get('/api/found-bonds?open=yes&limit=100');
	const count = next ? 'More than 100' : rows.length;

	$('.found-wait').hidden = rows.length === 0;
	$('.found-wait > a').textContent = rows.length === 1
		? '1 bond was found that is not in the book: which is it?'
		: `${count} bonds were found that are not in the book: which are they?`;
}

const bondsOf = (totals) => GRADES.reduce((sum, grade) => sum + totals[grade], 0);

function showCounts(totals, words) {
	$('.counts').replaceChildren(...SHOWN.map(({ total, words: word, state, of }) => {
		const link = stamp('count', { count: totals[total], word });
		link.href = `/due?${of}`;
		link.querySelector('.due-state').dataset.state = state;
		return link;
	}));
	$('.graded').replaceChildren(...GRADES.map((grade) => {
		const link = stamp('grade', { count: totals[grade] });
		link.href = `/due?grade=${grade}`;
		gradeSign(link.querySelector('.sign'), grade, words.grade.get(grade));
		return link;
	}), askedLink(totals.asked));
	$('.counts').hidden = $('.graded').hidden = !bondsOf(totals);
	$('.empty').hidden = bondsOf(totals) > 0;
}

function askedLink(count) {
	const link = stamp('count',
		{ count, word: count === 1 ? 'bond waits for an answer' : 'bonds wait for an answer' });
	link.href = '/due?asked=yes';
	return link;
}

/* Each figure leads to the rows that it counts. */
async function showLines(lines) {
	const all = await Promise.all(lines.map(({ id }) => get(`/api/due?line=${id}&limit=1`)));
	const body = $('.lines tbody');

	body.replaceChildren(...lines.map(({ id, name }, i) => {
		const tr = stamp('line', { name });
		tr.querySelector('a').href = `/lines/${id}`;
		tr.append(...PARTS.map(({ total, words: word, of }) => countCell(`/due?line=${id}&${of}`,
			all[i].totals[total], `${word}, ${name}`)));
		return tr;
	}));
	$('.lines').hidden = false;
}

/** Corrections that made a bond better, those that wait for an engineer first. */
function showBetter({ rows, totals }, words) {
	$('.better tbody').replaceChildren(...rows.map((row) => {
		const tr = stamp('better', { ...row, entry: words.entry.get(row.entry),
			waits: row.waits ? 'waits for an engineer' : 'counts' });
		tr.querySelector('a').href = `/bonds/${row.bond_id}`;
		gradeSign(tr.querySelector('.before'), row.grade_before, words.grade.get(row.grade_before));
		gradeSign(tr.querySelector('.after'), row.grade_after, words.grade.get(row.grade_after));
		return tr;
	}));
	$('.better .said').textContent = rows.length === 0 ? 'No correction has made a bond better.'
		: `${totals.waiting} of ${totals.waiting + totals.counting} ${totals.waiting === 1 ? 'waits'
			: 'wait'} for an engineer to confirm ${totals.waiting === 1 ? 'it'
			: 'them'}: until then the worse grade stands.`;
	$('.better .scroll').hidden = $('.better .all').hidden = rows.length === 0;
	$('.better').hidden = false;
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
		const tr = stamp('place',
			{ ...place, place: spanWords(place), rail: placeWords(place, words.rail) });
		tr.querySelector('a').href = `/repeat?place=${place.id}`;
		return tr;
	}));
	$('.places').hidden = rows.length === 0;
}

open().catch((problem) => showNotice($('main > .notice'), problem.detail ?? problem.message,
	problem.status));
