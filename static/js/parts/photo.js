import { Problem } from '../api.js';
import { pictureAlone, sha256 } from '../logic/picture.js';

/*
 * A photo as it is kept and sent: drawn anew, smaller, so that nothing of the camera's own words
 * (place, time, serial number) is left, and a small one of it. One at a time: a picture of 50
 * megapixels takes 200 MB while it is open.
 */
const LARGE = [1600, 0.8], SMALL = [320, 0.7];
let before = Promise.resolve();

/**
 * @param {Blob} file  a picture that this browser can show
 * @returns {Promise<{sha256: string, small_sha256: string, pictures: {sha256: string, type: string,
 *	bytes: ArrayBuffer}[]}>}
 * @throws {Problem} with a sentence: it is none
 */
export function makePhoto(file) {
	const made = before.then(() => makeOne(file));

	before = made.catch(() => {});
	return made;
}

async function makeOne(file) {
	const url = URL.createObjectURL(file);

	try {
		const shown = await load(url);
		const large = await draw(file, shown, LARGE);
		const small = await draw(new Blob([large.bytes], { type: large.type }), shown, SMALL);

		return { sha256: large.sha256, small_sha256: small.sha256, pictures: [large, small] };
	} finally {
		URL.revokeObjectURL(url);
	}
}

const NO_PICTURE = { detail: 'This is no picture that this device can open: take a photo, or ' +
	'choose a JPEG, PNG or WebP.' };

/* Reads how large it is, turned as it is shown, and opens no pixel yet. */
function load(url) {
	const img = new Image();

	return new Promise((resolve, reject) => {
		img.onload = () => resolve(img);
		img.onerror = () => reject(new Problem(422, NO_PICTURE));
		img.src = url;
	});
}

async function draw(file, { naturalWidth: width, naturalHeight: height }, [most, quality]) {
	const scale = Math.min(1, most / Math.max(width, height));
	const canvas = document.createElement('canvas');

	canvas.width = Math.max(1, Math.round(width * scale));
	canvas.height = Math.max(1, Math.round(height * scale));
	await fillCanvas(canvas, file);
	const blob = await new Promise((resolve) => canvas.toBlob(resolve, 'image/jpeg', quality));
	canvas.width = canvas.height = 0;   // (its memory goes now)
	if (!blob)
		throw new Problem(422, { detail: 'This device could not make the picture smaller.' });
	const bytes = pictureAlone(new Uint8Array(await blob.arrayBuffer()));
	return { sha256: await sha256(bytes), type: blob.type, bytes: bytes.slice().buffer };
}

/* Beside the page's own work; where the browser cannot, by the page. */
async function fillCanvas(canvas, file) {
	const { width, height } = canvas;
	const context = canvas.getContext('2d', { alpha: false });
	const bitmap = await createImageBitmap(file, { resizeWidth: width, resizeHeight: height,
		resizeQuality: 'medium', imageOrientation: 'from-image' }).catch(() => null);

	if (bitmap) {
		context.drawImage(bitmap, 0, 0, width, height);
		bitmap.close();
		return;
	}
	const url = URL.createObjectURL(file);
	try {
		context.drawImage(await load(url), 0, 0, width, height);
	} finally {
		URL.revokeObjectURL(url);
	}
}
