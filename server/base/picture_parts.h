/* What the readers of the three kinds of picture file share: for base/picture*.c alone. */
#ifndef BASE_PICTURE_PARTS_H
#define BASE_PICTURE_PARTS_H

#include "base/picture.h"

struct picture_file {
	const unsigned char *bytes;
	size_t len, at;
	bool is_whole;          /* else the rest is still to come, and only what stands before the
	                         * pixels is looked at */
	struct picture *to;
	struct problem *why;
};

/* Whether so many bytes follow. PART_WRONG: *why. */
enum part_there { PART_THERE, PART_COMING, PART_WRONG };
enum part_there picture_there(const struct picture_file *f, size_t len);

/* Returns from a reader where bytes are wanted that are not there. */
#define PICTURE_WANTS(f, bytes) do { \
		enum part_there there_ = picture_there((f), (bytes)); \
		if (there_ != PART_THERE) { \
			return there_ == PART_COMING; \
		} \
	} while (0)

/* Notes how large it is; false: it may not be. */
bool picture_sized(const struct picture_file *f, uint32_t width, uint32_t height);

/* Each false: *why. "This is no whole PNG picture: {what}." "... more than the picture: {what}." */
bool picture_wrong(const struct picture_file *f, const char *what);
bool picture_carries(const struct picture_file *f, const char *what);

/* At the picture's end: whether the file ends too. */
bool picture_ends(const struct picture_file *f);

bool picture_jpeg(struct picture_file *f);
bool picture_png(struct picture_file *f);
bool picture_webp(struct picture_file *f);

#endif
