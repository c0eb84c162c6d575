/* What a word that tells of a broken path warns of, at once and where it was chosen. */
const SAYS = {
	loose: ['Loose', 'It can part at any moment; then the gap can stand at a dangerous voltage.'],
	strands_broken: ['Strands broken',
		'Those that are left carry all the current, run hot, and part next.'],
	damaged: ['Damaged', 'Take the path for open until it is proved whole.'],
	missing: ['Missing',
		'The path is open, and either side of the gap can stand at a dangerous voltage.'],
	cable: ['A cable is not whole',
		'The path may be open; the broken ends can stand at a dangerous voltage.']
};
const ALWAYS = 'Never bridge it by hand or with a tool, and do not touch both sides: a contact ' +
	'line that is switched off does not make the rails dead. Keep others away and tell the ' +
	'person in charge. On a track-circuited rail no bridge without the signalling engineer.';

/**
 * @param {string|undefined} seen
 * @returns {[string, string]|null} heading and text; null: no such word
 */
export const defectCaution = (seen) => SAYS[seen]
	? [SAYS[seen][0], `${SAYS[seen][1]} ${ALWAYS}`] : null;
