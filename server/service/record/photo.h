/* Photos. Their pictures are sent first (store/photo_file.h): a photo that is kept has them. */
#ifndef SERVICE_RECORD_PHOTO_H
#define SERVICE_RECORD_PHOTO_H

#include "derived/act.h"
#include "store/record/photo.h"

/* Looks at the two files that the form names, before the act. False: *why; PROBLEM_CONFLICT of a
 * file that has not come. */
bool photo_look(const char *register_path, struct photo_new *form, struct problems *why);

/* Keeps it, of a bond (its own or that of its entry) or of a place. */
bool photo_record(struct act *act, const struct photo_new *form, struct recorded *recorded,
	struct problems *why);

#endif
