// Runs the browser tests: run.mjs PROGRAM [FILE.test.mjs...]. Exit 77 (skipped) without a browser
// or the packages that "npm ci" in this folder brings.
import { spawnSync } from 'node:child_process';
import { existsSync, readdirSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const here = dirname(fileURLToPath(import.meta.url));
const chromium = process.env.CHROMIUM ?? '/usr/bin/chromium';
const [program, ...files] = process.argv.slice(2);

function skip(why) {
	console.log(`skipped: ${why}`);
	process.exit(77);
}

if (!existsSync(chromium))
	skip(`there is no browser at ${chromium} (Debian's package chromium)`);
if (!existsSync(join(here, 'node_modules/playwright-core')) || !existsSync(join(here, 'node_modules/axe-core')))
	skip('playwright-core and axe-core are not here: run "npm ci" in tests/pages');

const tests = files.length ? files
	: readdirSync(here).filter((name) => name.endsWith('.test.mjs') && !name.endsWith('logic.test.mjs')).map((name) => join(here, name));
const { status } = spawnSync(process.execPath, ['--test', '--test-reporter=spec', ...tests], {
	stdio: 'inherit', env: { ...process.env, BONDBOOK: program, TZ: 'UTC' }
});
process.exit(status ?? 1);
