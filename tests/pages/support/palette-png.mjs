/* A screenshot with at most 256 colours: a third of the bytes, and no difference to the eye. */
import { deflateSync, inflateSync } from 'node:zlib';

const SIGNATURE = Buffer.from([137, 80, 78, 71, 13, 10, 26, 10]);

/** @param {Buffer} png  8 bits a channel, RGB or RGBA, not interlaced, as a browser makes it */
export function palettePng(png) {
	const { width, height, channels, rows } = decode(png);
	const colours = palette(rows, channels);
	const nearest = finder(colours);
	const lines = Buffer.alloc((width + 1) * height);

	for (let y = 0; y < height; y++) {
		for (let x = 0; x < width; x++)
			lines[y * (width + 1) + 1 + x] = nearest(rows.readUIntBE((y * width + x) * channels, 3));
	}
	const head = Buffer.alloc(13);
	head.writeUInt32BE(width, 0);
	head.writeUInt32BE(height, 4);
	head.set([8, 3, 0, 0, 0], 8);
	const table = Buffer.from(colours.flatMap((c) => [c >> 16, (c >> 8) & 255, c & 255]));
	return Buffer.concat([SIGNATURE, chunk('IHDR', head), chunk('PLTE', table),
		chunk('IDAT', deflateSync(lines, { level: 9 })), chunk('IEND', Buffer.alloc(0))]);
}

/* PNG, third edition, 9.2: each line says how it was filtered. */
function decode(png) {
	const width = png.readUInt32BE(16), height = png.readUInt32BE(20);
	const channels = png[25] === 6 ? 4 : 3;
	const data = [];

	for (let at = 8; at < png.length; at += 12 + png.readUInt32BE(at)) {
		if (png.toString('latin1', at + 4, at + 8) === 'IDAT')
			data.push(png.subarray(at + 8, at + 8 + png.readUInt32BE(at)));
	}
	const raw = inflateSync(Buffer.concat(data));
	const stride = width * channels;
	const rows = Buffer.alloc(stride * height);

	for (let y = 0; y < height; y++) {
		const filter = raw[y * (stride + 1)];
		for (let x = 0; x < stride; x++) {
			const left = x >= channels ? rows[y * stride + x - channels] : 0;
			const up = y > 0 ? rows[(y - 1) * stride + x] : 0;
			const corner = x >= channels && y > 0 ? rows[(y - 1) * stride + x - channels] : 0;
			rows[y * stride + x] = raw[y * (stride + 1) + 1 + x] + [0, left, up, (left + up) >> 1, paeth(left, up, corner)][filter];
		}
	}
	return { width, height, channels, rows };
}

function paeth(a, b, c) {
	const p = a + b - c;
	const [pa, pb, pc] = [Math.abs(p - a), Math.abs(p - b), Math.abs(p - c)];
	return pa <= pb && pa <= pc ? a : pb <= pc ? b : c;
}

/* The 256 colours that are there most. */
function palette(rows, channels) {
	const counts = new Map();

	for (let at = 0; at < rows.length; at += channels) {
		const colour = rows.readUIntBE(at, 3);
		counts.set(colour, (counts.get(colour) ?? 0) + 1);
	}
	return [...counts].sort((a, b) => b[1] - a[1]).slice(0, 256).map(([colour]) => colour);
}

function finder(colours) {
	const known = new Map(colours.map((colour, i) => [colour, i]));
	const far = (a, b) => [16, 8, 0].reduce((sum, bits) => sum + (((a >> bits) & 255) - ((b >> bits) & 255)) ** 2, 0);

	return (colour) => {
		if (!known.has(colour))
			known.set(colour, colours.reduce((best, one, i) => far(one, colour) < far(colours[best], colour) ? i : best, 0));
		return known.get(colour);
	};
}

function chunk(type, data) {
	const body = Buffer.concat([Buffer.from(type, 'latin1'), data]);
	const all = Buffer.alloc(body.length + 8);

	all.writeUInt32BE(data.length, 0);
	body.copy(all, 4);
	all.writeUInt32BE(crc(body), body.length + 4);
	return all;
}

/* CRC-32 of ISO 3309, as PNG has it in its annex D. */
function crc(bytes) {
	let c = 0xffffffff;

	for (const byte of bytes) {
		c ^= byte;
		for (let k = 0; k < 8; k++)
			c = c & 1 ? (c >>> 1) ^ 0xedb88320 : c >>> 1;
	}
	return (c ^ 0xffffffff) >>> 0;
}
