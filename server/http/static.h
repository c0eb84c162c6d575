/*
 * The pages' files: read once at start, kept with their gzip form and a content hash.
 *
 * A file "due.html" of the folder is found as "/due.html"; nothing is ever joined to a path at
 * request time. Names with other than letters, digits, "-", "_", "." and "/" are left out.
 */
#ifndef HTTP_STATIC_H
#define HTTP_STATIC_H

#include "http/request.h"

struct static_files;

/* NULL: *why names the folder and what is wrong. */
struct static_files *static_files_load(const char *folder, struct problem *why);
void static_files_free(struct static_files *files);

/* Fills the reply (200, or 304 by If-None-Match), with type, ETag, gzip when accepted, and
 * Cache-Control: no-cache for pages, immutable for names with a content hash ("due-AB12CD34.js").
 * False when there is no such file. */
bool static_files_get(const struct static_files *files, const char *path,
	const struct request *req, struct reply *out);

#endif
