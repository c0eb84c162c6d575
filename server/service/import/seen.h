/*
 * Which identities a file has had: a hash table of 16-byte keys, which are hashes already. (Of our
 * own: a file has millions, and uthash takes an allocation and 56 bytes more for each.) Internal to
 * the importer.
 */
#ifndef SERVICE_IMPORT_SEEN_H
#define SERVICE_IMPORT_SEEN_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { IMPORT_KEY_BYTES = 16 };

struct import_group;

/* All zero but the key when new. */
struct import_entry {
	unsigned char key[IMPORT_KEY_BYTES];
	size_t row;                   /* a failure's first row; an inspection's last */
	size_t part;                  /* of that row */
	size_t wrong_row;             /* of the group, 0: none */
	unsigned char content[8];     /* hash of what it says */
	uint32_t *members;            /* a hash for each mapped field; owned */
	struct import_group *group;   /* an inspection that is being gathered; owned by its maker */
};

struct import_seen {
	struct import_entry *entries; /* owned */
	size_t room, count;
};

/* The entry of a key, made when there is none. Valid until the next call. NULL: out of memory. */
struct import_entry *import_seen_at(struct import_seen *seen,
	const unsigned char key[IMPORT_KEY_BYTES]);
void import_seen_release(struct import_seen *seen);

#endif
