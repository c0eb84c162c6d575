#include "service/record/competence.h"

#include "store/record/person.h"
#include "store/record/work.h"

bool competence_set(struct act *act, const struct competence_new *form, struct recorded *recorded,
	struct problems *why)
{
	struct person person;
	struct problem trouble = { 0 };

	*recorded = (struct recorded){ 0 };
	if (!store_person_get(act->store, form->person_id, &person, &trouble)) {
		return act_refuse(why, &trouble, "person_id");
	}
	return store_competence_put(act->store, form, &act->origin, &recorded->id, &recorded->already,
		&trouble) || act_refuse(why, &trouble, NULL);
}

bool kit_service_record(struct act *act, const struct kit_service_new *form,
	struct recorded *recorded, struct problems *why)
{
	struct problem trouble = { 0 };
	size_t before = why->count;
	int64_t kit_id = 0;

	*recorded = (struct recorded){ 0 };
	if (!store_kit_find(act->store, form->kit, &kit_id, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	if (kit_id == 0) {
		problems_add(why, PROBLEM_VALUE, "kit", "There is no kit %.60s: register it first.",
			form->kit);
	}
	if (form->serviced_day > act->view->today) {
		problems_add(why, PROBLEM_VALUE, "serviced_day", "The service is after today.");
	}
	if (form->due_day <= form->serviced_day) {
		problems_add(why, PROBLEM_VALUE, "due_day", "The next service is due after this one.");
	}
	return why->count == before && (store_kit_service_put(act->store, kit_id, form, &act->origin,
		&recorded->id, &recorded->already, &trouble) || act_refuse(why, &trouble, NULL));
}
