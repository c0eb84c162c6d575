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

// what goes through every page is the longest and comes first
const isLong = (name) => name.endsWith('every-page.test.mjs');
const left = (files.length ? files
	: readdirSync(here).filter((name) => name.endsWith('.test.mjs') && !name.endsWith('logic.test.mjs')).map((name) => join(here, name)))
	.sort((a, b) => isLong(b) - isLong(a));

/** One run of the test runner; true when all passed. */
function run(file) {
	const child = spawn(process.execPath, ['--test', '--test-reporter=spec', file], {
		stdio: ['ignore', 'pipe', 'inherit'], env: { ...process.env, BONDBOOK: program, TZ: 'UTC' }
	});
	let said = '';

	child.stdout.on('data', (bytes) => { said += bytes; });
	return new Promise((done) => child.on('close', (status) => {
		console.log(said);
		done(status === 0);
	}));
}

/** Takes one file after the other; true when all that it took passed. */
async function worker() {
	let passed = true;

	while (left.length)
		passed = await run(left.shift()) && passed;
	return passed;
}

const passed = await Promise.all([worker(), worker()]);
process.exit(passed.every(Boolean) ? 0 : 1);
