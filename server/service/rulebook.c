#include "service/rulebook.h"

#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/log.h"
#include "rules/rulebook_walk.h"

enum { REASONS_MOST = 200, REASON_LONGEST = 500 };

#define OF(field) offsetof(struct value_reason, field)
static const struct member reason_members[] = {
	{ .name = "path", .title = "Value", .type = MEMBER_TEXT, .required = true, .offset = OF(path),
	  .longest = PROBLEM_FIELD_SIZE - 1, .help = "As in GET /api/rulebook/values." },
	{ .name = "reason", .title = "Reason", .type = MEMBER_TEXT, .required = true,
	  .offset = OF(reason), .longest = REASON_LONGEST },
	{ 0 }
};
#undef OF
static const struct form reason_form = { "ValueReason", reason_members,
	sizeof (struct value_reason) };

#define REASONS_MEMBER(of) { .name = "reasons", .title = "Reasons of single values", \
	.type = MEMBER_LIST, .offset = offsetof(of, reasons), .longest = REASONS_MOST, \
	.form = &reason_form, .help = "Kept with the values, and shown beside them." }

/* What is kept of a version: the rulebook, and beside its values the reasons of some. */
struct kept {
	struct rulebook rulebook;
	struct form_list reasons;
};
static const struct member kept_reasons = REASONS_MEMBER(struct kept);

/* None is required: an older program may have known fewer. */
static void kept_form(struct member members[RULEBOOK_MEMBERS_MOST + 1], struct form *form)
{
	size_t n = 0;

	while (rulebook_members[n].name != NULL && n < RULEBOOK_MEMBERS_MOST - 1) {
		members[n] = rulebook_members[n];
		members[n++].required = false;
	}
	members[n++] = kept_reasons;
	members[n] = (struct member){ 0 };
	*form = (struct form){ "KeptRulebook", members, sizeof (struct kept) };
}

static bool read_kept(const char *body, struct kept *to, struct form_memory *memory,
	struct problem *why)
{
	struct member members[RULEBOOK_MEMBERS_MOST + 1];
	struct form form;
	struct problems wrong = { 0 };

	kept_form(members, &form);
	if (body != NULL && form_from_json(&form, body, strlen(body), to, memory, &wrong)) {
		rulebook_complete(&to->rulebook);
		return true;
	}
	log_line(LOG_ERROR, "a kept rulebook cannot be read", "why",
		wrong.count > 0 ? wrong.item[0].detail : "no memory", NULL);
	return problem_set(why, PROBLEM_STORE, NULL, "A rulebook of the register cannot be read.");
}

bool rulebook_in_force(struct store *store, int32_t day, struct rulebook *to, struct problem *why)
{
	int64_t version;
	int32_t from_day = 0;
	char *body = NULL;
	struct kept kept;
	struct form_memory memory = { 0 };
	bool ok = store_rulebook_get(store, day, &version, &from_day, &body, why);

	if (ok && version == 0) {
		*to = rulebook_default();
	} else if (ok && (ok = read_kept(body, &kept, &memory, why))) {
		*to = kept.rulebook;
		to->version = version;
		to->from_day = from_day;
	}
	form_memory_release(&memory);
	free(body);
	return ok;
}

bool rulebook_version_get(struct store *store, int64_t version, struct rulebook_version *to,
	struct problem *why)
{
	struct kept kept;
	bool ok;

	*to = (struct rulebook_version){ .rulebook = rulebook_default() };
	if (version == to->rulebook.version) {
		return true;
	}
	ok = store_rulebook_version(store, version, &to->row, why) &&
		read_kept(to->row.body, &kept, &to->memory, why);
	if (ok) {
		to->rulebook = kept.rulebook;
		to->rulebook.version = version;
		to->rulebook.from_day = to->row.from_day;
		to->reasons = kept.reasons;
	}
	return ok;
}

void rulebook_version_release(struct rulebook_version *version)
{
	store_rulebook_row_release(&version->row);
	form_memory_release(&version->memory);
}

