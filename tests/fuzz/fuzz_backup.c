/* Any bytes as what a backup says of itself: it is refused in words, or names files below its
 * folder alone, and what is written of it reads back the same. */
#include <assert.h>
#include <string.h>

#include "service/backup/said.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void check_files(const struct backup_said *said)
{
	const struct backup_file *files = said->files.items;

	for (size_t i = 0; i < said->files.count; i++) {
		assert(files[i].name[0] != '/' && files[i].name[0] != '.');
		assert(strstr(files[i].name, "..") == NULL || strstr(files[i].name, "/..") == NULL);
		assert(strlen(files[i].sha256) == FILE_HASH_SIZE - 1 && files[i].bytes >= 0);
	}
}

static void check_again(const struct backup_said *said)
{
	struct form_memory memory = { 0 };
	struct backup_said again;
	struct problem why = { 0 };
	struct text first = { 0 }, second = { 0 };

	form_write(&backup_said_form, said, &first);
	assert(!first.failed);
	assert(backup_said_read(first.data, first.len, &again, &memory, &why));
	form_write(&backup_said_form, &again, &second);
	assert(first.len == second.len && memcmp(first.data, second.data, first.len) == 0);
	text_release(&first);
	text_release(&second);
	form_memory_release(&memory);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
	struct form_memory memory = { 0 };
	struct backup_said said;
	struct problem why = { 0 };

	if (backup_said_read((const char *)data, size, &said, &memory, &why)) {
		check_files(&said);
		check_again(&said);
	} else {
		assert(why.code != PROBLEM_NONE && why.detail[0] != '\0');
	}
	form_memory_release(&memory);
	return 0;
}
