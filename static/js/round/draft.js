import { drafts, dropDraft, entries, keepDraft } from '../logic/kept.js';
import { isMine } from '../logic/queue.js';
import { newUuid } from '../logic/uuid.js';
import { me } from '../parts/session.js';

const REST_MS = 300;

/**
 * What is typed in a view of a round, kept a moment after each change.
 *
 * @param {{what: string, bond_id: number|null, label: string, round: string, page: string}} of
 * @param {() => void} cannot  called when this tablet keeps nothing
 */
export function roundDraft({ what, bond_id: id, label, round, page }, cannot) {
	let timer, behind = null, ended = false;

	function write() {
		clearTimeout(timer);
		const typed = behind;
		const by = me();

		behind = null;
		return typed && !ended ? keepDraft({ uuid: typed.uuid, what, bond_id: id, label, page,
			round, typed, at_ms: Date.now(), person: by && { id: by.id, name: by.name } })
			.catch(cannot) : undefined;
	}
	addEventListener('pagehide', write);

	return {
		/**
		 * What was left of this view: a draft, or what the server refused, to be mended.
		 *
		 * @returns {Promise<{typed: object, problem: object|null, by: object|null}|null>}
		 */
		async left() {
			const wanted = new URLSearchParams(location.search).get('entry');
			const isHere = (one) => one.what === what && one.page === page &&
				isMine(one, me()?.id);
			const [begun, kept] = await Promise.all([drafts(), entries()]).catch(() => [[], []]);
			const refused = kept.filter((one) => isHere(one) && one.state === 'refused' &&
				one.typed?.uuid).sort((a, b) => (b.uuid === wanted) - (a.uuid === wanted))[0];
			const draft = begun.find((one) => isHere(one) && (!refused ||
				one.uuid === refused.uuid || refused.uuid !== wanted));

			return draft ? { typed: draft.typed, problem: refused?.uuid === draft.uuid
				? refused.problem : null, by: draft.person }
				: refused ? { typed: refused.typed, problem: refused.problem, by: refused.person }
					: null;
		},
		/* under the id of what is kept on the server with other content nothing is saved again */
		idOf: ({ typed, problem }) => problem?.status === 409 ? newUuid() : typed.uuid,
		keep(typed) {
			behind = typed;
			clearTimeout(timer);
			timer = setTimeout(write, REST_MS);
		},
		flush: write,
		drop: (uuid) => dropDraft(uuid).catch(cannot),
		/** What was saved is no draft any more. */
		end() {
			ended = true;
			clearTimeout(timer);
			removeEventListener('pagehide', write);
		}
	};
}
