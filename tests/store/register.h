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

/* To write: it is made when it is not there. */
static inline struct store *register_open(struct register_file *f, enum store_mode mode)
{
	struct problem why = { 0 };
	bool make = mode == STORE_WRITE && access(f->path, F_OK) != 0;
	struct store *store = store_open(f->path, make ? STORE_MAKE : mode, &why);

	ck_assert_msg(store != NULL, "%s", why.detail);
	return store;
}

#endif
