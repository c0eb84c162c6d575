/* WebP (RFC 9649): one still picture, VP8 or VP8L, alone or in the extended form. */
#include <string.h>

#include "base/picture_parts.h"

enum { HAS_PROFILE = 0x20, HAS_ALPHA = 0x10, HAS_EXIF = 0x08, HAS_XMP = 0x04, IS_ANIMATION = 0x02 };

struct webp {
	struct picture_file *f;
	int flags;                      /* of the extended form; -1: the simple one */
	uint32_t width, height;         /* that the extended form says */
	bool has_pixels, has_profile, has_alpha;
};

static uint32_t number(const unsigned char *at, int bytes)
{
	uint32_t value = 0;

	for (int i = bytes - 1; i >= 0; i--) {
		value = value << 8 | at[i];
	}
	return value;
}

static bool is(const unsigned char *name, const char *of)
{
	return memcmp(name, of, 4) == 0;
}

static bool sized(struct webp *w, uint32_t width, uint32_t height)
{
	w->has_pixels = true;
	if (w->flags >= 0 && (width != w->width || height != w->height)) {
		return picture_wrong(w->f, "it says two sizes");
	}
	return picture_sized(w->f, width, height);
}

/* RFC 6386 section 9.1: three bytes of a key frame, a mark, two sides of 14 bits. */
static bool take_lossy(struct webp *w, const unsigned char *at)
{
	if ((at[0] & 1) != 0 || memcmp(at + 3, "\x9d\x01\x2a", 3) != 0) {
		return picture_wrong(w->f, "its pixels do not begin as they must");
	}
	return sized(w, number(at + 6, 2) & 0x3fff, number(at + 8, 2) & 0x3fff);
}

/* RFC 9649 section 3.4: a mark, two sides of 14 bits less one, alpha, version 0. */
static bool take_lossless(struct webp *w, const unsigned char *at)
{
	uint32_t bits = number(at + 1, 4);

	if (at[0] != 0x2f || bits >> 29 != 0) {
		return picture_wrong(w->f, "its pixels do not begin as they must");
	}
	return sized(w, (bits & 0x3fff) + 1, (bits >> 14 & 0x3fff) + 1);
}

static bool take_extended(struct webp *w, const unsigned char *at)
{
	w->flags = at[0];
	w->width = number(at + 4, 3) + 1;
	w->height = number(at + 7, 3) + 1;
	if ((w->flags & (HAS_EXIF | HAS_XMP)) != 0) {
		return picture_carries(w->f, "what the camera wrote (EXIF or XMP)");
	}
	if ((w->flags & IS_ANIMATION) != 0) {
		return picture_carries(w->f, "an animation");
	}
	return picture_sized(w->f, w->width, w->height);
}

/* How many bytes of a part are looked at; -1: it may not be there. */
static int wanted(struct webp *w, const unsigned char *name, uint32_t len)
{
	bool first = w->f->at == 12;

	if (is(name, "VP8X")) {
		return first && len == 10 ? 10 : -1;
	}
	if (is(name, "VP8 ") || is(name, "VP8L")) {
		int head = name[3] == 'L' ? 5 : 10;

		return (first || w->flags >= 0) && len >= (uint32_t)head ? head : -1;
	}
	if (is(name, "ICCP") && w->flags >= 0 && (w->flags & HAS_PROFILE) != 0 && !w->has_profile &&
		len <= PICTURE_PROFILE_MOST) {
		w->has_profile = true;
		return 0;
	}
	if (is(name, "ALPH") && w->flags >= 0 && (w->flags & HAS_ALPHA) != 0 && !w->has_alpha) {
		w->has_alpha = true;
		return 0;
	}
	return -1;
}

static bool take_part(struct webp *w, const unsigned char *name, const unsigned char *at)
{
	return is(name, "VP8X") ? take_extended(w, at) : is(name, "VP8 ") ? take_lossy(w, at) :
		is(name, "VP8L") ? take_lossless(w, at) : true;
}

bool picture_webp(struct picture_file *f)
{
	struct webp w = { .f = f, .flags = -1 };

	PICTURE_WANTS(f, 12);
	if (f->is_whole && number(f->bytes + 4, 4) != f->len - 8) {
		return picture_wrong(f, "it says that it is longer or shorter than the file");
	}
	f->at = 12;
	while (!w.has_pixels) {
		const unsigned char *at = f->bytes + f->at;
		uint32_t len;
		int look;

		PICTURE_WANTS(f, 8);
		len = number(at + 4, 4);
		look = wanted(&w, at, len);
		if (look < 0) {
			return picture_carries(f, "a part that the picture does not need");
		}
		PICTURE_WANTS(f, 8 + (size_t)look);
		if (!take_part(&w, at, at + 8)) {
			return false;
		}
		if (w.has_pixels && !f->is_whole) {
			return true;
		}
		PICTURE_WANTS(f, 8 + (size_t)len + len % 2);
		f->at += 8 + (size_t)len + len % 2;
	}
	return picture_ends(f);
}
