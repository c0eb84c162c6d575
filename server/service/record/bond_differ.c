#include "service/record/bond_differ.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/day.h"
#include "base/utf8.h"
#include "rules/conductor.h"
#include "service/record/refer.h"

/* How a member of the form is kept of a bond. Places and tracks are kept as what they mean. */
enum kept_as { AS_WORD, AS_FLAG, AS_DAY, AS_NUMBER, AS_REAL, AS_TEXT, AS_TRACK, AS_PLACE };

struct kept_member {
	const char *name;
	enum kept_as as;
	size_t offset, size;                  /* in struct bond */
	enum bond_end end;                    /* of a place */
};

#define KEPT(name, as, field) { name, as, offsetof(struct bond, field), \
	sizeof ((struct bond *)0)->field, END_A }
#define END_KEPT(p, which) \
	{ p "_chainage", AS_PLACE, offsetof(struct bond, end[which].distance_mm), 8, which }, \
	{ p "_on", AS_WORD, offsetof(struct bond, end[which].on), sizeof (enum end_on), which }, \
	{ p "_track", AS_TRACK, offsetof(struct bond, end[which].track_id), 8, which }, \
	{ p "_rail", AS_WORD, offsetof(struct bond, end[which].rail), sizeof (int), which }, \
	{ p "_face", AS_WORD, offsetof(struct bond, end[which].face), sizeof (int), which }, \
	{ p "_structure", AS_TEXT, offsetof(struct bond, end[which].structure), \
	  BOND_STRUCTURE_SIZE, which }

static const struct kept_member members[] = {
	KEPT("kind", AS_WORD, kind), KEPT("criticality", AS_WORD, criticality),
	END_KEPT("a", END_A), END_KEPT("b", END_B),
	KEPT("status", AS_WORD, status), KEPT("surveyed", AS_FLAG, surveyed),
	KEPT("installed_day", AS_DAY, installed_day), KEPT("removed_day", AS_DAY, removed_day),
	KEPT("material", AS_WORD, material), KEPT("conductor_class", AS_NUMBER, conductor_class),
	KEPT("area_mm2", AS_REAL, area_mm2), KEPT("length_m", AS_REAL, length_m),
	KEPT("cables", AS_NUMBER, cables), KEPT("latitude", AS_REAL, latitude),
	KEPT("longitude", AS_REAL, longitude), KEPT("note", AS_TEXT, note),
};
_Static_assert(sizeof members / sizeof members[0] <= BOND_MEMBERS, "there is room for all");
_Static_assert(sizeof (enum bond_kind) == sizeof (int) && sizeof (enum end_on) == sizeof (int),
	"a word is read as an int");

static const void *in(const struct bond *b, const struct kept_member *m)
{
	return (const char *)b + m->offset;
}

static bool same(const struct bond *x, const struct bond *y, const struct kept_member *m)
{
	double a, b;

	switch (m->as) {
	case AS_TEXT:
		return strcmp(in(x, m), in(y, m)) == 0;
	case AS_REAL:
		memcpy(&a, in(x, m), sizeof a);
		memcpy(&b, in(y, m), sizeof b);
		return (isnan(a) && isnan(b)) || a == b;
	default:
		return memcmp(in(x, m), in(y, m), m->size) == 0;
	}
}

static void write_number(const struct bond *b, const struct kept_member *m,
	const struct member *member, char to[BOND_VALUE_SIZE])
{
	int64_t number;
	double real;
	int word;

	switch (m->as) {
	case AS_WORD:
		memcpy(&word, in(b, m), sizeof word);
		text_fit(to, BOND_VALUE_SIZE, "%s", word < 0 ? "not known" : member->words->title[word]);
		break;
	case AS_FLAG:
		text_fit(to, BOND_VALUE_SIZE, "%s", *(const bool *)in(b, m) ? "yes" : "no");
		break;
	case AS_NUMBER:
		memcpy(&number, in(b, m), sizeof number);
		text_fit(to, BOND_VALUE_SIZE, number == 0 ? "not known" : "%lld", (long long)number);
		break;
	default:
		memcpy(&real, in(b, m), sizeof real);
		text_fit(to, BOND_VALUE_SIZE, isnan(real) ? "not known" : "%.10g%s%s", real,
			member->unit != NULL ? " " : "", member->unit != NULL ? member->unit : "");
	}
}

