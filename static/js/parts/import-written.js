/* How a file is written, as it was proposed, and its first rows so read. */
import { settingsOf } from '../logic/import.js';
import { fillSelect, make, row, stamp } from './template.js';

export const PREVIEW_ROWS = 5;

export function showWritten(step, proposal, settings) {
	step.querySelector('.proposal').replaceChildren(...settingsOf(proposal).map((one) =>
		settingField(one, proposal.reasons[one[0]], settings[one[0]])));
	step.querySelector('.preview > thead > tr').replaceChildren(
		...proposal.columns.map((column) => Object.assign(make('th', column), { scope: 'col' })));
	step.querySelector('.preview > tbody')
		.replaceChildren(...proposal.preview.slice(0, PREVIEW_ROWS).map((cells) => row(...cells)));
}

function settingField([name, title, offered], reason, value) {
	const el = stamp('setting');
	const select = el.querySelector('select');

	select.id = `setting-${name}`;
	select.name = name;
	Object.assign(el.querySelector('label'), { htmlFor: select.id, textContent: title });
	fillSelect(select, value ? offered : [['', 'please choose'], ...offered]);
	select.value = value ?? '';
	el.querySelector('.help').textContent = reason ??
		(value || name !== 'day_order' ? '' : 'Needed when a column that is used holds dates.');
	return el;
}
