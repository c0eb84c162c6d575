import { blankVisit, isAgain, isBegun, judgeVisit, keyTo, nextWanted, putBy, temperature, turnTo,
	unprobed, visitBody, wanting } from '../logic/bond-visit.js';
import { dropEntry } from '../logic/kept.js';
import { withdrawalsOf } from '../logic/visit-again.js';
import { roundDraft } from './draft.js';
import { keypad } from './keypad.js';
import { panelOf } from './record-panels.js';
import { recordView } from './record-view.js';
import { rulesOf } from './rules.js';

/* A question waits for the typing to rest: 4 on the way to 465 is no slip. */
const REST_MS = 1200;
/* A glove taps twice: the second tap meets what the first one brought. */
const TWICE_MS = 600, FRESH_MS = 400;

let saved_ms = -TWICE_MS;   // of the bond before, too

/** What nobody has answered, nor left asked. */
const waits = ({ isOpen, isLeft }) => isOpen && !isLeft;

/**
 * One bond of a round on one screen: what was seen of each end, the figure, its verdict while it
 * is keyed, and one button that saves.
 *
 * @param {HTMLElement} root
 * @param {{pack: object, bond: object, entries: object[], words: Record<string, Map>,
 *	saved?: object, start?: object, settings: {day: string, instrument?: string,
 *	method?: string, temp_c?: number, temp_at_ms?: number, purpose?: string}}} data
 *	pack: GET /api/rounds/{uuid}/tablet; bond: one of its bonds, with its row of bond_rows as
 *	`row`; entries: of the round; temp_at_ms: when the temperature was measured; without it, it is
 *	not known here; saved: the bond before, {words, until_ms, undo()}, offered until something is
 *	done here; start: a visit as logic/visit-again.js makes it, null: what was begun, or a new one
 * @param {{save(entries: object[]): Promise<boolean>, night(to: object): void,
 *	to(view: string): void}} wishes  save: true once all is on the disk; then the view does nothing
 *	more; night: what was changed of the settings; to: another view of this bond
 * @returns {{unmount(): void, ready: Promise<void>}}
 */
