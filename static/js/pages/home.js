import { get, getWords } from '../api.js';
import { frame } from '../parts/frame.js';
import { showNotice } from '../parts/problems.js';
import { stamp } from '../parts/template.js';

const STATES = ['overdue', 'due', 'soon', 'deferred', 'later'];

async function show() {
	await frame();
	const [{ totals = {} }, words] = await Promise.all([get('/api/due?limit=1'), getWords()]);
	const counts = STATES.map((state) => {
		const link = stamp('count', { count: totals[state] ?? 0, word: words.due_state.get(state) });
		link.href = `/due?state=${state}`;
		link.querySelector('.due-state').dataset.state = state;
		return link;
	});

	document.querySelector('.counts').replaceChildren(...counts);
	document.querySelector('.empty').hidden = STATES.some((state) => totals[state]);
	document.title = `bondbook · ${totals.overdue ?? 0} overdue`;
}

show().catch((problem) => showNotice(document.querySelector('.notice'), problem.detail ?? problem.message, problem.status));
