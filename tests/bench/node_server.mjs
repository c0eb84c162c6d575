// The same due list by fastify and better-sqlite3: node_server.mjs REGISTER DESCRIPTION.json
//
// DESCRIPTION is what "bench-probe describe" says: the statement, its columns and their words.
// Like the program it keeps the statement prepared and the totals counted. Prints its port.
import { readFileSync } from 'node:fs';
import Database from 'better-sqlite3';
import fastify from 'fastify';

const [register, description] = process.argv.slice(2);
const { sql, values, sort, limit, today, totals, columns } = JSON.parse(readFileSync(description, 'utf8'));
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

function state(row) {
	if (row[place.deferred_to_day] !== null && today <= row[place.deferred_to_day])
		return 'deferred';
	if (today >= row[place.overdue_from_day])
		return 'overdue';
	if (today >= row[place.due_day])
		return 'due';
	return today >= row[place.soon_from_day] ? 'soon' : 'later';
}

const computed = { state, days_over: (row) => today - row[place.due_day] };

const cells = shown.map(({ name, type, words, computed: made }) => {
	const at = place[name];

	if (made)
		return computed[name];
	if (type === 'day')
		return (row) => row[at] === null ? null : dayText(row[at]);
	if (type === 'word')
		return (row) => row[at] === null ? null : words[row[at]];
	if (type === 'flag')
		return (row) => row[at] === null ? null : row[at] === 1;
	return (row) => row[at];
});
for (const [at, make] of cells.entries())
	if (!make)
		throw new Error(`the column ${shown[at].name} is computed in a way that is not known here`);

function object(row) {
	const one = {};

	for (let at = 0; at < shown.length; at++)
		one[shown[at].name] = cells[at](row);
	return one;
}

function answer() {
	const all = rows.all(named);
	const page = all.slice(0, limit);
	const keys = page.length > 0 ? page.at(-1).slice(columns.length) : [];
	const next = all.length > limit ? Buffer.from([sort, ...keys].join('\x1f')).toString('base64url') : null;

	return `{"rows":[${page.map((row) => JSON.stringify(object(row))).join(',\n')}],` +
		`"next":${JSON.stringify(next)},"totals":${JSON.stringify(totals)}}`;
}

const app = fastify();

app.get('/api/due', (request, reply) => {
	reply.type('application/json');
	return answer();
});
await app.listen({ host: '127.0.0.1', port: 0 });
console.log(`on port ${app.server.address().port}`);
