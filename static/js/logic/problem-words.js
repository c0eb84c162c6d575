/**
 * A sentence of the server about a member, with the field's label instead of the member's name, and
 * without what only a program counts.
 *
 * @param {string} detail  "how is required: a text of at most 500 bytes"
 * @param {string} field  "how", "readings[0].temp_c"
 * @param {string} label  as the page has it
 * @param {boolean} isChoice  one of several, to be chosen
 */
export function labelled(detail, field, label, isChoice = false) {
	const name = field.split('.').at(-1);
	const rest = detail.slice(name.length);

	if (!label || !detail.startsWith(`${name} `))
		return detail;
	if (rest.startsWith(' is required'))
		return isChoice ? `Choose one: "${label}".` : `Fill in "${label}".`;
	return label + rest.replace(/^ (?:must|may) [^;]*bytes long; it has \d+.*/s,
		' is too long: say it in fewer words.');
}
