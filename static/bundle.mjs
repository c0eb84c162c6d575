// Makes the pages that are served: bundle.mjs OUT DEPFILE RULES.wasm PAGE.html...
//
// Each page names its script and stylesheet by their source ("js/pages/due.js"), and the module of
// the rules by its file's name; here they are bundled by esbuild with shared chunks, and the page
// gets the names with a content hash. What a
// page loads at first is weighed (gzip), printed, and refused when it is over its limit.
import { execFileSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { mkdirSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { basename, dirname, join, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import { gzipSync } from 'node:zlib';

const LIMIT = { 'inspect.html': 63000, 'attach.html': 60000, 'queue.html': 60000,
	'shift.html': 130000 };   // half of each is rules.wasm; shift.html is all pages of a round at once
/* What opens without a server: address -> page. What these load, and the rules, is kept too. */
const OFFLINE = { '/round': 'shift.html', '/queue': 'queue.html' };
const LIMIT_OTHERS = 100000;

const here = dirname(fileURLToPath(import.meta.url));
const [out, depfile, rules, ...pages] = process.argv.slice(2).map((path) => resolve(path));

/* The page with its fragments: <!-- part: header --> is parts/header.html. */
function assemble(page) {
	return readFileSync(page, 'utf8').replace(/^([ \t]*)<!-- part: ([a-z-]+) -->\n/gm, (_, indent, name) =>
		readFileSync(join(here, 'parts', `${name}.html`), 'utf8').replace(/^(?=.)/gm, indent));
}

const REFERENCE = /(?<=(?:src|href)=")(?:js|css)\/[^"]+|(?<=href=")[a-z]+\.(?:svg|wasm)(?=")/g;

/* Pages with a limit of their own are for slow links: each is one file, since every further one costs
 * a head; the others share chunks. */
function bundle(entries) {
	const alone = entries.filter((entry) => Object.keys(LIMIT).some((page) => entry === `js/pages/${page.replace('.html', '.js')}`));
	const made = [['--splitting', entries.filter((entry) => !alone.includes(entry))], ...alone.map((entry) => ['', [entry]])]
		.map(([splitting, some]) => build(some, splitting));

	return { inputs: [...new Set(made.flatMap(({ inputs }) => inputs))], outputs: Object.assign({}, ...made.map(({ outputs }) => outputs)) };
}

function build(entries, splitting) {
	const meta = join(out, 'meta.json');

	execFileSync('esbuild', [
		...entries.map((entry) => entry === basename(rules) ? rules : entry), '--bundle', ...splitting ? [splitting] : [], '--format=esm', '--minify', '--charset=utf8',
		'--target=es2020,chrome100,firefox100,safari15.4', '--loader:.svg=copy', '--loader:.wasm=copy', '--log-level=warning',
		'--entry-names=[name]-[hash]', '--chunk-names=part-[hash]', '--asset-names=[name]-[hash]',
		`--outdir=${out}`, `--metafile=${meta}`
	], { cwd: here, stdio: ['ignore', 'ignore', 'inherit'], env: { ...process.env, NODE_PATH: '/usr/share/nodejs' } });
	const { inputs, outputs } = JSON.parse(readFileSync(meta, 'utf8'));
	rmSync(meta);
	return { inputs: Object.keys(inputs).map((name) => join(here, name)), outputs };
}

/* source -> {name, imports}: what a reference becomes, and the chunks that it brings at once. */
function served(outputs) {
	const names = new Map();

	for (const [path, { entryPoint, inputs }] of Object.entries(outputs)) {
		const source = entryPoint ?? (Object.keys(inputs).length === 1 && Object.keys(inputs)[0]);
		if (source)
			names.set(source.endsWith('.wasm') ? basename(source) : source, { name: basename(path), imports: chunks(path, outputs) });
	}
	return names;
}

function chunks(path, outputs, seen = new Set()) {
	for (const { path: next, kind } of outputs[path].imports) {
		if (!seen.has(next) && kind !== 'dynamic-import') {
			seen.add(next);
			chunks(next, outputs, seen);
		}
	}
	return [...seen].map((chunk) => basename(chunk));
}

/* The page with the served names, and its chunks announced: one round trip fewer. */
function finish(html, names) {
	const loads = new Set();
	const finished = html.replace(REFERENCE, (source) => {
		const { name, imports } = names.get(source);
		[name, ...imports].forEach((file) => loads.add(file));
		return `/${name}`;
	});
	const preload = [...loads].filter((file) => file.startsWith('part-'))
		.map((file) => `\t<link rel="modulepreload" href="/${file}">\n`).join('');
	return { html: finished.replace('</head>', `${preload}</head>`), loads: [...loads] };
}

const weigh = (bytes) => gzipSync(bytes, { level: 9 }).length;

mkdirSync(out, { recursive: true });
for (const old of readdirSync(out).filter((name) => /-[A-Z0-9]{8}\.(js|css|svg|wasm)$/.test(name)))
	rmSync(join(out, old));

const assembled = pages.map((page) => [basename(page), assemble(page)]);
const entries = new Set(assembled.flatMap(([, html]) => html.match(REFERENCE)));
const { inputs, outputs } = bundle([...entries]);
const names = served(outputs);
const made = new Map();   // page -> what it is, and loads
let heavy = false;

for (const [name, source] of assembled) {
	const { html, loads } = finish(source, names);
	const bytes = weigh(html) + loads.reduce((sum, file) => sum + weigh(readFileSync(join(out, file))), 0);
	const limit = LIMIT[name] ?? LIMIT_OTHERS;

	writeFileSync(join(out, name), html);
	made.set(name, { html, loads });
	heavy ||= bytes > limit;
	console.log(`${name.padEnd(14)} ${(bytes / 1000).toFixed(1).padStart(6)} kB compressed at first load, ${loads.length + 1} files, limit ${limit / 1000} kB`);
}

/* The worker and the manifest have addresses of their own; what they keep has a hash in its name. */
function writeWorker(offline) {
	const files = [...new Set([...offline.flatMap(({ loads }) => loads), names.get(basename(rules)).name])].map((file) => `/${file}`);
	const pages = Object.fromEntries(Object.keys(OFFLINE).map((address) => [address, address]));
	const source = readFileSync(join(here, 'sw.js'), 'utf8');
	const version = createHash('sha256').update([source, ...files, ...offline.map(({ html }) => html)].join('\n')).digest('hex').slice(0, 12);

	writeFileSync(join(out, 'sw.js'), source.replace(/const KEPT = .*;/, `const KEPT = ${JSON.stringify({ version, pages, files })};`));
	const icon = names.get('icon.svg').name;
	writeFileSync(join(out, 'bondbook.webmanifest'), readFileSync(join(here, 'bondbook.webmanifest'), 'utf8').replace('/icon.svg', `/${icon}`));
}
writeWorker(Object.values(OFFLINE).map((page) => made.get(page)));

const fragments = readdirSync(join(here, 'parts')).map((name) => join(here, 'parts', name));
writeFileSync(depfile, `static/index.html: ${[...inputs, ...fragments, ...['sw.js', 'bondbook.webmanifest'].map((name) => join(here, name))].map((path) => path.replaceAll(' ', '\\ ')).join(' ')}\n`);
process.exitCode = heavy ? 1 : 0;