export function mountRecord(root,
	{ pack, bond, entries, words, settings, saved = null, start = null },
	{ save, night: changeNight, to: toView }) {
	const { row } = bond;
	const page = `/round/${pack.round.uuid}${location.hash}`;
	const proof = pack.rulebook.proof?.[bond.known.limit?.kind] ?? null;
	const known = { ...bond.known, instruments: pack.meters };
	const cables = bond.known.limit?.cables ?? 1;
	const night = { ...settings };
	const draft = roundDraft({ what: 'inspections', bond_id: bond.bond_id, label: row.label,
		round: pack.round.uuid, page }, () => say('This tablet can keep nothing now.'));
	const about = { pack, bond, words, proof, cables, night };
	let visit = start ?? blankVisit({ bond_id: bond.bond_id, proof });
	let rules = null, ended = false, touched = false, rested = false;
	let open = null, mends = null, said = '';
	let restTimer, savedTimer, shown = null, shown_ms = -FRESH_MS, panelShown = null;

	const pad = keypad(tap);
	const view = recordView(about, { both: bothGood, open: opens, save: saveIt, undo });

	root.replaceChildren(view.el);
	if (saved)
		savedTimer = setTimeout(show, Math.max(0, saved.until_ms - Date.now()));
	show();
	const ready = begin();

	async function begin() {
		const [loaded, old] = await Promise.all([rulesOf(pack), draft.left()]);

		rules = loaded;
		/* (a correction that was begun is no visit of its own) */
		if (old && !ended && !touched && old.typed.corrects === visit.corrects &&
			old.typed.moved_from === visit.moved_from) {
			visit = { ...visit, ...old.typed, uuid: draft.idOf(old) };
			mends = old.problem ? old.typed.uuid : null;
			said = old.problem ? old.problem.errors?.[0]?.detail ?? old.problem.detail : '';
			rested = true;
		}
		if (!ended)
			show();
	}

	function say(text) {
		said = text;
		show();
	}

	/** The settings of the night as a reading has them. */
	function nightNow() {
		const meter = pack.instruments.find(({ serial }) => serial === night.instrument);

		return { ...night, instrument_id: meter?.id, temp: temperature(night, visit, Date.now()) };
	}

	function change(to) {
		if (ended)
			return;
		saved = null;
		said = '';
		touched = true;
		to();
		if (isBegun(visit))
			draft.keep({ ...visit });
		show();
	}

	function bothGood() {
		change(() => {
			for (const end of ['a', 'b'])
				visit.seen[end] ??= 'good';
		});
	}

	/** Another panel in the place of the keys; the same once more: the keys. */
	function opens(name) {
		open = open === name ? null : name;
		show();
	}

	function rest() {
		clearTimeout(restTimer);
		rested = false;
		restTimer = setTimeout(() => { rested = true; show(); }, REST_MS);
	}

	function tap(key) {
		if (performance.now() - shown_ms < FRESH_MS)
			return;
		rest();
		open = null;
		change(() => {
			if (key !== 'next')
				keyTo(visit, key);
			else
				next();
		});
	}

	/* The quantity that is wanted next, else one more of this. */
	function next() {
		const wanted = nextWanted(visit, proof);

		if (wanted)
			turnTo(visit, wanted, nightNow());
		else
			putBy(visit, nightNow());
	}

	function judged() {
		try {
			return rules && !unprobed(visit) ? judgeVisit(rules, known, visit, nightNow()) : [];
		} catch (problem) {
			console.info('no verdict here:', problem.message);
			rules = null;
			return [];
		}
	}

	function show() {
		const all = judged();
		const { body, errors } = visitBody(visit, nightNow(),
			{ round: pack.round.uuid, cables, proof, now: Date.now() });
		const missing = all.some(waits) ? 'a question is open' : errors[0]?.detail ?? '';

		if (saved && Date.now() >= saved.until_ms)
			saved = null;
		view.show({ visit, all, hasRules: Boolean(rules), temp: nightNow().temp, saved,
			said, open, missing, wants: wanting(visit, proof) });
		pad.show({ isMilli: visit.isMilli, next: nextWanted(visit, proof) &&
			nextWanted(visit, proof) !== visit.quantity });
		showPad(all);
		return { body, missing };
	}

	/* The keys give their place to what has to be said first. */
	function showPad(all) {
		const panel = panelOf({ ...about, open, visit, all, rested, asked: all.find(waits) });
		const name = panel ? open ?? panel.title : '';

		if (name !== shown)
			shown_ms = shown === null ? shown_ms : performance.now();
		shown = name;
		view.fill(panel ? choosing(panel) : pad);
	}

	/* (as it is while it says the same: a tap on it is not lost, and the focus stays) */
	function choosing({ title, choices }) {
		const says = JSON.stringify([visit.uuid, title, choices.map(([text, , is]) => [text, is])]);

		if (panelShown?.says === says)
			return panelShown.el;
		panelShown = { says, el: view.choosing(title, choices.map(([text, act, isChosen]) =>
			[text, () => chosen(act), isChosen])) };
		return panelShown.el;
	}

	function chosen(act) {
		if (performance.now() - shown_ms < FRESH_MS)
			return;
		rest();
		change(() => { open = act({ night: nightNow(), set, to: toView }) ?? null; });
	}

	/** Changes the settings of the night, here and for the bonds to come. */
	function set(to) {
		Object.assign(night, to);
		changeNight(to);
	}

	function undo() {
		saved?.undo();
	}

	/* What was of another bond is taken back there by the same act. */
	function entriesOf(body) {
		const from = entries.find(({ uuid }) => uuid === visit.moved_from);

		return [{ what: 'inspections', uuid: visit.uuid, body, typed: visit, label: row.label,
			bond_id: bond.bond_id, page }, ...from ? withdrawalsOf(from, entries,
			`it was another bond: ${row.label}`) : []];
	}

	async function saveIt() {
		if (ended || performance.now() - saved_ms < TWICE_MS)
			return;
		saved_ms = performance.now();
		clearTimeout(restTimer);
		rested = 'saving';
		open = null;
		const { body, missing } = show();
		if (missing)
			return;
		ended = true;
		view.saving(true);
		await draft.flush();
		const isKept = await save(entriesOf(body)).catch(() => false);
		if (isKept === false) {
			ended = false;
			view.saving(false);
			say('Not saved: this tablet can keep nothing now. What you keyed is still here.');
			return;
		}
		draft.end();
		if (mends && mends !== visit.uuid)
			await dropEntry(mends);
	}

	return {
		ready,
		unmount() {
			clearTimeout(restTimer);
			clearTimeout(savedTimer);
			if (!ended) {
				draft.flush();
				draft.end();
			}
			ended = true;
			root.replaceChildren();
		}
	};
}
