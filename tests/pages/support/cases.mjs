/*
 * The case files of tests/cases, asked of rules.wasm. What a case is stands in
 * tests/rules/test_cases.c, which asks them of the native rules.
 */
import { readdirSync, readFileSync } from 'node:fs';

const folder = new URL('../../cases/', import.meta.url);
const read = (name) => JSON.parse(readFileSync(new URL(name, folder), 'utf8'));

export const RULEBOOK = read('rulebook.json');
export const CASES = readdirSync(folder).filter((name) => name.endsWith('.json') && name !== 'rulebook.json').flatMap(read);

/** All cases asked of the rules: what is wrong, [] is good. Runs in a page too: it stands alone. */
export function wrongAnswers(rules, cases, usual) {
	const isObject = (value) => typeof value === 'object' && value !== null && !Array.isArray(value);
	const merged = (a, b) => Object.fromEntries([...new Set([...Object.keys(a), ...Object.keys(b)])].map((key) =>
		[key, !(key in b) ? a[key] : isObject(a[key]) && isObject(b[key]) ? merged(a[key], b[key]) : b[key]]));

	/* half a unit of the last digit that the expectation is written with */
	function isNear(expected, actual) {
		let unit = 1;
		for (let i = 0; i < 12 && Math.abs(expected / unit - Math.round(expected / unit)) > 1e-6; i++)
			unit /= 10;
		return Math.abs(actual - expected) <= unit / 2 * (1 + 1e-6);
	}

	function differ(name, expected, actual) {
		if (expected === null)
			return actual === undefined ? [] : [`${name} is ${JSON.stringify(actual)}`];
		if (Array.isArray(expected) && Array.isArray(actual) && expected.length === actual.length)
			return expected.flatMap((item, i) => differ(`${name}[${i}]`, item, actual[i]));
		if (isObject(expected) && isObject(actual))
			return Object.entries(expected).flatMap(([key, value]) => differ(`${name}.${key}`, value, actual[key]));
		const same = typeof expected === 'number' ? typeof actual === 'number' && isNear(expected, actual) : expected === actual;
		return same ? [] : [`${name} is ${JSON.stringify(actual)}`];
	}

	return cases.flatMap((one) => {
		rules.adopt(merged(usual, one.rulebook ?? {}));
		return differ(one.case, one.out, rules.ask(one.rule, one.in));
	});
}
