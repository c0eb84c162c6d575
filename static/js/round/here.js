import { bytesWords } from '../logic/shift.js';
import { make } from '../parts/template.js';
import { link, part } from './pieces.js';

/**
 * The rounds that are on this tablet.
 *
 * @param {HTMLElement} root
 * @param {{packs: import('../logic/packs.js').Kept[], theirs: object[]}} data
 *	theirs: rounds of the register that are not here, as far as it answers
 */
export function mountHere(root, { packs, theirs }) {
	root.replaceChildren(part('On this tablet', ...packs.length ? packs.map(({ uuid, pack,
		bytes }) =>
		link(`${pack.round.shift_day} ${pack.round.begins}, ${pack.round.crew}: ` +
			`${pack.bonds.length} bonds, ${bytesWords(bytes)}, ready`, `/round/${uuid}`))
		: [make('p', 'No round is on this tablet. One that is opened while the server answers is ' +
			'complete from then on.')]),
	part('To take along', ...theirs.length ? theirs.map(({ uuid, shift_day: day, begins, crew,
		bonds }) =>
		link(`${day} ${begins}, ${crew}: ${bonds} bonds`, `/round/${uuid}`))
		: [make('p', 'None, or the server does not answer.')]));
}
