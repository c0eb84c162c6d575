/* gzip (RFC 1952) of what is sent. */
#ifndef HTTP_GZIP_H
#define HTTP_GZIP_H

#include "base/text.h"

/* Does this Accept-Encoding (NULL: not sent) take gzip? "gzip;q=0" does not. */
bool gzip_accepted(const char *accept_encoding);

/* Is this media type text, so that gzip makes it smaller? */
bool gzip_worth(const char *type);

/* Packs into to, which is empty before. level 1 (fast) to 9 (small). False when memory ran out;
 * to is empty then. */
bool gzip_pack(const void *bytes, size_t len, int level, struct text *to);

#endif
