#include "rules/rulebook_walk.h"

#include <math.h>
#include <string.h>

#include "rules/sentence.h"

struct rulebook_walk rulebook_walk_begin(void)
{
	return (struct rulebook_walk){ .at = { { .m = rulebook_members } } };
}

/* Puts what is added after the first len bytes of a text. Returns the new length. */
static size_t put(char *text, size_t size, size_t len, const char *joint, const char *added)
{
	struct sentence s;

	sentence_begin(&s, text + len, size - len);
	sentence_add(&s, len > 0 ? joint : "");
	sentence_add(&s, added);
	return len + s.len;
}

static const struct rulebook_value *basis_of(const struct member *m,
	const struct rulebook_value *of_all)
{
	for (const struct rulebook_value *v = rulebook_values; v->member != NULL; v++) {
		if (v->member == m) {
			return v;
		}
	}
	return of_all;
}

bool rulebook_walk_next(struct rulebook_walk *walk)
{
	while (walk->depth >= 0) {
		struct rulebook_level *l = &walk->at[walk->depth];
		const struct member *m = l->m++;
		size_t path_len, title_len;

		if (m->name == NULL) {
			walk->depth--;
			continue;
		}
		path_len = put(walk->path, sizeof walk->path, l->path_len, ".", m->name);
		title_len = put(walk->title, sizeof walk->title, l->title_len, ", ", m->title);
		walk->basis = basis_of(m, l->basis);
		if (m->type != MEMBER_OBJECT || walk->depth + 1 == RULEBOOK_DEPTH) {
			walk->member = m;
			walk->offset = l->offset + m->offset;
			return true;
		}
		walk->at[++walk->depth] = (struct rulebook_level){ m->form->members,
			l->offset + m->offset, path_len, title_len, walk->basis };
	}
	return false;
}

bool rulebook_walk_find(struct rulebook_walk *walk, const char *path)
{
	*walk = rulebook_walk_begin();
	while (rulebook_walk_next(walk)) {
		if (strcmp(walk->path, path) == 0) {
			return true;
		}
	}
	return false;
}

bool rulebook_value_same(const struct rulebook_walk *walk, const struct rulebook *a,
	const struct rulebook *b)
{
	const char *at = (const char *)a + walk->offset, *bt = (const char *)b + walk->offset;

	if (walk->member->type == MEMBER_REAL) {
		double one, other;

		memcpy(&one, at, sizeof one);
		memcpy(&other, bt, sizeof other);
		return (isnan(one) && isnan(other)) || (one >= other && one <= other);
	}
	return memcmp(at, bt, walk->member->type == MEMBER_INTEGER ? sizeof(int64_t) :
		walk->member->type == MEMBER_DAY ? sizeof(int32_t) : sizeof(int)) == 0;
}

/* By the name of the member that a value belongs to. What a future program adds is taken to
 * judge. */
static bool is_of_judgement(const char *path)
{
	static const char *const others[] = { "from_day", "interval_months", "notice_days",
		"grace_days", "watch_interval_percent", "act_days", "forecast_lead_days",
		"repeat_window_mm", "repeat_period_months", "repeat_least_count", "spot_clearance_mm",
		"rail_end_clearance_mm", "weld_clearance_mm", "bolt_hole_clearance_mm",
		"cross_spacing_m" };
	size_t len = strcspn(path, ".");

	for (size_t i = 0; i < sizeof others / sizeof others[0]; i++) {
		if (strlen(others[i]) == len && strncmp(path, others[i], len) == 0) {
			return false;
		}
	}
	return true;
}

bool rulebook_judges_alike(const struct rulebook *a, const struct rulebook *b)
{
	struct rulebook_walk walk = rulebook_walk_begin();

	while (rulebook_walk_next(&walk)) {
		if (is_of_judgement(walk.path) && !rulebook_value_same(&walk, a, b)) {
			return false;
		}
	}
	return true;
}

bool rulebook_repeats_alike(const struct rulebook *a, const struct rulebook *b)
{
	return a->repeat_window_mm == b->repeat_window_mm &&
		a->repeat_period_months == b->repeat_period_months &&
		a->repeat_least_count == b->repeat_least_count;
}
