import { get } from '../api.js';
import { momentWords } from '../logic/moment.js';

const OLD_H = 48;   // of a backup that is made every night, one was missed
const HOUR_MS = 3600000;

/** When the last backup was made, for who has to see that there is one. */
export async function lastBackup(notice) {
	const { made_at: made } = await get('/api/backup');
	const hours = made ? (Date.now() - Date.parse(made)) / HOUR_MS : Infinity;

	notice.textContent = made ? `Last backup of the register: ${momentWords(made)}${hours > OLD_H
		? `, ${Math.floor(hours / 24)} days ago: what came in since is in no backup.` : '.'}`
		: 'No backup of the register is noted: bondbook backup makes one, also while it is served.';
	notice.dataset.kind = hours > OLD_H ? 'wrong' : 'note';
	notice.hidden = false;
}
