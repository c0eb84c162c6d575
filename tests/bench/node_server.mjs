// The same due list by fastify and better-sqlite3: node_server.mjs REGISTER DESCRIPTION.json ANSWER
//
// DESCRIPTION is what "bench-probe describe" says: the statement, its columns and their words.
// Like the program it keeps the statement prepared and the totals counted. What the program's rules
// make of a row (its state, its grade today) is given to it for nothing: such cells are taken from
// ANSWER, the program's own. Prints its port.
import { readFileSync } from 'node:fs';
import Database from 'better-sqlite3';
import fastify from 'fastify';

const [register, description, given] = process.argv.slice(2);
const { sql, values, sort, limit, totals, columns } = JSON.parse(readFileSync(description, 'utf8'));
const expected = JSON.parse(readFileSync(given, 'utf8')).rows;
const shown = columns.filter((column) => !column.hidden);
const place = Object.fromEntries(columns.map((column, at) => [column.name, at]));

const db = new Database(register, { readonly: true });
const rows = db.prepare(sql).raw();
// $1, $2 ... are names to better-sqlite3
const named = Object.fromEntries(values.map((value, at) => [at + 1, value]));

const days = new Map();
function dayText(day) {
	let text = days.get(day);

	if (text === undefined) {
		text = new Date(day * 86400000).toISOString().slice(0, 10);
		days.set(day, text);
	}
	return text;
}

const plain = shown.map(({ name, type, words }) => {
	const at = place[name];

	if (type === 'day')
		return (row) => row[at] === null ? null : dayText(row[at]);
	if (type === 'word')
		return (row) => row[at] === null ? null : words[row[at]];
	if (type === 'flag')
		return (row) => row[at] === null ? null : row[at] === 1;
	return (row) => row[at];
});
const cells = shown.map(({ name }, column) =>
	rows.all(named).slice(0, limit).every((row, n) => plain[column](row) === expected[n][name])
		? plain[column] : (row, n) => expected[n][name]);

function object(row, n) {
	const one = {};

	for (let at = 0; at < shown.length; at++)
		one[shown[at].name] = cells[at](row, n);
	return one;
}

function answer() {
	const all = rows.all(named);
	const page = all.slice(0, limit);
	const keys = page.length > 0 ? page.at(-1).slice(columns.length) : [];
	const next = all.length > limit ? Buffer.from([sort, ...keys].join('\x1f')).toString('base64url') : null;

	return `{"rows":[${page.map((row, n) => JSON.stringify(object(row, n))).join(',\n')}],` +
		`"next":${JSON.stringify(next)},"totals":${JSON.stringify(totals)}}`;
}

const app = fastify();

app.get('/api/due', (request, reply) => {
	reply.type('application/json');
	return answer();
});
await app.listen({ host: '127.0.0.1', port: 0 });
console.log(`on port ${app.server.address().port}`);
