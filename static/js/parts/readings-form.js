import { carriable } from '../logic/asked.js';
import { figuresOf, isTyped, readReading } from '../logic/inspection.js';
import { lastUsed } from './last-used.js';
import { readingCard } from './reading-card.js';
import { undoable } from './undo.js';

/**
 * The readings of a visit, a card each: one more, one fewer, once more, a second one.
 *
 * @param {HTMLElement} el  .readings
 * @param {object} visit  what they belong to:
 *	bond_id; known(): {words, instruments}; instrument(): the id of the one that is used;
 *	judge(reading, others); lastOf(quantity); changed(): called after each change;
 *	toInstrument(), toOpened(): the focus goes there
 */
export function readingsForm(el, visit) {
	const all = () => Array.from(el.children);

	/** What a card has typed, with the instrument that it was read with. */
	const typedOf = (card) => ({ ...card.typed(), instrument_id: card.dataset.own === 'yes'
		? card.typed().own_instrument : visit.instrument() });

	/** The other readings of a card's quantity that can be read as they stand. */
	function othersOf(card) {
		return all().filter((one) => one !== card).map(typedOf)
			.filter((one) => one.quantity === card.typed().quantity && isTyped(one))
			.map(readReading).filter(({ errors }) => !errors.length).map(({ reading }) => reading);
	}

	function add(values, before = null) {
		const judge = (reading, others) => visit.judge({ ...reading,
			instrument_id: Number(typedOf(card).instrument_id) || undefined }, others);
		const card = readingCard(values, { ...visit.known(), judge, lastOf: visit.lastOf, othersOf,
			carriable: () => carriable(lastUsed('temperature') || null, visit.bond_id,
				Date.now()) });

		el.insertBefore(card, before);
		listen(card);
		number();
		return card;
	}

	function listen(card) {
		card.addEventListener('second', ({ detail }) => second(card, detail));
		card.addEventListener('wait', () => again(card));
		card.addEventListener('contacts', readContacts);
		card.addEventListener('open', () => {
			again(card);   // what was read before it was opened is not one of the bond alone
			visit.toOpened();
		});
		card.addEventListener('name', visit.toInstrument);
		card.addEventListener('remove', () => remove(card));
	}

	function remove(card) {
		const next = card.nextElementSibling;

		card.remove();
		changed();
		undoable('Reading removed.', () => {
			el.insertBefore(card, next);
			changed();
		});
	}

	/** A further reading of the same: the one that is there already and has no figures, or a new
	 * one. */
	function second(card, values) {
		const empty = all().find((one) => one !== card &&
			one.typed().quantity === values.quantity && !isTyped(one.typed()));
		const next = empty ?? add(values, card.nextElementSibling);

		changed();
		next.querySelector(
			'.own-instrument:not([hidden]) input, .figures .field:not([hidden]) input').focus();
	}

	/** The figures go: it is measured once more. */
	function again(card) {
		const before = card.typed();
		const put = (values) => {
			const next = add(values, card);
			card.remove();
			card = next;
			changed();
			card.querySelector('.figures .field:not([hidden]) input').focus();
		};

		put({ ...before, ...Object.fromEntries(figuresOf(before).map((field) => [field, ''])),
			converted: '', left: '' });
		undoable('The figures are taken away: measure again.', () => put(before));
	}

	function readContacts() {
		const there = all().map((card) => card.typed().quantity);
		const missing = ['contact_a', 'contact_b'].filter((quantity) => !there.includes(quantity));
		const added = missing.map((quantity) => add({ quantity }));

		changed();
		(added[0] ?? all().find((card) => card.typed().quantity === 'contact_a'))
			.querySelector('input').focus();
	}

	function number() {
		all().forEach((card, i) => card.number(i + 1));
	}

	function changed() {
		number();
		visit.changed();
	}

	return {
		typed: () => all().map(typedOf),
		judge: () => all().forEach((card) => card.judge()),
		/** Where in the list something is asked that waits for an answer. */
		waiting: () => all().flatMap((card, i) => card.waits() ? [i] : []),
		write(readings) {
			el.replaceChildren();
			readings.forEach((one) => add(one));
		},
		addOne() {
			const last = el.lastElementChild?.typed();

			add({ method: last?.method, way: last?.way, temp_c: last?.temp_c })
				.querySelector('input').focus();
			changed();
		},
		/** The input of a reading's wrong member. */
		find(index, name) {
			const card = el.children[index];

			if (name === 'asked')
				return card?.querySelector('.asked button');
			return card?.querySelector(`[data-field="${name}"]`) ??
				card?.querySelector(`[data-name="${name}"] input`) ??
				card?.querySelector('.figures .field:not([hidden]) input');
		}
	};
}
