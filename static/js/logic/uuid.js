/**
 * A UUID of version 7 (RFC 9562, 5.7) from its parts: 48 bits of milliseconds, then random bits.
 *
 * @param {number} ms  milliseconds since 1970 UTC
 * @param {Uint8Array} random  10 random bytes
 */
export function uuid7From(ms, random) {
	const time = ms.toString(16).padStart(12, '0');
	const rest = Array.from(random);

	rest[0] = (rest[0] & 0x0f) | 0x70;
	rest[2] = (rest[2] & 0x3f) | 0x80;
	const hex = time + rest.map((byte) => byte.toString(16).padStart(2, '0')).join('');
	return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, '$1-$2-$3-$4-$5');
}

let last_ms = 0;

/** A new one, now. A clock that is set back while the page is open does not turn the order. */
export function newUuid() {
	last_ms = Math.max(Date.now(), last_ms + 1);
	return uuid7From(last_ms, crypto.getRandomValues(new Uint8Array(10)));
}
