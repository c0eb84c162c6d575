#include "http/static.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/array.h"
#include "http/gzip.h"

enum { PATH_SIZE = 256, FILE_MOST = 16 << 20, GZIP_SMALLEST = 9 };

struct static_file {
	char path[PATH_SIZE];      /* "/js/due.js" */
	const char *type;
	const char *cache;
	struct text plain;
	struct text packed;        /* empty when gzip does not make it smaller */
	uint64_t hash;             /* of plain */
};

struct static_files {
	struct static_file *item;  /* sorted by path once loaded */
	size_t count;
};

static const struct { const char *ending, *type; } types[] = {
	{ ".html", "text/html; charset=utf-8" }, { ".css", "text/css; charset=utf-8" },
	{ ".js", "text/javascript; charset=utf-8" }, { ".mjs", "text/javascript; charset=utf-8" },
	{ ".json", "application/json" }, { ".map", "application/json" },
	{ ".webmanifest", "application/manifest+json" }, { ".wasm", "application/wasm" },
	{ ".svg", "image/svg+xml" }, { ".png", "image/png" }, { ".jpg", "image/jpeg" },
	{ ".webp", "image/webp" }, { ".ico", "image/x-icon" }, { ".woff2", "font/woff2" },
	{ ".txt", "text/plain; charset=utf-8" }, { ".pdf", "application/pdf" } };

static const char *type_of(const char *path)
{
	const char *ending = strrchr(path, '.');

	for (size_t i = 0; ending != NULL && i < sizeof types / sizeof types[0]; i++) {
		if (strcmp(ending, types[i].ending) == 0) {
			return types[i].type;
		}
	}
	return "application/octet-stream";
}

/* "/js/due-AB12CD34.js": eight capitals or digits between the last "-" and the next "." */
static bool has_hash(const char *path)
{
	const char *dash = strrchr(path, '-');

	return dash != NULL &&
		strspn(dash + 1, "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789") == 8 && dash[9] == '.';
}

/* FNV-1a, 64 bit: tells versions of our own files apart, nothing more. */
static uint64_t hash_of(const struct text *bytes)
{
	uint64_t hash = UINT64_C(0xcbf29ce484222325);

	for (size_t i = 0; i < bytes->len; i++) {
		hash = (hash ^ (unsigned char)bytes->data[i]) * UINT64_C(0x100000001b3);
	}
	return hash;
}

static bool name_is_plain(const char *name)
{
	static const char allowed[] = "abcdefghijklmnopqrstuvwxyz" "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
		"0123456789-_.";

	return name[0] != '.' && name[strspn(name, allowed)] == '\0';
}

/* The next place in the list, zeroed; NULL when memory ran out. */
static struct static_file *place(struct static_files *files)
{
	if (!array_grow((void **)&files->item, files->count, sizeof *files->item, NULL)) {
		return NULL;
	}
	files->item[files->count] = (struct static_file){ 0 };
	return &files->item[files->count++];
}

static bool read_all(int fd, size_t len, struct text *to)
{
	char *at = text_room(to, len);

	while (at != NULL && to->len < len) {
		ssize_t got = read(fd, to->data + to->len, len - to->len);

		if (got <= 0) {
			return false;
		}
		to->len += (size_t)got;
	}
	return at != NULL;
}

static bool load_file(struct static_files *files, int folder, const char *name, const char *path,
	struct problem *why)
{
	int fd = openat(folder, name, O_RDONLY | O_CLOEXEC);
	struct static_file *f = NULL;
	struct stat st;
	bool ok = false;

	if (fd < 0 || fstat(fd, &st) != 0 || st.st_size > FILE_MOST) {
		problem_set(why, PROBLEM_VALUE, "static", "The file %s cannot be read: %s.", path,
			fd < 0 ? strerror(errno) : "it is over 16 MiB");
		goto end;
	}
	f = place(files);
	if (f == NULL || !read_all(fd, (size_t)st.st_size, &f->plain)) {
		problem_set(why, PROBLEM_VALUE, "static", "The file %s cannot be read whole.", path);
		goto end;
	}
	snprintf(f->path, sizeof f->path, "%s", path);
	f->type = type_of(path);
	f->cache = has_hash(path) ? "public, max-age=31536000, immutable" : "no-cache";
	f->hash = hash_of(&f->plain);
	if (gzip_worth(f->type) && gzip_pack(f->plain.data, f->plain.len, GZIP_SMALLEST, &f->packed) &&
		f->packed.len >= f->plain.len) {
		text_release(&f->packed);
	}
	ok = true;
end:
	if (fd >= 0) {
		close(fd);
	}
	return ok;
}

