import { del, get, getAll, post } from '../api.js';
import { countWords, linesByChange, moveTable, stepWords,
	trialSentences } from '../logic/rulebook.js';
import { newUuid } from '../logic/uuid.js';
import { showNotice } from './problems.js';
import { make, row, stamp } from './template.js';

const ASK_AGAIN_MS = 400;
const LINES_SHOWN = 50;

/**
 * Tries a rulebook: how far it is, then what would change in words, then in tables.
 *
 * @param {HTMLElement} el
 * @param {() => Record<string, Map<string, string>>} words
 * @returns {{run: (rulebook: object) => Promise<boolean>, clear: () => void}} run: false when it
 *	was stopped; throws a Problem that names fields
 */
export function rulebookTrial(el, words) {
	const $ = (selector) => el.querySelector(selector);
	let id = null;

	async function ask(mine) {
		while (id === mine) {
			await new Promise((later) => setTimeout(later, ASK_AGAIN_MS));
			const { done, of } = await get(`/api/progress/${mine}`).catch(() => ({ of: 0 }));
			if (id !== mine || !of)
				continue;
			$('progress').value = Math.min(done / of, 1);
			$('.running').textContent = `Judging every bond in service: ` +
				`${Math.min(Math.floor(done / of * 100), 100)} %. Nothing is changed.`;
		}
	}

	function clear() {
		el.hidden = true;
		showNotice($('.notice'), '');
		$('.said').replaceChildren();
		$('.found').replaceChildren();
		$('.basis').textContent = '';
	}

	$('.stop').addEventListener('click', () => del(`/api/progress/${id}`).catch(() => {}));
	return {
		clear,
		async run(rulebook) {
			clear();
			el.hidden = false;
			id = newUuid();
			$('.busy').hidden = false;
			$('progress').removeAttribute('value');
			$('.running').textContent = 'Judging every bond in service. Nothing is changed.';
			el.scrollIntoView({ block: 'nearest' });
			ask(id);
			try {
				const [result, { rows: lines }] = await Promise.all([
					post(`/api/rulebook/trial?progress=${id}`, { rulebook }), getAll('lines', '')]);
				show($, result, words(), new Map(lines.map((line) => [line.id, line.name])));
				return true;
			} catch (problem) {
				if (problem.errors?.length) {
					el.hidden = true;
					throw problem;
				}
				showNotice($('.notice'), problem.detail ?? problem.message, problem.status);
				return false;
			} finally {
				id = null;
				$('.busy').hidden = true;
				if (!el.hidden)
					el.focus();
			}
		}
	};
}

function show($, result, words, lineNames) {
	const lines = linesByChange(result.lines);
	const bondTables = [
		['newly_overdue', 'Bonds that would be overdue', 'Due day', (side) => side.due_day],
		['other_verdict', 'Bonds with another verdict', 'Verdict',
			(side, bond) => Object.entries(side.verdicts).map(([quantity, verdict]) =>
			`${bond.quantity_words[quantity]}: ${words.verdict.get(verdict)}`).join('; ')],
		['other_grade', 'Bonds with another grade', 'Grade',
			(side) => words.grade.get(side.grade) ?? '']
	];

	$('.said').replaceChildren(...trialSentences(result, words).map((text) => make('li', text)));
	$('.basis').textContent = `${countWords(result.bonds, 'bond')} in service on ${result.day}, ` +
		`against version ${result.against_version}; counted in ${(result.ms / 1000)
		.toFixed(1)} s. Nothing was changed.`;
	$('.found').replaceChildren(...[
		moves('Due states', result.states, words.due_state), moves('Grades', result.grades,
			words.grade), moves('Verdicts of last readings', result.verdicts, words.verdict),
		movedDays(result.due_moved),
		lines.length && table(`By line: ${countWords(lines.length, 'line')}`,
			['Line', ['Bonds', 'figure'], ['Overdue now', 'figure'], ['Overdue then', 'figure'],
			['Other grade', 'figure'], ['Other verdict', 'figure']],
			lines.slice(0, LINES_SHOWN).map((line) => [link(`/due?line=${line.line_id}`,
				lineNames.get(line.line_id) ?? line.line_id), ...['bonds', 'overdue_before',
				'overdue_after', 'grades', 'verdicts'].map((name) => [line[name], 'figure'])]),
			lines.length > LINES_SHOWN ? `The ${LINES_SHOWN} where most would change.` : ''),
		...bondTables.map(([name, title, what, of]) => result[name].count && table(
			`${title}: ${result[name].count}`, ['Bond', 'Line', `${what} now`, `${what} then`],
			result[name].bonds.map((bond) => [link(`/bonds/${bond.bond_id}`, bond.label),
				lineNames.get(bond.line_id), of(bond.before, bond), of(bond.after, bond)]),
			result[name].count > result[name].bonds.length
				? `The first ${result[name].bonds.length}.` : ''))
	].filter(Boolean));
}

function link(href, text) {
	const a = make('a', text);
	a.href = href;
	return a;
}

/* Cells: text, [text, class], or an element. */
function table(title, heads, rows, note = '') {
	const el = stamp('trial-table');

	el.querySelector('summary').textContent = title;
	el.querySelector('p').textContent = note;
	el.querySelector('.scroll').setAttribute('aria-label', title);
	el.querySelector('thead > tr').append(
		...heads.map((head) => Object.assign(make('th', ...[head].flat()), { scope: 'col' })));
	el.querySelector('tbody').append(...rows.map((cells) => {
		const tr = row(...cells.map((cell) => cell instanceof Element ? '' : cell));
		cells.forEach((cell, i) => cell instanceof Element && tr.cells[i].append(cell));
		return tr;
	}));
	return el;
}

/* From what to what; only where something moves. */
function moves(title, counted, titles) {
	if (!counted.some(({ before, after }) => before !== after))
		return null;
	const { rows, columns, count } = moveTable(counted, titles);

	return table(title, ['Now', ...columns.map((after) => [`then ${titles.get(after)}`, 'figure'])],
		rows.map((before) => [titles.get(before),
			...columns.map((after) => [count(before, after) || '', 'figure'])]));
}

function movedDays(steps) {
	if (!steps.some(({ earlier, later }) => earlier || later))
		return null;
	return table('Due days that move',
		['By so many days', ['Earlier', 'figure'], ['Later', 'figure']],
		steps.map((step) => [stepWords(step), [step.earlier, 'figure'], [step.later, 'figure']]));
}
