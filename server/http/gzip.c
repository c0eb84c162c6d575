#include "http/gzip.h"

#include <limits.h>
#include <string.h>
#include <strings.h>
#include <zlib.h>

/* Reads ";q=0", "; q=0.000" as zero: the coding is refused. */
static bool weight_is_zero(const char *at)
{
	at += strspn(at, " \t;");
	if (strncasecmp(at, "q=", 2) != 0) {
		return false;
	}
	at += 2;
	return strcspn(at, "123456789,") == strcspn(at, ",");
}

bool gzip_accepted(const char *accept_encoding)
{
	const char *at = accept_encoding != NULL ? accept_encoding : "";

	while (*at != '\0') {
		size_t name;

		at += strspn(at, " \t,");
		name = strcspn(at, " \t;,");
		if (name == 4 && strncasecmp(at, "gzip", 4) == 0) {
			return !weight_is_zero(at + name);
		}
		at += strcspn(at, ",");
	}
	return false;
}

bool gzip_worth(const char *type)
{
	size_t len = strcspn(type, "; ");

	return strncmp(type, "text/", 5) == 0 ||
		(len >= 4 && strncmp(type + len - 4, "json", 4) == 0) ||
		strncmp(type, "application/manifest+json", len) == 0 ||
		strncmp(type, "image/svg+xml", len) == 0 ||
		strncmp(type, "application/wasm", len) == 0;
}

bool gzip_pack(const void *bytes, size_t len, int level, struct text *to)
{
	enum { GZIP_WINDOW = 15 + 16, MEMORY = 8 }; /* zlib.h: 16 more asks for the gzip wrapping */
	z_stream z = { 0 };
	size_t most;

	if (len > UINT_MAX / 2 ||
		deflateInit2(&z, level, Z_DEFLATED, GZIP_WINDOW, MEMORY, Z_DEFAULT_STRATEGY) != Z_OK) {
		return false;
	}
	most = deflateBound(&z, (uLong)len);
	z.next_out = (Bytef *)text_room(to, most);
	if (z.next_out != NULL) {
		z.next_in = (z_const Bytef *)(uintptr_t)bytes;
		z.avail_in = (uInt)len;
		z.avail_out = (uInt)most;
		if (deflate(&z, Z_FINISH) == Z_STREAM_END) {
			to->len = z.total_out;
		}
	}
	deflateEnd(&z);
	if (to->failed || to->len == 0) {
		text_release(to);
		return false;
	}
	return true;
}
