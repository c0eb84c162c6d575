/*
 * The outside of a picture's file: that it is a JPEG, PNG or WebP and nothing else, how large it
 * is, and that nothing rides along.
 *
 * Read strictly, from the file's own marks: each part must be one that the picture needs, whole,
 * and the last must end with the file. So what the camera wrote beside the picture (EXIF and XMP
 * with place, time and serial numbers; comments; small pictures within), a second file behind or
 * within (a page, an archive), an animation, and more pixels than may be are refused, in words. No
 * pixel is decoded: libraries that do so take what is refused here, and are where such files hurt.
 */
#ifndef BASE_PICTURE_H
#define BASE_PICTURE_H

#include <stdint.h>

#include "base/problem.h"

enum picture_type { PICTURE_JPEG, PICTURE_PNG, PICTURE_WEBP, PICTURE_TYPES };

/* Of a side, pixels; of the file. A colour profile is the one thing more that stays. */
enum { PICTURE_SIDE_MOST = 1600, PICTURE_BYTES_MOST = 3 << 20, PICTURE_PROFILE_MOST = 64 << 10 };

struct picture {
	enum picture_type type;
	int width, height;    /* pixels; 0: not known yet */
};

/* The media type, "image/jpeg"; the type's name, "JPEG". */
const char *picture_media_type(enum picture_type type);
const char *picture_name(enum picture_type type);

/* The first bytes of a file that is still coming, up to the pixels: whether anything is wrong with
 * it as far as it goes. False: *why, PROBLEM_VALUE. */
bool picture_begins(const void *bytes, size_t len, struct picture *to, struct problem *why);

/* The whole file. */
bool picture_read(const void *bytes, size_t len, struct picture *to, struct problem *why);

#endif
