/* Entries as they were said: all that a correction of them has to say again. */
#ifndef STORE_RECORD_SAID_H
#define STORE_RECORD_SAID_H

#include "base/form.h"
#include "store/record/failure.h"
#include "store/record/inspection.h"

/* The entry that stands for the one kept under the number: itself, or what corrects it, or what
 * corrects that. (One that waits for an engineer stands for nothing yet.) */
bool store_said_newest(struct store *store, enum sent_noun noun, int64_t id, int64_t *newest,
	struct problem *why);

/* Texts are the memory's. person_name is who did it, also where a person is kept; what a correction
 * makes anew (the hash, person_id, replaces_id, reason) is not filled. PROBLEM_NOT_FOUND. */
bool store_inspection_said(struct store *store, int64_t id, struct inspection *to,
	struct form_memory *memory, struct problem *why);
/* track: its name, "" when it is not stated. */
bool store_failure_said(struct store *store, int64_t id, struct failure *to, const char **track,
	struct form_memory *memory, struct problem *why);

/* The readings of an inspection in their order; refused when there are more than `most`. */
bool store_readings_said(struct store *store, int64_t inspection_id, size_t most,
	struct reading_row *to, size_t *count, struct problem *why);

/* The serial number of an instrument; NULL: there is none, or no memory. */
bool store_serial_said(struct store *store, int64_t instrument_id, const char **serial,
	struct form_memory *memory, struct problem *why);

#endif
