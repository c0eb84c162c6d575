/* Photos: of a bond, of one of its ends, of an entry (a failure, a visit ...), or of a place. */
#ifndef STORE_RECORD_PHOTO_H
#define STORE_RECORD_PHOTO_H

#include "base/picture.h"
#include "store/lists/list.h"
#include "store/photo_file.h"
#include "store/record/record_kind.h"

/* What is sent of one, once its two pictures are there. */
struct photo_new {
	char uuid[UUID_TEXT_SIZE];       /* from the address */
	int64_t bond_id;
	int end;                         /* of the bond, -1: the bond as a whole */
	const char *line, *chainage;     /* of a place, where no bond is named */
	int entry;                       /* enum sent_noun: what it was taken with; -1 */
	char entry_id[UUID_TEXT_SIZE];
	char round[UUID_TEXT_SIZE];
	int32_t taken_day;
	int64_t at_ms;
	const char *note, *taken_by;
	const char *sha256, *small_sha256;
	int sent_from;
	/* no members: what the two files are, looked at before the act */
	struct picture large, small;
	int64_t bytes;
};
extern const struct form photo_form;
extern const struct record_kind photo_kind;
extern const struct list photo_list;

/* Which file shows it, the large or the small one. */
struct photo_shown {
	char sha256[SHA256_TEXT_SIZE];
	enum picture_type type;
	bool is_withdrawn;
	char reason[400];                /* of the withdrawal */
};
/* False: *why, PROBLEM_NOT_FOUND when there is none. */
bool store_photo_shown(struct store *store, const char *uuid, bool small, struct photo_shown *to,
	struct problem *why);

#endif
