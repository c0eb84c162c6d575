/**
 * Where an end or a row is, in words: "Up, left rail (cess)", "Up, Mast 7". The railway's own
 * word for the rail stands beside left and right where the API gives it.
 *
 * @param {{track?: string|null, rail?: string|null, rail_label?: string|null, structure?:
 *	string|null}} at
 * @param {Map<string, string>} rails  the titles of left and right
 */
export function placeWords({ track, rail, rail_label: own, structure }, rails) {
	const side = rail && `${rails.get(rail) ?? rail} rail${own ? ` (${own})` : ''}`;
	return [track, side, structure].filter(Boolean).join(', ');
}

/** From where to where a repeat place reaches. */
export function spanWords({ chainage_from: from, chainage_to: to }) {
	return from === to ? from : `${from} to ${to}`;
}
