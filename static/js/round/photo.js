import { kindWords } from '../logic/queue.js';
import { makePhoto } from '../parts/photo.js';
import { make } from '../parts/template.js';
import { button, choice, field, group, part } from './pieces.js';

const NOUNS = { inspections: 'inspection', failures: 'failure', repairs: 'repair',
	attachments: 'attachment', bridges: 'bridge', 'bridges-off': 'bridge_off' };

/**
 * Photos of one bond of the round, without the server: each is made smaller here, kept, and sent
 * after the entry that it belongs to.
 *
 * @param {HTMLElement} root
 * @param {{pack: object, bond: object, entries: object[]}} data  bond: of the package, with its row
 *	of bond_rows as `row`; entries: of this tablet, of the bond
 * @param {{save(entry: object): Promise<boolean>, leave(): void}} wishes  save: true once it is on
 *	the disk
 */
export function mountPhoto(root, { pack, bond, entries }, { save, leave }) {
	const { row } = bond;
	const subjects = subjectsOf(bond, entries);
	const of = make('div', '', 'taps');
	const said = Object.assign(make('p', ''), { role: 'status' });
	const taken = make('div', '', 'photos');
	let subject = subjects.find(({ entry }) => entry) ?? subjects[0];
	let note = '';

	showSubjects();
	root.replaceChildren(part(`Photo of ${row.label}`, make('p', 'Of what', 'quiet'), of,
		field('What it shows', '', (text) => { note = text; }),
		pick('TAKE A PHOTO', 'button main save', 'environment'), group(pick('Choose a picture'),
			button('Back to the walk', leave)), said, taken));

	function showSubjects() {
		of.replaceChildren(...subjects.map((one) => choice(one.words, one === subject, () => {
			subject = one;
			showSubjects();
			Array.from(of.children)[subjects.indexOf(one)].focus();
		})));
	}

	function pick(words, className = 'button', capture = '') {
		const el = make('label', words, `pick ${className}`);
		const input = Object.assign(make('input'), { type: 'file', accept: 'image/*' });

		if (capture)
			input.setAttribute('capture', capture);
		input.addEventListener('change', async () => {
			for (const file of Array.from(input.files))
				await take(file);
			input.value = '';
		});
		el.append(input);
		return el;
	}

	async function take(file) {
		const { words, end, entry } = subject;

		said.textContent = 'The photo is made smaller …';
		try {
			const { pictures, ...hashes } = await makePhoto(file);
			const body = { bond_id: row.bond_id, taken_day: pack.round.shift_day,
				note: note.trim() || undefined, end, ...entry && { entry: NOUNS[entry.what],
					entry_id: entry.uuid }, ...hashes };
			const isKept = await save({ what: 'photos', body, pictures });

			said.textContent = isKept ? `Photo of ${words} saved on this tablet.`
				: 'Not saved: this tablet can keep nothing now. Free some space, then take it ' +
					'again.';
			if (isKept)
				taken.append(preview(pictures[1], words));
		} catch (problem) {
			said.textContent = `Not saved. ${problem.detail ?? problem.message}`;
		}
	}
}

function preview({ bytes, type }, words) {
	const img = Object.assign(make('img'), { alt: `Photo of ${words}` });

	img.onload = () => URL.revokeObjectURL(img.src);
	img.src = URL.createObjectURL(new Blob([bytes], { type }));
	return img;
}

/* What this tablet recorded of the bond, the newest first, then the bond itself and its ends. */
function subjectsOf(bond, entries) {
	const recorded = entries.filter(({ what }) => what in NOUNS).reverse();

	return [...recorded.map((entry) => ({ words: kindWords(entry.what).toLowerCase(), entry })),
		{ words: 'the bond' },
		...bond.known.ends.map(({ end, short }) => ({ words: short, end }))];
}