static bool write_value(struct act *act, const struct bond *b, const struct kept_member *m,
	const struct member *member, char to[BOND_VALUE_SIZE], struct problem *why)
{
	struct track track = { 0 };
	char chainage[CHAINAGE_SIZE];
	int32_t day;

	switch (m->as) {
	case AS_DAY:
		memcpy(&day, in(b, m), sizeof day);
		text_fit(to, BOND_VALUE_SIZE, "not known");
		if (day != DAY_NONE) {
			day_write(day, to);
		}
		return true;
	case AS_TEXT:
		text_fit(to, BOND_VALUE_SIZE, "%s", (const char *)in(b, m));
		return true;
	case AS_TRACK:
		if (b->end[m->end].track_id != 0 &&
			!store_track_get(act->store, b->end[m->end].track_id, &track, why)) {
			return false;
		}
		text_fit(to, BOND_VALUE_SIZE, "%s", track.name[0] != '\0' ? track.name : "not stated");
		return true;
	case AS_PLACE:
		if (!store_chainage(act->store, b->line_id, b->end[m->end].track_id,
			b->end[m->end].distance_mm, chainage, why)) {
			return false;
		}
		text_fit(to, BOND_VALUE_SIZE, "%s", chainage);
		return true;
	default:
		write_number(b, m, member, to);
		return true;
	}
}

bool bond_differences(struct act *act, int64_t bond_id, const struct bond_new *form,
	struct bond_difference *to, size_t *count, struct problems *why)
{
	struct bond kept, said;
	struct problem trouble = { 0 };

	*count = 0;
	if (!store_bond_get(act->store, bond_id, &kept, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	if (!bond_read(act, form, &said, why)) {
		return false;
	}
	for (size_t i = 0; i < sizeof members / sizeof members[0]; i++) {
		const struct member *member = form_member(&bond_form, members[i].name);
		struct bond_difference *d = &to[*count];

		if (form_is_absent(member, form) || same(&kept, &said, &members[i])) {
			continue;
		}
		d->member = member;
		if (!write_value(act, &kept, &members[i], member, d->known, &trouble) ||
			!write_value(act, &said, &members[i], member, d->said, &trouble)) {
			return act_refuse(why, &trouble, NULL);
		}
		(*count)++;
	}
	return true;
}

/* An end B that lay where end A does goes with it, where nobody says otherwise: as what is left out
 * of it is at end A (service/record/bond.h). */
static void take_along(const struct bond *kept, const struct bond *said, const struct bond_new *form,
	const char *name, struct bond *to)
{
	const struct bond_end_fact *a = &kept->end[END_A], *b = &kept->end[END_B];

	if (strcmp(name, "a_chainage") == 0 && form->b.chainage == NULL &&
		a->distance_mm == b->distance_mm) {
		to->end[END_B].distance_mm = said->end[END_B].distance_mm;
	} else if (strcmp(name, "a_track") == 0 && form->b.track == NULL &&
		a->track_id == b->track_id) {
		to->end[END_B].track_id = said->end[END_B].track_id;
	} else if (strcmp(name, "a_rail") == 0 && form->b.rail < 0 && a->rail == b->rail) {
		to->end[END_B].rail = said->end[END_B].rail;
	}
}

static void take(const struct bond *said, const char *name, struct bond *to)
{
	for (size_t i = 0; i < sizeof members / sizeof members[0]; i++) {
		if (strcmp(members[i].name, name) == 0) {
			memcpy((char *)to + members[i].offset, in(said, &members[i]), members[i].size);
		}
	}
	if (strcmp(name, "a_chainage") == 0) {
		memcpy(to->place_written, said->place_written, sizeof to->place_written);
	}
}

bool bond_take(struct act *act, int64_t bond_id, const struct bond_new *form,
	const struct bond_difference *const *taken, size_t count, const char *reason,
	struct problems *why)
{
	struct bond kept, said, to;
	struct problem trouble = { 0 };

	if (!store_bond_get(act->store, bond_id, &kept, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	if (!bond_read(act, form, &said, why)) {
		return false;
	}
	to = kept;
	for (size_t i = 0; i < count; i++) {
		take(&said, taken[i]->member->name, &to);
		take_along(&kept, &said, form, taken[i]->member->name, &to);
	}
	text_fit(to.reason, sizeof to.reason, "%s", reason);
	return bond_change_to(act, &kept, &to, why);
}
