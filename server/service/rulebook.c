#include "service/rulebook.h"

#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/log.h"
#include "store/book.h"

/* A kept body, perhaps of an older program that knew fewer values. */
static bool read_kept(const char *body, struct rulebook *to, struct form_memory *memory,
	struct problems *wrong)
{
	struct member members[RULEBOOK_MEMBERS_MOST];
	const struct form lenient = { rulebook_form.name, members, rulebook_form.size };
	size_t n = 0;

	do {
		members[n] = rulebook_members[n];
		members[n].required = false;
	} while (rulebook_members[n++].name != NULL && n < RULEBOOK_MEMBERS_MOST);
	if (!form_from_json(&lenient, body, strlen(body), to, memory, wrong)) {
		return false;
	}
	rulebook_complete(to);
	return true;
}

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
		ok = body != NULL && read_kept(body, to, &memory, &wrong);
		if (ok) {
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

static const struct member new_members[] = {
	{ .name = "rulebook", .title = "Rulebook", .type = MEMBER_OBJECT, .required = true,
	  .offset = offsetof(struct rulebook_new, rulebook), .form = &rulebook_form },
	{ .name = "reason", .title = "Reason", .type = MEMBER_TEXT, .required = true,
	  .offset = offsetof(struct rulebook_new, reason), .longest = 2000,
	  .help = "Why it is changed, for those who read it in ten years." },
	{ 0 }
};
const struct form rulebook_new_form = { "NewRulebook", new_members, sizeof (struct rulebook_new) };

/* The rule names the members of a rulebook; here they are members of "rulebook". */
static bool check(struct act *act, const struct rulebook *rulebook, struct problems *why)
{
	struct problems wrong = { 0 };
	char day[DAY_TEXT_SIZE];

	rulebook_check(rulebook, &wrong);
	if (rulebook->from_day < act->today) {
		day_write(act->today, day);
		problems_add(&wrong, PROBLEM_VALUE, "from_day", "A rulebook holds from today (%s) at the "
			"earliest: what was decided under another one stays as it was.", day);
	}
	for (size_t i = 0; i < wrong.count && i < PROBLEMS_SHOWN; i++) {
		char field[PROBLEM_FIELD_SIZE];

		snprintf(field, sizeof field, "rulebook.%.54s", wrong.item[i].field);
		act_refuse(why, &wrong.item[i], field);
	}
	return wrong.count == 0;
}

bool rulebook_adopt(struct act *act, const struct rulebook_new *form, struct recorded *recorded,
	struct problems *why)
{
	struct problem trouble = { 0 };
	struct text body = { 0 };
	int64_t last = 0;
	bool ok;

	*recorded = (struct recorded){ 0 };
	if (!check(act, &form->rulebook, why)) {
		return false;
	}
	form_write(&rulebook_form, &form->rulebook, &body);
	ok = (!body.failed || problem_set(&trouble, PROBLEM_NO_MEMORY, NULL, "Out of memory.")) &&
		store_rulebook_last(act->store, &last, &trouble) &&
		store_rulebook_insert(act->store, last + 1, form->rulebook.from_day, body.data,
		form->reason, &act->origin, &trouble);
	text_release(&body);
	recorded->id = last + 1;
	return ok || act_refuse(why, &trouble, NULL);
}
