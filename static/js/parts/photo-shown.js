import { get } from '../api.js';
import { make } from './template.js';

/**
 * The small picture of a photo on the server, which opens the large one; in its place words, when
 * it is not to be had.
 *
 * @param {string} uuid
 * @param {string} words  what it shows
 */
export function photoShown(uuid, words) {
	const el = Object.assign(make('a', '', 'photo'), { href: `/api/photos/${uuid}/picture` });
	const img = Object.assign(make('img'), { alt: `Photo: ${words}`, loading: 'lazy' });

	img.addEventListener('error', async () => {
		const why = await get(`/api/photos/${uuid}/small`).then(
			() => 'The picture cannot be shown.', ({ detail }) => detail);
		el.replaceWith(make('p', why, 'notice'));
	});
	img.src = `/api/photos/${uuid}/small`;
	el.append(img);
	return el;
}