/* Loads one folder; the names of its folders are added to todo, each ended by NUL. prefix is ""
 * or "/js". */
static bool load_folder(struct static_files *files, const char *root, const char *prefix,
	struct text *todo, struct problem *why)
{
	char path[PATH_SIZE];
	char full[4096];
	struct dirent *entry;
	DIR *folder;
	bool ok = true;

	snprintf(full, sizeof full, "%s%s", root, prefix);
	folder = opendir(full);
	if (folder == NULL) {
		return problem_set(why, PROBLEM_VALUE, "static", "The folder %s cannot be read: %s.", full,
			strerror(errno));
	}
	while (ok && (entry = readdir(folder)) != NULL) {
		struct stat st;
		int len = snprintf(path, sizeof path, "%s/%s", prefix, entry->d_name);

		if (!name_is_plain(entry->d_name) || len >= (int)sizeof path ||
			fstatat(dirfd(folder), entry->d_name, &st, 0) != 0) {
			continue;
		}
		if (S_ISDIR(st.st_mode)) {
			text_add(todo, path, (size_t)len + 1);
		} else if (S_ISREG(st.st_mode)) {
			ok = load_file(files, dirfd(folder), entry->d_name, path, why);
		}
	}
	closedir(folder);
	return ok;
}

static int by_path(const void *a, const void *b)
{
	return strcmp(((const struct static_file *)a)->path, ((const struct static_file *)b)->path);
}

struct static_files *static_files_load(const char *folder, struct problem *why)
{
	struct static_files *files = calloc(1, sizeof *files);
	struct text todo = { 0 };
	size_t at = 0;
	bool ok = files != NULL;

	text_add(&todo, "", 1);
	while (ok && at < todo.len) {
		char prefix[PATH_SIZE];

		snprintf(prefix, sizeof prefix, "%s", todo.data + at);
		at += strlen(prefix) + 1;
		ok = load_folder(files, folder, prefix, &todo, why);
	}
	if (files == NULL || todo.failed) {
		ok = problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory while reading %s.", folder);
	}
	text_release(&todo);
	if (!ok) {
		static_files_free(files);
		return NULL;
	}
	if (files->count > 0) {
		qsort(files->item, files->count, sizeof files->item[0], by_path);
	}
	return files;
}

void static_files_free(struct static_files *files)
{
	for (size_t i = 0; files != NULL && i < files->count; i++) {
		text_release(&files->item[i].plain);
		text_release(&files->item[i].packed);
	}
	if (files != NULL) {
		free(files->item);
	}
	free(files);
}

static const struct static_file *find(const struct static_files *files, const char *path)
{
	size_t from = 0;
	size_t to = files->count;

	while (from < to) {
		size_t middle = from + (to - from) / 2;
		int order = strcmp(path, files->item[middle].path);

		if (order == 0) {
			return &files->item[middle];
		}
		if (order < 0) {
			to = middle;
		} else {
			from = middle + 1;
		}
	}
	return NULL;
}

bool static_files_get(const struct static_files *files, const char *path,
	const struct request *req, struct reply *out)
{
	const struct static_file *f = find(files, path);
	bool packed = f != NULL && req->accept_gzip && f->packed.len > 0;

	if (f == NULL) {
		return false;
	}
	out->type = f->type;
	snprintf(out->cache, sizeof out->cache, "%s", f->cache);
	snprintf(out->etag, sizeof out->etag, "\"%016" PRIx64 "%s\"", f->hash, packed ? "-gz" : "");
	if (request_not_modified(req, out->etag)) {
		out->status = 304;
		return true;
	}
	out->status = 200;
	out->fixed = packed ? f->packed.data : f->plain.data;
	out->fixed_len = packed ? f->packed.len : f->plain.len;
	out->fixed_gzip = packed;
	return true;
}
