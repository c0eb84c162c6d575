/* PNG (ISO/IEC 15948; W3C PNG, sections 5 and 11). */
#include <string.h>
#include <zlib.h>

#include "base/picture_parts.h"

enum { HEAD_LEN = 13, AROUND = 12 };   /* length, name, sum */

static uint32_t number(const unsigned char *at)
{
	return (uint32_t)at[0] << 24 | (uint32_t)at[1] << 16 | (uint32_t)at[2] << 8 | at[3];
}

static bool is(const unsigned char *name, const char *of)
{
	return memcmp(name, of, 4) == 0;
}

static bool take_head(struct picture_file *f, const unsigned char *at, size_t len)
{
	if (len != HEAD_LEN || at[10] != 0 || at[11] != 0 || at[12] > 1 ||
		(at[8] != 1 && at[8] != 2 && at[8] != 4 && at[8] != 8 && at[8] != 16) ||
		(at[9] != 0 && at[9] != 2 && at[9] != 3 && at[9] != 4 && at[9] != 6)) {
		return picture_wrong(f, "its head says what no PNG has");
	}
	return picture_sized(f, number(at), number(at + 4));
}

/* What says how the pixels are to be shown, and nothing more. */
static bool is_plain(const unsigned char *name)
{
	static const char *const plain[] = { "PLTE", "tRNS", "gAMA", "cHRM", "sRGB", "sBIT", "bKGD",
		"pHYs" };

	for (size_t i = 0; i < sizeof plain / sizeof plain[0]; i++) {
		if (is(name, plain[i])) {
			return true;
		}
	}
	return false;
}

static bool take_part(struct picture_file *f, const unsigned char *name, size_t len, int *profiles)
{
	enum { PLAIN_MOST = 1024 };

	if (is(name, "IDAT") || is(name, "IEND")) {
		return true;
	}
	if (is(name, "iCCP")) {
		return (++*profiles == 1 && len <= PICTURE_PROFILE_MOST) ||
			picture_carries(f, "a colour profile as large as a file of its own");
	}
	if (is_plain(name)) {
		return len <= PLAIN_MOST || picture_wrong(f, "a part is longer than it can be");
	}
	if (is(name, "eXIf")) {
		return picture_carries(f, "what the camera wrote (EXIF), perhaps the place and time");
	}
	if (is(name, "tEXt") || is(name, "zTXt") || is(name, "iTXt") || is(name, "tIME")) {
		return picture_carries(f, "text");
	}
	return picture_carries(f, "a part that the picture does not need");
}

bool picture_png(struct picture_file *f)
{
	bool has_head = false, has_pixels = false;
	int profiles = 0;

	PICTURE_WANTS(f, 8);
	f->at = 8;
	for (;;) {
		const unsigned char *at = f->bytes + f->at;
		size_t len;

		PICTURE_WANTS(f, 8);
		len = number(at);
		if (is(at + 4, "IHDR") == has_head || len > PICTURE_BYTES_MOST) {
			return picture_wrong(f, "its parts are not in their order");
		}
		if (is(at + 4, "IDAT") && !f->is_whole) {
			return true;
		}
		if (has_head && !take_part(f, at + 4, len, &profiles)) {
			return false;
		}
		PICTURE_WANTS(f, len + AROUND);
		if (crc32(0, at + 4, (uInt)len + 4) != number(at + 8 + len)) {
			return picture_wrong(f, "a part is not as it was written");
		}
		if (!has_head && !take_head(f, at + 8, len)) {
			return false;
		}
		has_head = true;
		has_pixels = has_pixels || is(at + 4, "IDAT");
		f->at += len + AROUND;
		if (is(at + 4, "IEND")) {
			return has_pixels && len == 0 ? picture_ends(f) :
				picture_wrong(f, "it ends before its pixels");
		}
	}
}
