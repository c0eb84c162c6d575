/* A fresh register file for a test, removed with its companions at the end. */
#ifndef TESTS_STORE_REGISTER_H
#define TESTS_STORE_REGISTER_H

#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

#include "store/store.h"

struct register_file {
	char folder[64];
	char path[96];
};

static inline void register_file_make(struct register_file *f)
{
	snprintf(f->folder, sizeof f->folder, "/tmp/bondbook-test-XXXXXX");
	ck_assert_ptr_nonnull(mkdtemp(f->folder));
	snprintf(f->path, sizeof f->path, "%s/register.db", f->folder);
}

static inline void register_file_remove(struct register_file *f)
{
	static const char *const ends[] = { "", "-wal", "-shm" };
	char name[128];

	for (size_t i = 0; i < 3; i++) {
		snprintf(name, sizeof name, "%s%s", f->path, ends[i]);
		unlink(name);
	}
	rmdir(f->folder);
}

/* A register with nothing in it, kept from the first that a process makes: its schema takes valgrind
 * four seconds. */
struct register_kept {
	char *bytes;
	size_t len;
};

static inline bool register_keep(const char *path, struct register_kept *kept)
{
	FILE *file = fopen(path, "rb");
	bool ok = file != NULL && fseek(file, 0, SEEK_END) == 0;
	long len = ok ? ftell(file) : 0;

	kept->bytes = len > 0 ? malloc((size_t)len) : NULL;
	kept->len = len > 0 ? (size_t)len : 0;
	ok = kept->bytes != NULL && fseek(file, 0, SEEK_SET) == 0 &&
		fread(kept->bytes, 1, kept->len, file) == kept->len;
	return file != NULL && fclose(file) == 0 && ok;
}

static inline void register_make(const char *path)
{
	static struct register_kept kept;
	struct problem why = { 0 };
	FILE *file;

	if (kept.bytes == NULL) {
		struct store *store = store_open(path, STORE_MAKE, &why);

		ck_assert_msg(store != NULL, "%s", why.detail);
		store_close(store);
		ck_assert(register_keep(path, &kept));
		return;
	}
	file = fopen(path, "wb");
	ck_assert(file != NULL && fwrite(kept.bytes, 1, kept.len, file) == kept.len &&
		fclose(file) == 0);
}

/* To write: it is made when it is not there. */
static inline struct store *register_open(struct register_file *f, enum store_mode mode)
{
	struct problem why = { 0 };
	struct store *store;

	if (mode == STORE_WRITE && access(f->path, F_OK) != 0) {
		register_make(f->path);
	}
	store = store_open(f->path, mode, &why);
	ck_assert_msg(store != NULL, "%s", why.detail);
	return store;
}

#endif
