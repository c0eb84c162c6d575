/* What people may do and until when; the service of kits. Texts are borrowed. */
#ifndef STORE_RECORD_COMPETENCE_H
#define STORE_RECORD_COMPETENCE_H

#include "base/form.h"
#include "store/lists/list.h"
#include "store/record/line.h"

struct competence_new {
	int64_t person_id;
	const char *what;
	int32_t expires_day;             /* DAY_NONE: it does not end */
};
extern const struct form competence_form;

struct kit_service_new {
	const char *kit;                 /* its code */
	int32_t serviced_day, due_day;
	const char *note;
};
extern const struct form kit_service_form;

/* *id: of the row; *already: it says what was said last. What is said last of a competence by its
 * name counts. */
bool store_competence_put(struct store *store, const struct competence_new *form,
	const struct origin *origin, int64_t *id, bool *already, struct problem *why);
bool store_kit_service_put(struct store *store, int64_t kit_id,
	const struct kit_service_new *form, const struct origin *origin, int64_t *id, bool *already,
	struct problem *why);

extern const struct list competence_list;
extern const struct list kit_service_list;

#endif
