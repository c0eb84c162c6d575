#include "service/import/seen.h"

#include <stdlib.h>
#include <string.h>

/* An entry is in use when its key is not all zero, which no hash is in practice. */
static bool is_free(const struct import_entry *entry)
{
	static const unsigned char none[IMPORT_KEY_BYTES];

	return memcmp(entry->key, none, IMPORT_KEY_BYTES) == 0;
}

static struct import_entry *find(struct import_entry *entries, size_t room,
	const unsigned char *key)
{
	uint64_t hash;
	size_t at;

	memcpy(&hash, key, sizeof hash);
	at = (size_t)hash & (room - 1);
	while (!is_free(&entries[at]) && memcmp(entries[at].key, key, IMPORT_KEY_BYTES) != 0) {
		at = (at + 1) & (room - 1);
	}
	return &entries[at];
}

static bool grow(struct import_seen *seen)
{
	size_t room = seen->room > 0 ? seen->room * 2 : 1024;
	struct import_entry *entries = calloc(room, sizeof *entries);

	if (entries == NULL) {
		return false;
	}
	for (size_t i = 0; i < seen->room; i++) {
		if (!is_free(&seen->entries[i])) {
			*find(entries, room, seen->entries[i].key) = seen->entries[i];
		}
	}
	free(seen->entries);
	seen->entries = entries;
	seen->room = room;
	return true;
}

struct import_entry *import_seen_at(struct import_seen *seen,
	const unsigned char key[IMPORT_KEY_BYTES])
{
	struct import_entry *entry;

	if (seen->count * 2 >= seen->room && !grow(seen)) {
		return NULL;
	}
	entry = find(seen->entries, seen->room, key);
	if (is_free(entry)) {
		memcpy(entry->key, key, IMPORT_KEY_BYTES);
		seen->count++;
	}
	return entry;
}

void import_seen_release(struct import_seen *seen)
{
	for (size_t i = 0; i < seen->room; i++) {
		free(seen->entries[i].members);
	}
	free(seen->entries);
	*seen = (struct import_seen){ 0 };
}
