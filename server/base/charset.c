#include "base/charset.h"

#include <string.h>

#include "base/utf8.h"

static const char *const codes[] = { "utf_8", "windows_1252", "cp850" };
static const char *const titles[] = { "UTF-8", "Windows-1252", "Code page 850" };
const struct words charset_words = { "charset", codes, titles, 3 };

/* 80 to 9F; from A0 on Windows-1252 is Latin-1, whose code points are its bytes. */
static const uint16_t windows_1252[32] = {
	0x20AC, 0,      0x201A, 0x0192, 0x201E, 0x2026, 0x2020, 0x2021,
	0x02C6, 0x2030, 0x0160, 0x2039, 0x0152, 0,      0x017D, 0,
	0,      0x2018, 0x2019, 0x201C, 0x201D, 0x2022, 0x2013, 0x2014,
	0x02DC, 0x2122, 0x0161, 0x203A, 0x0153, 0,      0x017E, 0x0178
};

static const uint16_t cp850[128] = {
	0x00C7, 0x00FC, 0x00E9, 0x00E2, 0x00E4, 0x00E0, 0x00E5, 0x00E7,
	0x00EA, 0x00EB, 0x00E8, 0x00EF, 0x00EE, 0x00EC, 0x00C4, 0x00C5,
	0x00C9, 0x00E6, 0x00C6, 0x00F4, 0x00F6, 0x00F2, 0x00FB, 0x00F9,
	0x00FF, 0x00D6, 0x00DC, 0x00F8, 0x00A3, 0x00D8, 0x00D7, 0x0192,
	0x00E1, 0x00ED, 0x00F3, 0x00FA, 0x00F1, 0x00D1, 0x00AA, 0x00BA,
	0x00BF, 0x00AE, 0x00AC, 0x00BD, 0x00BC, 0x00A1, 0x00AB, 0x00BB,
	0x2591, 0x2592, 0x2593, 0x2502, 0x2524, 0x00C1, 0x00C2, 0x00C0,
	0x00A9, 0x2563, 0x2551, 0x2557, 0x255D, 0x00A2, 0x00A5, 0x2510,
	0x2514, 0x2534, 0x252C, 0x251C, 0x2500, 0x253C, 0x00E3, 0x00C3,
	0x255A, 0x2554, 0x2569, 0x2566, 0x2560, 0x2550, 0x256C, 0x00A4,
	0x00F0, 0x00D0, 0x00CA, 0x00CB, 0x00C8, 0x0131, 0x00CD, 0x00CE,
	0x00CF, 0x2518, 0x250C, 0x2588, 0x2584, 0x00A6, 0x00CC, 0x2580,
	0x00D3, 0x00DF, 0x00D4, 0x00D2, 0x00F5, 0x00D5, 0x00B5, 0x00FE,
	0x00DE, 0x00DA, 0x00DB, 0x00D9, 0x00FD, 0x00DD, 0x00AF, 0x00B4,
	0x00AD, 0x00B1, 0x2017, 0x00BE, 0x00B6, 0x00A7, 0x00F7, 0x00B8,
	0x00B0, 0x00A8, 0x00B7, 0x00B9, 0x00B3, 0x00B2, 0x25A0, 0x00A0
};

uint32_t charset_code_point(enum charset from, unsigned char byte)
{
	if (byte < 0x80) {
		return byte;
	}
	if (from == CHARSET_CP850) {
		return cp850[byte - 0x80];
	}
	return byte < 0xA0 ? windows_1252[byte - 0x80] : byte;
}

static bool refuse_byte(enum charset from, const char *bytes, size_t at, struct problem *why)
{
	size_t line = 1;
	size_t line_from = 0;

	for (size_t i = 0; i < at; i++) {
		bool ends = bytes[i] == '\n' || (bytes[i] == '\r' && bytes[i + 1] != '\n');

		line += ends;
		line_from = ends ? i + 1 : line_from;
	}
	return problem_set(why, PROBLEM_MALFORMED, NULL, "the file is not %s: byte %02X in line %zu, "
		"byte %zu of that line (offset %zu in the file), does not exist in it; choose another "
		"encoding or save the file again as UTF-8", titles[from], (unsigned char)bytes[at], line,
		at - line_from + 1, at);
}

