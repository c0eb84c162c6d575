#include "base/picture.h"

#include <string.h>

#include "base/picture_parts.h"

const char *picture_media_type(enum picture_type type)
{
	static const char *const types[PICTURE_TYPES] = { "image/jpeg", "image/png", "image/webp" };

	return types[type];
}

const char *picture_name(enum picture_type type)
{
	static const char *const names[PICTURE_TYPES] = { "JPEG", "PNG", "WebP" };

	return names[type];
}

/* ---- what the three have in common ---- */

enum part_there picture_there(const struct picture_file *f, size_t len)
{
	if (len <= f->len - f->at) {
		return PART_THERE;
	}
	if (f->is_whole) {
		problem_set(f->why, PROBLEM_VALUE, NULL, "The picture is cut short: a part of it says that "
			"it goes on behind the end of the file. Take or choose it again.");
		return PART_WRONG;
	}
	return PART_COMING;
}

bool picture_sized(const struct picture_file *f, uint32_t width, uint32_t height)
{
	if (width < 1 || height < 1) {
		return problem_set(f->why, PROBLEM_VALUE, NULL, "The picture says that it is %u x %u "
			"pixels.", (unsigned)width, (unsigned)height);
	}
	if (width > PICTURE_SIDE_MOST || height > PICTURE_SIDE_MOST) {
		return problem_set(f->why, PROBLEM_VALUE, NULL, "The picture is %u x %u pixels: at most %d "
			"are taken on a side. Make it smaller first.", (unsigned)width, (unsigned)height,
			PICTURE_SIDE_MOST);
	}
	f->to->width = (int)width;
	f->to->height = (int)height;
	return true;
}

bool picture_wrong(const struct picture_file *f, const char *what)
{
	return problem_set(f->why, PROBLEM_VALUE, NULL, "This is no whole %s picture: %s.",
		picture_name(f->to->type), what);
}

bool picture_carries(const struct picture_file *f, const char *what)
{
	return problem_set(f->why, PROBLEM_VALUE, NULL, "The file carries more than the picture: %s. "
		"The picture alone is taken; bondbook's own pages take all else out before they send it.",
		what);
}

bool picture_ends(const struct picture_file *f)
{
	return !f->is_whole || f->at == f->len || picture_carries(f, "bytes behind its end");
}

/* ---- which it is ---- */

static bool starts(const struct picture_file *f, const char *magic, size_t len)
{
	size_t there = f->len < len ? f->len : len;

	return memcmp(f->bytes, magic, there) == 0;
}

static bool read_file(struct picture_file *f)
{
	if (f->len == 0) {
		return !f->is_whole || problem_set(f->why, PROBLEM_VALUE, NULL, "The file is empty.");
	}
	if (f->len > PICTURE_BYTES_MOST) {
		return problem_set(f->why, PROBLEM_TOO_LARGE, NULL, "A picture has at most %d bytes here.",
			PICTURE_BYTES_MOST);
	}
	if (starts(f, "\xff\xd8", 2)) {
		f->to->type = PICTURE_JPEG;
		return picture_jpeg(f);
	}
	if (starts(f, "\x89PNG\r\n\x1a\n", 8)) {
		f->to->type = PICTURE_PNG;
		return picture_png(f);
	}
	if (starts(f, "RIFF", 4) && (f->len <= 8 || memcmp(f->bytes + 8, "WEBP",
		f->len - 8 < 4 ? f->len - 8 : 4) == 0)) {
		f->to->type = PICTURE_WEBP;
		return picture_webp(f);
	}
	return problem_set(f->why, PROBLEM_VALUE, NULL,
		"This is no picture that is taken here: JPEG, PNG and WebP are.");
}

bool picture_begins(const void *bytes, size_t len, struct picture *to, struct problem *why)
{
	struct picture_file f = { .bytes = bytes, .len = len, .to = to, .why = why };

	*to = (struct picture){ 0 };
	return read_file(&f);
}

bool picture_read(const void *bytes, size_t len, struct picture *to, struct problem *why)
{
	struct picture_file f = { .bytes = bytes, .len = len, .is_whole = true, .to = to, .why = why };

	*to = (struct picture){ 0 };
	return read_file(&f);
}