static const struct member new_members[] = {
	{ .name = "rulebook", .title = "Rulebook", .type = MEMBER_OBJECT, .required = true,
	  .offset = offsetof(struct rulebook_new, rulebook), .form = &rulebook_form },
	{ .name = "reason", .title = "Reason", .type = MEMBER_TEXT, .required = true,
	  .offset = offsetof(struct rulebook_new, reason), .longest = 2000,
	  .help = "Why it is changed, for those who read it in ten years." },
	REASONS_MEMBER(struct rulebook_new),
	{ .name = "after_version", .title = "Newest version seen", .type = MEMBER_INTEGER,
	  .offset = offsetof(struct rulebook_new, after_version), .least = 1, .most = 9e15,
	  .help = "Refused when another was adopted since, so that nobody's change is undone unseen." },
	{ 0 }
};
const struct form rulebook_new_form = { "NewRulebook", new_members, sizeof (struct rulebook_new) };

static void check_reasons(const struct form_list *reasons, struct problems *why)
{
	const struct value_reason *given = reasons->items;

	for (size_t i = 0; i < reasons->count; i++) {
		struct rulebook_walk walk;
		char field[PROBLEM_FIELD_SIZE];
		size_t before = 0;

		snprintf(field, sizeof field, "reasons[%zu].path", i);
		while (strcmp(given[before].path, given[i].path) != 0) {
			before++;
		}
		if (!rulebook_walk_find(&walk, given[i].path)) {
			problems_add(why, PROBLEM_VALUE, field, "The rulebook has no value %s.", given[i].path);
		} else if (before < i) {
			problems_add(why, PROBLEM_VALUE, field, "%s has two reasons: one is enough.",
				walk.title);
		}
	}
}

/* The rule names the members of a rulebook; here they are members of "rulebook". */
bool rulebook_may_be(const struct act *act, const struct rulebook_new *form, struct problems *why)
{
	struct problems wrong = { 0 };
	size_t before = why->count;
	char day[DAY_TEXT_SIZE];

	rulebook_check(&form->rulebook, &wrong);
	if (form->rulebook.from_day < act->today) {
		day_write(act->today, day);
		problems_add(&wrong, PROBLEM_VALUE, "from_day", "A rulebook holds from today (%s) at the "
			"earliest: what was decided under another one stays as it was.", day);
	}
	for (size_t i = 0; i < wrong.count && i < PROBLEMS_SHOWN; i++) {
		char field[PROBLEM_FIELD_SIZE];

		snprintf(field, sizeof field, "rulebook.%.54s", wrong.item[i].field);
		act_refuse(why, &wrong.item[i], field);
	}
	check_reasons(&form->reasons, why);
	return why->count == before;
}

static void write_kept(const struct rulebook_new *new, struct text *body)
{
	struct member members[RULEBOOK_MEMBERS_MOST + 1];
	struct form form;
	const struct kept kept = { new->rulebook, new->reasons };

	kept_form(members, &form);
	form_write(&form, &kept, body);
}

/* The same as the last version is there already: sent again after an answer that was lost. Another
 * than its author has seen must not be undone by it. */
static bool check_last(struct act *act, const struct rulebook_new *form, const char *body,
	int64_t last, struct recorded *recorded, struct problem *trouble)
{
	struct rulebook_row row = { 0 };
	bool ok = last == 1 || store_rulebook_version(act->store, last, &row, trouble);

	recorded->already = row.body != NULL && row.reason != NULL &&
		row.from_day == form->rulebook.from_day && strcmp(row.body, body) == 0 &&
		strcmp(row.reason, form->reason) == 0;
	store_rulebook_row_release(&row);
	return ok && (recorded->already || form->after_version < 1 || form->after_version == last ||
		problem_set(trouble, PROBLEM_CHANGED, "after_version", "Version %lld of the rulebook was "
		"adopted since this one was begun: read it, then change that.", (long long)last));
}

bool rulebook_adopt(struct act *act, const struct rulebook_new *form, struct recorded *recorded,
	struct problems *why)
{
	struct problem trouble = { 0 };
	struct text body = { 0 };
	int64_t last = 0;
	bool ok;

	*recorded = (struct recorded){ 0 };
	if (!rulebook_may_be(act, form, why)) {
		return false;
	}
	write_kept(form, &body);
	ok = (!body.failed || problem_set(&trouble, PROBLEM_NO_MEMORY, NULL, "Out of memory.")) &&
		store_rulebook_last(act->store, &last, &trouble) &&
		check_last(act, form, body.data, last, recorded, &trouble) &&
		(recorded->already || store_rulebook_insert(act->store, last + 1, form->rulebook.from_day,
		body.data, form->reason, &act->origin, &trouble));
	text_release(&body);
	recorded->id = recorded->already ? last : last + 1;
	return ok || act_refuse(why, &trouble, NULL);
}
