#include "service/rulebook.h"

#include <stdlib.h>
#include <string.h>

#include "base/log.h"
#include "store/book.h"

bool rulebook_in_force(struct store *store, int32_t day, struct rulebook *to, struct problem *why)
{
	int64_t version;
	int32_t from_day = 0;
	char *body = NULL;
	struct form_memory memory = { 0 };
	struct problems wrong = { 0 };
	bool ok = store_rulebook_get(store, day, &version, &from_day, &body, why);

	if (ok && version == 0) {
		*to = rulebook_default();
	} else if (ok) {
		ok = body != NULL && form_from_json(&rulebook_form, body, strlen(body), to, &memory, &wrong);
		if (ok) {
			rulebook_complete(to);
			to->version = version;
			to->from_day = from_day;
		} else {
			log_line(LOG_ERROR, "a kept rulebook cannot be read", "why",
				wrong.count > 0 ? wrong.item[0].detail : "no memory", NULL);
			problem_set(why, PROBLEM_STORE, NULL, "The rulebook in force cannot be read.");
		}
	}
	form_memory_release(&memory);
	free(body);
	return ok;
}
