/**
 * What of a kit was not found good, in words.
 *
 * @param {Record<string, unknown>} check  a row of the list of checks
 * @param {{name: string, title: string, type: string}[]} fields  of the check's form
 * @param {Map<string, string>} found  the words of how a part is found
 * @returns {string} "Leads not good, Eye shields missing"; "" when all is good
 */
export const notGood = (check, fields, found) => fields
	.filter(({ name, type }) => type === 'word' && check[name] !== 'good')
	.map(({ name, title }) => `${title} ${found.get(check[name]) ?? 'not known'}`).join(', ');
