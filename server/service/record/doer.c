#include "service/record/doer.h"

#include "store/record/person.h"

bool doer_read(struct act *act, const char *name, int64_t *person_id, const char **person_name,
	struct problems *why)
{
	struct problem trouble = { 0 };

	*person_id = name == NULL && act->origin.import_id == 0 ? act->origin.person_id : 0;
	*person_name = NULL;
	if (name == NULL || name[0] == '\0') {
		return true;
	}
	if (!store_person_named(act->store, name, person_id, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	if (*person_id == 0) {
		*person_name = name;
	}
	return true;
}
