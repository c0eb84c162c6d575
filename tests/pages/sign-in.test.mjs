import assert from 'node:assert/strict';
import { test } from 'node:test';

import { begin } from './support/begin.mjs';
import { rest } from './support/browser.mjs';
import { PEOPLE } from './support/served.mjs';

const { open, railway } = await begin();
const bond = `/bonds/${railway.bonds.get('V-0007')}`;

async function signIn(page, { login, password }) {
	await page.fill('#login', login);
	await page.fill('#password', password);
	await page.keyboard.press('Enter');
	await rest(page);
}

const visible = (page, selector) => page.locator(selector).filter({ visible: true }).count();

test('sends a stranger to sign in, and then to where they wanted to go', async () => {
	const page = await open('/due?line=1&state=overdue', { who: null });

	assert.equal(new URL(page.url()).pathname, '/sign-in');
	assert.equal(await page.title(), 'Sign in · bondbook');
	await signIn(page, PEOPLE.planner);
	await page.waitForURL('**/due?line=1&state=overdue');
	await rest(page);
	assert.equal(await page.textContent('.who .name'), 'Pia Noor');
});

test('says beside the password that the two do not belong together, and keeps the name', async () => {
	const page = await open('/sign-in', { who: null });

	await signIn(page, { login: 'pia', password: 'not her password' });
	assert.match(await page.textContent('.field:has(#password) .problem'), /password/i);
	assert.equal(await page.inputValue('#login'), 'pia');
	assert.equal(await page.evaluate('document.activeElement.id'), 'password');
	await signIn(page, { login: 'nobody', password: 'not her password' });
	assert.match(await page.textContent('.field:has(#password) .problem'), /password/i, 'a stranger learns no names');
});

test('says what is missing beside its field', async () => {
	const page = await open('/sign-in', { who: null });

	await page.click('button.main');
	assert.equal(await page.locator('.problem').count(), 2);
	assert.equal(await page.evaluate('document.activeElement.id'), 'login');
});

test('does not go to another site after signing in', async () => {
	const page = await open('/sign-in?to=//elsewhere.example/due', { who: null });

	await signIn(page, PEOPLE.viewer);
	assert.equal(new URL(page.url()).pathname, '/');
});

test('signs out, and going back shows nothing of the register', async () => {
	const page = await open('/sign-in?to=/due', { who: null });

	await signIn(page, PEOPLE.planner);
	await page.waitForURL('**/due');
	await rest(page);
	await page.click('.sign-out');
	await page.waitForURL('**/sign-in');
	await page.goto(new URL('/due', page.url()).href);
	await page.waitForURL('**/sign-in?to=*');
});

test('shows a viewer no button that the server would refuse', async () => {
	const due = await open('/due', { who: 'viewer' });
	assert.ok(await visible(due, 'tbody > tr') > 0);
	assert.equal(await visible(due, '.defer, .defer-key, .frame [href="/import"]'), 0);
	await due.keyboard.press('ArrowDown');
	await due.keyboard.press('d');
	assert.equal(await visible(due, 'dialog'), 0);

	const page = await open(bond, { who: 'viewer' });
	assert.ok(await visible(page, '.readings tbody > tr') > 0);
	assert.equal(await visible(page, '.acts button, .acts a'), 0);

	const inspect = await open(`${bond}/inspect`, { who: 'viewer' });
	assert.match(await inspect.textContent('form .notice'), /may read, not record/);
	assert.equal(await inspect.isDisabled('form button.main'), true);
});

test('shows a crew what it may record, and not the deferral', async () => {
	const page = await open(bond, { who: 'crew' });

	assert.equal(await visible(page, '.acts > .inspect, .acts > .report, .acts > .attach'), 3);
	assert.equal(await visible(page, '.put-off'), 0);
});

/* (the last: it ends the session that the others have) */
test('changes their own password from the head of a page, and is told what is wrong with one',
	async () => {
		const page = await open('/due', { who: 'viewer' });
		const dialog = page.locator('#own-password');
		const type = async (now, next, again) => {
			await page.fill('#password-now', now);
			await page.fill('#password-new', next);
			await page.fill('#password-again', again);
			await dialog.locator('button.main').click();
		};
		const said = (field) =>
			dialog.locator(`.field:has([name="${field}"]) .problem`).textContent();

		await page.click('.who > .name');
		await type(PEOPLE.viewer.password, 'four blue herons', 'four blue heron');
		assert.match(await said('again'), /not the same/);
		await type('something else', 'four blue herons', 'four blue herons');
		assert.match(await said('password'), /not your password/);
		await type(PEOPLE.viewer.password, 'Password2026', 'Password2026');
		assert.match(await said('new_password'), /would be guessed early/);
		await type(PEOPLE.viewer.password, 'four blue herons', 'four blue herons');
		await page.waitForFunction(() => !document.querySelector('#own-password').open);
		assert.match(await page.textContent('.who > .name'), /password changed/);
		await page.reload();   // still signed in here
		await rest(page);
		assert.equal(new URL(page.url()).pathname, '/due');
		const other = await open('/sign-in?to=/due', { who: null });
		await signIn(other, { ...PEOPLE.viewer, password: 'four blue herons' });
		assert.equal(new URL(other.url()).pathname, '/due');
	});
