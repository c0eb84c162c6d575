/*
 * What is said of a session: the device as its browser describes itself, and when.
 */

/* (the first that is found counts: most claim to be several) */
const BROWSERS = [['Edg', 'Edge'], ['OPR/', 'Opera'], ['Firefox', 'Firefox'], ['Chrom', 'Chrome'],
	['Safari', 'Safari'], ['curl', 'curl']];
const SYSTEMS = [['Android', 'Android'], ['iPad', 'iPad'], ['iPhone', 'iPhone'],
	['Windows', 'Windows'], ['Mac OS', 'Mac'], ['CrOS', 'Chromebook'], ['Linux', 'Linux']];

const named = (list, agent) => list.find(([part]) => agent.includes(part))?.[1];

/** @param {string|null} agent  what the browser calls itself */
export function deviceWords(agent) {
	const browser = named(BROWSERS, agent ?? ''), system = named(SYSTEMS, agent ?? '');

	if (!agent)
		return 'a device that says nothing of itself';
	return [browser, system].filter(Boolean).join(' on ') || agent.slice(0, 40);
}

/** An instant of the API to the minute, in UTC. */
export const minuteWords = (instant) => instant ? instant.slice(0, 16).replace('T', ' ') : '';
