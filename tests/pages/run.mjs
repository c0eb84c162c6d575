// Runs the browser tests: run.mjs PROGRAM [FILE.test.mjs...]. Exit 77 (skipped) without a browser
// or the packages that "npm ci" in this folder brings.
import { spawn } from 'node:child_process';
import { existsSync, readdirSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const here = dirname(fileURLToPath(import.meta.url));
const chromium = process.env.CHROMIUM ?? '/usr/bin/chromium-headless-shell';
const [program, ...files] = process.argv.slice(2);

function skip(why) {
	console.log(`skipped: ${why}`);
	process.exit(77);
}

if (!existsSync(chromium))
	skip(`there is no browser at ${chromium} (Debian's package chromium-headless-shell)`);
if (!existsSync(join(here, 'node_modules/playwright-core')) || !existsSync(join(here, 'node_modules/axe-core')))
	skip('playwright-core and axe-core are not here: run "npm ci" in tests/pages');

const tests = files.length ? files
	: readdirSync(here).filter((name) => name.endsWith('.test.mjs') && !name.endsWith('logic.test.mjs')).map((name) => join(here, name));
/** One run of the test runner; what it says, when it is done, and whether all passed. */
function run(files) {
	const child = spawn(process.execPath, ['--test', '--test-reporter=spec', ...files], {
		stdio: ['ignore', 'pipe', 'inherit'], env: { ...process.env, BONDBOOK: program, TZ: 'UTC' }
	});
	let said = '';

	child.stdout.on('data', (bytes) => { said += bytes; });
	return new Promise((done) => child.on('close', (status) => {
		console.log(said);
		done(status === 0);
	}));
}

// Two at a time: what goes through every page takes about as long as all others.
const isLong = (name) => name.endsWith('every-page.test.mjs');
const halves = [tests.filter(isLong), tests.filter((name) => !isLong(name))].filter(({ length }) => length);
const passed = await Promise.all(halves.map(run));
process.exit(passed.every(Boolean) ? 0 : 1);
