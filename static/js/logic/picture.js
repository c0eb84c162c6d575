/*
 * The bytes of a picture: what rides along is taken out, and their hash. (What makes them smaller
 * writes marks of its own beside the pixels, with some systems EXIF too.)
 */

const SCAN = 0xda, PROFILE = 0xe2, JFIF = 0xe0, ADOBE = 0xee, COMMENT = 0xfe;

const stays = (marker) => marker === JFIF || marker === PROFILE || marker === ADOBE ||
	((marker < 0xe0 || marker > 0xef) && marker !== COMMENT);

/**
 * A JPEG without what other programs wrote into it: of the marks before the pixels those stay that
 * show it as it is. What is no JPEG comes back as it was.
 *
 * @param {Uint8Array} bytes
 * @returns {Uint8Array}
 */
export function pictureAlone(bytes) {
	const kept = [bytes.subarray(0, 2)];
	let at = 2;

	if (bytes[0] !== 0xff || bytes[1] !== 0xd8)
		return bytes;
	while (at + 4 <= bytes.length && bytes[at] === 0xff && bytes[at + 1] !== SCAN) {
		const end = at + 2 + bytes[at + 2] * 256 + bytes[at + 3];

		if (stays(bytes[at + 1]))
			kept.push(bytes.subarray(at, end));
		at = end;
	}
	kept.push(bytes.subarray(at));
	return joined(kept);
}

function joined(parts) {
	const all = new Uint8Array(parts.reduce((sum, { length }) => sum + length, 0));
	let at = 0;

	for (const part of parts) {
		all.set(part, at);
		at += part.length;
	}
	return all;
}

const hex = (bytes) => Array.from(bytes, (byte) => byte.toString(16).padStart(2, '0')).join('');

/** SHA-256 in hexadecimal. A page over plain http is given no hash by the browser. */
export async function sha256(bytes) {
	return hex(globalThis.crypto?.subtle
		? new Uint8Array(await crypto.subtle.digest('SHA-256', bytes)) : sha256Here(bytes));
}

/* FIPS 180-4, section 4.2.2: the first 32 bits of the fractions of cube and square roots. */
const PRIMES = [2, 3, 5, 7, 11, 13, 17, 19, 23, 29, 31, 37, 41, 43, 47, 53, 59, 61, 67, 71, 73, 79,
	83, 89, 97, 101, 103, 107, 109, 113, 127, 131, 137, 139, 149, 151, 157, 163, 167, 173, 179,
	181, 191, 193, 197, 199, 211, 223, 227, 229, 233, 239, 241, 251, 257, 263, 269, 271, 277, 281,
	283, 293, 307, 311];
const fraction = (value) => (value - Math.floor(value)) * 2 ** 32 >>> 0;
const K = PRIMES.map((prime) => fraction(Math.cbrt(prime)));
const right = (word, by) => word >>> by | word << 32 - by;

/** The same without the browser. @param {Uint8Array} bytes */
export function sha256Here(bytes) {
	const size = bytes.length + 9 + 63 & ~63;
	const padded = new Uint8Array(size), view = new DataView(padded.buffer);
	const state = PRIMES.slice(0, 8).map((prime) => fraction(Math.sqrt(prime)));

	padded.set(bytes);
	padded[bytes.length] = 0x80;
	view.setUint32(size - 8, Math.floor(bytes.length / 2 ** 29));
	view.setUint32(size - 4, bytes.length << 3);
	for (let at = 0; at < size; at += 64)
		takeBlock(state, view, at);
	state.forEach((word, i) => view.setUint32(4 * i, word));
	return padded.slice(0, 32);
}

const w = new Int32Array(64);

function takeBlock(state, view, at) {
	let [a, b, c, d, e, f, g, h] = state;

	for (let i = 0; i < 64; i++) {
		if (i < 16) {
			w[i] = view.getInt32(at + 4 * i);
		} else {
			const [x, y] = [w[i - 15], w[i - 2]];
			w[i] = w[i - 16] + (right(x, 7) ^ right(x, 18) ^ x >>> 3) + w[i - 7] +
				(right(y, 17) ^ right(y, 19) ^ y >>> 10);
		}
		const one = h + (right(e, 6) ^ right(e, 11) ^ right(e, 25)) + (e & f ^ ~e & g) + K[i] +
			w[i] | 0;
		const two = (right(a, 2) ^ right(a, 13) ^ right(a, 22)) + (a & b ^ a & c ^ b & c) | 0;
		[h, g, f, e, d, c, b, a] = [g, f, e, d + one | 0, c, b, a, one + two | 0];
	}
	[a, b, c, d, e, f, g, h].forEach((word, i) => { state[i] = state[i] + word | 0; });
}
