/* JPEG (ITU-T T.81, annex B), with the JFIF and Adobe marks and a profile (ICC.1, annex B). */
#include <stdio.h>
#include <string.h>

#include "base/picture_parts.h"

enum { SOF_BASELINE = 0xc0, SOF_EXTENDED, SOF_PROGRESSIVE, DHT = 0xc4, RST_FIRST = 0xd0,
	RST_LAST = 0xd7, EOI = 0xd9, SOS, DQT, DRI = 0xdd, APP0 = 0xe0, APP1, APP2, APP14 = 0xee,
	APP15, COM = 0xfe };

struct jpeg {
	struct picture_file *f;
	size_t profile;           /* bytes of the colour profile so far */
	bool has_frame, has_scan;
};

static unsigned number(const unsigned char *at)
{
	return (unsigned)at[0] << 8 | at[1];
}

static bool begins(const unsigned char *at, size_t len, const char *name, size_t name_len)
{
	return len >= name_len && memcmp(at, name, name_len) == 0;
}

/* (its length, eight fixed bytes, three of each component) */
static bool take_frame(struct jpeg *j, const unsigned char *at, size_t len)
{
	bool colours = len >= 6 && (at[5] == 1 || at[5] == 3);

	if (j->has_frame || !colours || len != 6 + 3 * (size_t)at[5] || at[0] != 8) {
		return picture_wrong(j->f, "what it says of its lines and colours is no form that a "
			"browser shows");
	}
	j->has_frame = true;
	return picture_sized(j->f, number(at + 3), number(at + 1));
}

static bool take_application(struct jpeg *j, int marker, const unsigned char *at, size_t len)
{
	char what[60];

	if (marker == APP0 && begins(at, len, "JFIF", 5) && len == 14 && at[12] == 0 && at[13] == 0) {
		return true;
	}
	if (marker == APP14 && begins(at, len, "Adobe", 5) && len == 12) {
		return true;
	}
	if (marker == APP2 && begins(at, len, "ICC_PROFILE", 12)) {
		j->profile += len;
		return j->profile <= PICTURE_PROFILE_MOST ||
			picture_carries(j->f, "a colour profile as large as a file of its own");
	}
	if (marker == APP1 && begins(at, len, "Exif", 5)) {
		return picture_carries(j->f, "what the camera wrote (EXIF), perhaps the place and time");
	}
	snprintf(what, sizeof what, "a part of another program (APP%d)", marker - APP0);
	return picture_carries(j->f, what);
}

static bool take_segment(struct jpeg *j, int marker, const unsigned char *at, size_t len)
{
	switch (marker) {
	case SOF_BASELINE:
	case SOF_EXTENDED:
	case SOF_PROGRESSIVE:
		return take_frame(j, at, len);
	case DHT:
	case DQT:
	case DRI:
		return true;
	case SOS:
		j->has_scan = true;
		return j->has_frame || picture_wrong(j->f, "pixels come before their size");
	case COM:
		return picture_carries(j->f, "a comment");
	default:
		return marker >= APP0 && marker <= APP15 ? take_application(j, marker, at, len) :
			picture_wrong(j->f, "it has a part that a browser does not show");
	}
}

/* To the next mark behind the pixels of a scan. */
static bool pass_scan(struct picture_file *f)
{
	for (;;) {
		const unsigned char *ff = memchr(f->bytes + f->at, 0xff, f->len - f->at);
		int marker;

		if (ff == NULL || (size_t)(ff - f->bytes) + 1 >= f->len) {
			return picture_wrong(f, "it is cut short");
		}
		f->at = (size_t)(ff - f->bytes);
		marker = ff[1];
		if (marker != 0 && (marker < RST_FIRST || marker > RST_LAST)) {
			return true;
		}
		f->at += 2;
	}
}

bool picture_jpeg(struct picture_file *f)
{
	struct jpeg j = { .f = f };

	PICTURE_WANTS(f, 2);
	f->at = 2;
	for (;;) {
		int marker;
		size_t len;

		PICTURE_WANTS(f, 2);
		if (f->bytes[f->at] != 0xff) {
			return picture_wrong(f, "a mark is missing between two of its parts");
		}
		marker = f->bytes[f->at + 1];
		f->at += 2;
		if (marker == EOI) {
			return j.has_scan ? picture_ends(f) : picture_wrong(f, "it ends before its pixels");
		}
		PICTURE_WANTS(f, 2);
		len = number(f->bytes + f->at);
		if (len < 2) {
			return picture_wrong(f, "a part says that it is shorter than nothing");
		}
		PICTURE_WANTS(f, len);
		if (!take_segment(&j, marker, f->bytes + f->at + 2, len - 2)) {
			return false;
		}
		f->at += len;
		if (marker == SOS && (!f->is_whole || !pass_scan(f))) {
			return !f->is_whole;
		}
	}
}
