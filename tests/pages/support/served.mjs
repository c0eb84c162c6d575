/* The real program on a register of its own, in a temporary folder, on a free port. */
import { execFileSync, spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const PROGRAM = process.env.BONDBOOK ?? join(dirname(fileURLToPath(import.meta.url)), '../../../build/server/bondbook');

export const PEOPLE = {
	viewer: { login: 'vera', name: 'Vera Lind', role: 'viewer', password: 'reads on sundays' },
	crew: { login: 'colm', name: 'Colm Hart', role: 'crew', password: 'brazes by night' },
	planner: { login: 'pia', name: 'Pia Noor', role: 'planner', password: 'plans ahead always' },
	manager: { login: 'mona', name: 'Mona Field', role: 'manager', password: 'manages the lines' },
	administrator: { login: 'ada', name: 'Ada Quill', role: 'administrator', password: 'keeps every key' }
};

/** @typedef {{url: string, folder: string, stop: () => Promise<void>, start: () => Promise<void>}} Served */

/**
 * Makes an empty register with the people above and serves it. stop() and start() again keep the
 * register and the port.
 *
 * @returns {Promise<Served & {end: () => Promise<void>}>} end: stops and takes the folder away
 */
export async function serve({ zoneless = false } = {}) {
	const folder = mkdtempSync(join(tmpdir(), 'bondbook-pages-'));
	let child, port = 0;

	execFileSync(PROGRAM, ['init', '--data', folder, '--zone', 'UTC'], { stdio: ['ignore', 'ignore', 'inherit'] });
	if (zoneless)
		execFileSync('python3', ['-B', join(dirname(fileURLToPath(import.meta.url)), '../../zoneless.py'), folder]);

	for (const { login, name, role, password } of Object.values(PEOPLE))
		execFileSync(PROGRAM, ['person', '--data', folder, '--login', login, '--name', name, '--role', role],
			{ input: `${password}\n`, stdio: ['pipe', 'ignore', 'inherit'] });

	const served = {
		folder,
		async start() {
			child = spawn(PROGRAM, ['serve', '--data', folder, '--listen', `127.0.0.1:${port}`], { stdio: ['ignore', 'pipe', 'pipe'] });
			process.once('exit', () => child.kill('SIGKILL'));
			let said = '';
			child.stderr.on('data', (text) => { said += text; });
			const line = await Promise.race([once(child.stdout, 'data'), once(child, 'exit')]);
			served.url = String(line[0]).match(/http:\/\/\S+[^/\s]/)?.[0];
			if (!served.url)
				throw new Error(`the server did not start: ${said}`);
			port = new URL(served.url).port;
		},
		async stop() {
			const ended = once(child, 'exit');
			child.kill('SIGTERM');
			const [code] = await ended;
			if (code !== 0)
				throw new Error(`the server ended with ${code}`);
		},
		async end() {
			if (child.exitCode === null)
				await served.stop();
			rmSync(folder, { recursive: true });
		}
	};
	await served.start();
	return served;
}

/**
 * A client of the API, signed in as one of PEOPLE.
 *
 * @returns {Promise<{get, post, put}>} each gives the answer's JSON, and throws unless it is 2xx
 */
export async function client(served, who) {
	const { login, password } = PEOPLE[who];
	let cookie = '';

	async function call(method, path, body) {
		const response = await fetch(served.url + path, {
			method, body: body === undefined ? undefined : JSON.stringify(body),
			headers: { cookie, ...(body === undefined ? {} : { 'content-type': 'application/json' }) }
		});
		const text = await response.text();
		if (!response.ok)
			throw new Error(`${method} ${path}: ${response.status} ${text}`);
		cookie ||= response.headers.get('set-cookie')?.split(';')[0] ?? '';
		return text.startsWith('{') ? JSON.parse(text) : text;
	}
	await call('POST', '/api/session', { login, password });
	return {
		get: (path) => call('GET', path),
		post: (path, body) => call('POST', path, body),
		put: (path, body) => call('PUT', path, body)
	};
}
