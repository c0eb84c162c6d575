/* How a file is written, as it was proposed, and its first rows so read. */
import { settingsOf } from '../logic/import.js';
import { readNumber } from '../logic/number.js';
import { fillSelect, make, row, stamp } from './template.js';

export const PREVIEW_ROWS = 5;

const LISTS = [['.as-above', 'as_above'], ['.in-rows', 'in_rows']];
const MADE = ['(heading)', '(value)'];   // columns that the file itself has not

export function showWritten(step, proposal, settings) {
	step.querySelector('.proposal').replaceChildren(...settingsOf(proposal).map((one) =>
		settingField(one, proposal.reasons[one[0]], settings[one[0]])));
	showShape(step, proposal, settings);
	step.querySelector('.preview > thead > tr').replaceChildren(
		...proposal.columns.map((column) => Object.assign(make('th', column), { scope: 'col' })));
	step.querySelector('.preview > tbody')
		.replaceChildren(...proposal.preview.slice(0, PREVIEW_ROWS).map((cells) => row(...cells)));
}

/* Where the table stands, and which columns are not as they seem. */
function showShape(step, { reasons, columns }, settings) {
	for (const [id, name] of [['#begins-row', 'begins_row'], ['#ends-row', 'ends_row']]) {
		const input = step.querySelector(id);
		input.value = settings[name] ?? '';
		input.parentElement.querySelector('.help').textContent = reasons[name] ?? '';
	}
	for (const [place, name] of LISTS) {
		const of = columns.filter((column) => !MADE.includes(column));
		step.querySelector(`${place} .choices`).replaceChildren(...of.map((column, i) => {
			const label = make('label', '', 'choice');
			const input = Object.assign(document.createElement('input'), { type: 'checkbox',
				id: `${name}-${i}`, name, value: column,
				checked: settings[name]?.includes(column) ?? false });
			label.append(input, make('span', column));
			return label;
		}));
	}
}

/** What the page says of the shape, as the API takes it. */
export function readShape(step) {
	const list = (place) => {
		const all = [...step.querySelectorAll(`${place} input:checked`)].map(({ value }) => value);
		return all.length ? all : undefined;
	};
	const row = (id) => {
		const text = step.querySelector(id).value.trim();
		return text ? readNumber(text).value ?? text : undefined;
	};
	return { begins_row: row('#begins-row'), ends_row: row('#ends-row'),
		...Object.fromEntries(LISTS.map(([place, name]) => [name, list(place)])) };
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
