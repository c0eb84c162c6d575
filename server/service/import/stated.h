/*
 * What an engineer states of an old log, once and on record: what its readings that name no
 * instrument were measured with, and that a row of it meant a visit at which both ends were seen.
 * It stands in the settings, which are kept beside the import with who brought it; the meter is a
 * ruling too, and both may be stated later of an import that lies there (service/record/ruling.h).
 * Saved mappings do not have it: each file is stated for itself. Internal to the importer.
 */
#ifndef SERVICE_IMPORT_STATED_H
#define SERVICE_IMPORT_STATED_H

#include "service/import/import.h"
#include "service/record/inspection.h"

/* What can be said of the settings alone. */
bool import_stated_check(const struct import_kind *kind, const struct import_settings *settings,
	struct problems *why);

/* Whether the meters of readings that name none are stated. */
bool import_stated_meter(const struct import_settings *settings);

/* Whether something is stated that takes an engineer's right. That a row meant less than a complete
 * visit may be said by anybody. */
bool import_is_stated(const struct import_settings *settings);

/*
 * A visit of a file is complete when it has a word for each end, or why one could not be seen, or
 * when an engineer stated that its rows mean it. Otherwise it was done in part, whatever it says;
 * then true, and *form is so.
 */
bool import_stated_partly(const struct import_settings *settings, struct inspection_new *form);

/* Puts the meter on record, when one is stated. person_id: whose word it is. */
bool import_stated_keep(struct act *act, const struct import_settings *settings, int64_t import_id,
	int64_t person_id, struct problems *why);

#endif
