import { make } from '../parts/template.js';
import { button, group, link, part } from './pieces.js';

/**
 * A bond of the round: where it is, and the form of the desk for it, which needs the server.
 *
 * @param {HTMLElement} root
 * @param {{pack: object, bond: object, entries: object[], settings: object}} data
 * @param {{save(entry: object): Promise<void>, leave(): void}} wishes
 */
export function mountRecord(root, { bond: { row } }, { leave }) {
	root.replaceChildren(part(row.label, make('p', `${row.chainage ?? ''} ${row.line}`),
		make('p', row.end_a_words), make('p', row.end_b_words),
		make('p', 'The form of this bond needs the server.', 'quiet'),
		group(link('Open its form', `/bonds/${row.bond_id}/inspect`), button('Back to the walk',
			leave))));
}
