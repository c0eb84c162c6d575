import { get, getAll, getWords, SOON } from '../api.js';
import { bondOf } from '../logic/address.js';
import { dayOf } from '../logic/day.js';
import { alikeWords } from '../logic/ends.js';
import { atToSend, dayIn } from '../logic/instant.js';
import { newUuid } from '../logic/uuid.js';
import { attachmentForm, NO_CHECKS, showAcceptance } from '../parts/attachment-form.js';
import { isTablet } from '../parts/device.js';
import { keepLastUsed, lastUsed } from '../parts/last-used.js';
import { recordForm } from '../parts/record-form.js';
import { rulesHere } from '../parts/rules-here.js';
import { fill } from '../parts/template.js';

const $ = (selector) => document.querySelector(selector);
const form = $('form');
const result = $('main > .result');
const id = bondOf(location.pathname);

let words, bond;
const known = { rails: null, rules: null };
const fields = attachmentForm(form, known, () => record.changed());

const record = recordForm({
	what: 'attachments', noun: 'attachment', did: 'made it', doer: 'person', bond_id: id,
	later: '', load, label: () => bond.label, blank, write: fields.write, read: fields.read,
	body: fields.body,
	at: ({ saved_ms, made_day: day }, zone) =>
		atToSend(saved_ms, day, { zone, isTablet: isTablet() }),
	typing: fields.judge, kept, clear, answered
});

async function load() {
	const [all, got, kits] = await Promise.all([getWords(SOON), get(`/api/bonds/${id}`, SOON),
		getAll('kits', '', Infinity, SOON).catch(() => ({ rows: [] })), learnRails(),
		rulesHere().then((here) => { known.rules = here.rules; }, () => {})]);

	[words, bond] = [all, got];
	Object.assign(known, { words, bond });
	head();
	const used = lastUsed('kit');
	fields.offer(kits.rows.map(({ code, name }) => [code, `${code} ${name}`])
		.sort((a, b) => (b[0] === used) - (a[0] === used)));
}

/** What of the rail is known now; where it cannot be learned, the tablet says so. */
async function learnRails() {
	const rail = await get(`/api/bonds/${id}/rail`, SOON).catch(() => null);
	known.rails = rail && Object.fromEntries(rail.ends.map((one) => [one.end, one]));
}

function head() {
	$('.removed').hidden = bond.status !== 'removed';
	document.title = `Attach ${bond.label}, ${bond.line.name} · bondbook`;
	fill(document.body, {
		label: bond.label, alike: alikeWords(bond), place: [words.bond_kind.get(bond.kind),
			bond.line.name, bond.chainage].filter(Boolean).join(' · ')
	});
	result.querySelector('.commission').href = `/bonds/${id}/inspect?purpose=commissioning`;
}

function blank({ zone, name }) {
	const end = new URLSearchParams(location.search).get('end');

	return {
		...NO_CHECKS, made_day: dayIn(zone, Date.now()) ?? dayOf(new Date()),
		end: ['a', 'b'].includes(end) ? end : '', method: lastUsed('method') || 'brazed_pin',
		person: name, kit: lastUsed('kit'), batch: lastUsed('batch'), corrects: ''
	};
}

function kept(typed) {
	for (const name of ['kit', 'batch', 'method'])
		keepLastUsed(name, typed[name]);
}

function clear() {
	result.querySelector('.said').replaceChildren();
	for (const el of result.querySelectorAll('.verdict, .commission, .mended, .next'))
		el.hidden = true;
}

function answered({ acceptance, spot, grade }) {
	if (acceptance)
		showAcceptance(result, acceptance);
	result.querySelector('.mended').hidden = acceptance?.accepted !== 'not_accepted' ||
		acceptance.spoils_spot;
	result.querySelector('.commission').hidden = acceptance?.accepted === 'not_accepted';
	result.querySelector('.next').hidden = false;
	return [grade && `The bond is graded ${words.grade.get(grade.grade)}${grade.because
		? `: ${grade.because}` : ''}.`, spot, acceptance?.asked].filter(Boolean).join(' ');
}

async function goOn(values, said) {
	await learnRails();
	record.goOn(values, said);
}
result.querySelector('.next')
	.addEventListener('click', () => goOn({ end: record.typed().end }));
result.querySelector('.mended').addEventListener('click', () => {
	const { uuid, typed } = record.shown();

	goOn({ ...typed, uuid: newUuid(), corrects: uuid },
		'This replaces what was recorded before: change what was mended, then save.');
});
