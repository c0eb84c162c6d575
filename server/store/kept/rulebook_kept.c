/* The content of a version, to and from JSON. */
#include <string.h>

#include "base/log.h"
#include "rules/edition.h"
#include "rules/rulebook_walk.h"
#include "store/record/rulebook.h"

enum { REASON_LONGEST = 500 };

#define OF(field) offsetof(struct value_reason, field)
static const struct member reason_members[] = {
	{ .name = "path", .title = "Value", .type = MEMBER_TEXT, .required = true, .offset = OF(path),
	  .longest = PROBLEM_FIELD_SIZE - 1, .help = "As in GET /api/rulebook/values." },
	{ .name = "reason", .title = "Reason", .type = MEMBER_TEXT, .required = true,
	  .offset = OF(reason), .longest = REASON_LONGEST },
	{ 0 }
};
#undef OF
const struct form value_reason_form = { "ValueReason", reason_members,
	sizeof (struct value_reason) };

#define OF(field) offsetof(struct rulebook_kept, field)
static const struct member beside[] = {
	{ .name = "reasons", .type = MEMBER_LIST, .offset = OF(reasons), .longest = VALUE_REASONS_MOST,
	  .form = &value_reason_form },
	{ .name = "edition", .type = MEMBER_INTEGER, .offset = OF(edition) },
	{ .name = "adopted_day", .type = MEMBER_DAY, .offset = OF(adopted_day) },
	{ 0 }
};
#undef OF
enum { BESIDE = sizeof beside / sizeof beside[0] };

/* The rulebook's members (it stands first), and what is kept beside them. */
static void kept_form(struct member members[RULEBOOK_MEMBERS_MOST + BESIDE], struct form *form)
{
	size_t n = 0;

	while (rulebook_members[n].name != NULL && n < RULEBOOK_MEMBERS_MOST) {
		members[n] = rulebook_members[n];
		n++;
	}
	memcpy(&members[n], beside, sizeof beside);
	*form = (struct form){ "KeptRulebook", members, sizeof (struct rulebook_kept) };
}

void rulebook_kept_write(const struct rulebook_kept *kept, struct text *to)
{
	struct member members[RULEBOOK_MEMBERS_MOST + BESIDE];
	struct form form;

	kept_form(members, &form);
	form_write_whole(&form, kept, to);
}

/* The first edition left out what was not used: there, a limit that it knew and that is not named
 * is not used, and does not lack. */
static bool was_left_out(const struct rulebook_kept *kept, const struct rulebook_walk *walk)
{
	static const char *const limits[] = { "cable_tolerance_percent", "contact_allowance_uohm",
		"baseline_factor", "rail_equivalent_m", "joint_percent", "contact_uohm" };
	const char *name = strrchr(walk->path, '.');

	if (kept->edition > 1 || strncmp(walk->path, "limits.", 7) != 0) {
		return false;
	}
	for (size_t i = 0; i < sizeof limits / sizeof limits[0]; i++) {
		if (strcmp(name + 1, limits[i]) == 0) {
			return true;
		}
	}
	return strstr(walk->path, ".absolute_uohm.") != NULL;
}

static size_t size_of(enum member_type type)
{
	return type == MEMBER_INTEGER || type == MEMBER_INSTANT ? sizeof(int64_t) : type == MEMBER_REAL ? sizeof(double) :
		type == MEMBER_DAY ? sizeof(int32_t) : type == MEMBER_TEXT ? sizeof(char *) : sizeof(int);
}

/* Fills what lacks with the edition's values, and keeps the paths of these alone. */
static void complete(struct rulebook_kept *kept)
{
	const struct rulebook given = rulebook_default();
	const char **paths = kept->from_edition.items;
	size_t n = 0;

	for (size_t i = 0; i < kept->from_edition.count; i++) {
		struct rulebook_walk walk;

		if (rulebook_walk_find(&walk, paths[i]) && walk.basis != NULL && !was_left_out(kept, &walk)) {
			memcpy((char *)&kept->rulebook + walk.offset, (const char *)&given + walk.offset,
				size_of(walk.member->type));
			paths[n++] = paths[i];
		}
	}
	kept->from_edition.count = n;
}

bool rulebook_kept_read(const char *body, struct rulebook_kept *to, struct form_memory *memory,
	struct problem *why)
{
	struct member members[RULEBOOK_MEMBERS_MOST + BESIDE];
	struct form form;
	struct problems wrong = { 0 };
	struct form_list lacks;

	_Static_assert(offsetof(struct rulebook_kept, rulebook) == 0, "its members have its offsets");
	kept_form(members, &form);
	if (body == NULL ||
		!form_from_kept(&form, body, strlen(body), to, memory, &lacks, &wrong)) {
		log_line(LOG_ERROR, "a kept rulebook cannot be read", "why",
			wrong.count > 0 ? wrong.item[0].detail : "no memory", NULL);
		return problem_set(why, PROBLEM_STORE, NULL, "A rulebook of the register cannot be read.");
	}
	to->edition = to->edition == FORM_NO_INTEGER ? 1 : to->edition;
	to->from_edition = lacks;
	complete(to);
	return true;
}