/* Bytes at the start that are ASCII. */
static size_t count_ascii(const char *bytes, size_t len)
{
	size_t at = 0;

	while (at + 8 <= len) {
		uint64_t eight;

		memcpy(&eight, bytes + at, 8);
		if ((eight & 0x8080808080808080u) != 0) {
			break;
		}
		at += 8;
	}
	while (at < len && (unsigned char)bytes[at] < 0x80) {
		at++;
	}
	return at;
}

static bool copy_utf8(const char *bytes, size_t len, struct text *to, struct problem *why)
{
	size_t mark = len >= 3 && memcmp(bytes, "\xEF\xBB\xBF", 3) == 0 ? 3 : 0;
	size_t at = mark;

	while (at < len) {
		size_t step = utf8_step(bytes + at, len - at);

		if (step == 0) {
			return refuse_byte(CHARSET_UTF_8, bytes, at, why);
		}
		at += step > 1 ? step : count_ascii(bytes + at, len - at);
	}
	text_add(to, bytes + mark, len - mark);
	return true;
}

static bool map_bytes(enum charset from, const char *bytes, size_t len, struct text *to,
	struct problem *why)
{
	size_t at = 0;

	while (at < len) {
		size_t ascii = count_ascii(bytes + at, len - at);
		uint32_t code_point;
		char out[4];

		text_add(to, bytes + at, ascii);
		at += ascii;
		if (at == len) {
			break;
		}
		code_point = charset_code_point(from, (unsigned char)bytes[at]);
		if (code_point == 0) {
			return refuse_byte(from, bytes, at, why);
		}
		text_add(to, out, utf8_put(code_point, out));
		at++;
	}
	return true;
}

bool charset_to_utf8(enum charset from, const char *bytes, size_t len, struct text *to,
	struct problem *why)
{
	bool right;

	if (text_room(to, len) == NULL) {
		return problem_set(why, PROBLEM_NO_MEMORY, NULL, "out of memory");
	}
	right = from == CHARSET_UTF_8 ? copy_utf8(bytes, len, to, why) :
		map_bytes(from, bytes, len, to, why);
	if (right && to->failed) {
		return problem_set(why, PROBLEM_NO_MEMORY, NULL, "out of memory");
	}
	return right;
}

enum { UTF16_LOOK = 64 };

/* Where the NULs of plain letters stand: 1 in little-endian, 0 in big-endian, -1: it is neither. */
static int utf16_end(const char *bytes, size_t len)
{
	size_t nuls[2] = { 0 };
	size_t look = len < UTF16_LOOK ? len : UTF16_LOOK;

	if (len >= 2 && memcmp(bytes, "\xFF\xFE", 2) == 0) {
		return 1;
	}
	if (len >= 2 && memcmp(bytes, "\xFE\xFF", 2) == 0) {
		return 0;
	}
	for (size_t i = 0; i < look; i++) {
		nuls[i % 2] += bytes[i] == '\0';
	}
	return look < 8 || nuls[0] * nuls[1] > 0 ? -1 : nuls[1] * 4 > look ? 1 :
		nuls[0] * 4 > look ? 0 : -1;
}

bool charset_is_utf16(const char *bytes, size_t len)
{
	return utf16_end(bytes, len) >= 0;
}

bool charset_utf16_to_utf8(const char *bytes, size_t len, struct text *to, struct problem *why)
{
	const unsigned char *b = (const unsigned char *)bytes;
	size_t low = utf16_end(bytes, len) == 1 ? 0 : 1, line = 1;

	for (size_t at = 0; at < len; at += 2) {
		uint32_t c = at + 1 < len ? (uint32_t)(b[at + 1 - low] << 8 | b[at + low]) : 0xDC00;
		char out[4];

		if (c >= 0xD800 && c < 0xDC00 && at + 3 < len) {
			uint32_t next = (uint32_t)(b[at + 3 - low] << 8 | b[at + 2 + low]);

			c = next >= 0xDC00 && next < 0xE000 ? 0x10000 + ((c - 0xD800) << 10) + (next - 0xDC00) :
				c;
			at += c >= 0x10000 ? 2 : 0;
		}
		if (c >= 0xD800 && c < 0xE000) {
			return problem_set(why, PROBLEM_MALFORMED, NULL, "The file seems to be UTF-16, and "
				"half a character stands in its line %zu: save it again as UTF-8 (in a "
				"spreadsheet: CSV UTF-8).", line);
		}
		line += c == '\n';
		if (c != 0xFEFF || at > 0) {
			text_add(to, out, utf8_put(c, out));
		}
	}
	return !to->failed || problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
}
