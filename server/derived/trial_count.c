#include "derived/trial_count.h"

#include <stdlib.h>
#include <string.h>

#include "base/day.h"

/* A month, a quarter, half a year, a year, two years, and all that is more. */
const int32_t trial_step_days[TRIAL_STEPS] = { 31, 92, 184, 366, 731, INT32_MAX };

static bool list_add(struct trial_list *list, const struct trial_bond *bond)
{
	list->all++;
	if (list->count == TRIAL_LISTED) {
		return true;
	}
	if (list->bonds == NULL) {
		list->bonds = calloc(TRIAL_LISTED, sizeof *list->bonds);
	}
	if (list->bonds == NULL) {
		return false;
	}
	list->bonds[list->count++] = *bond;
	return true;
}

static struct trial_line *line_of(struct trial_count *count, int64_t line_id)
{
	size_t wanted = (size_t)line_id + 1;

	if (wanted > count->n_lines) {
		size_t room = wanted > 2 * count->n_lines ? wanted : 2 * count->n_lines;
		struct trial_line *more = realloc(count->lines, room * sizeof *more);

		if (more == NULL) {
			return NULL;
		}
		memset(more + count->n_lines, 0, (room - count->n_lines) * sizeof *more);
		count->lines = more;
		count->n_lines = room;
	}
	return &count->lines[line_id];
}

static void count_move(struct trial_count *count, int32_t before, int32_t after)
{
	int64_t by = (int64_t)after - before;
	int step = 0;

	if (by == 0 || before == DAY_NONE || after == DAY_NONE) {
		return;
	}
	while (llabs(by) > trial_step_days[step] && step < TRIAL_STEPS - 1) {
		step++;
	}
	(by < 0 ? count->earlier : count->later)[step]++;
}

/* How many of its last readings have another verdict. */
static int count_verdicts(struct trial_count *count, const struct trial_bond *b)
{
	int changed = 0;

	for (int q = 0; q < GRADE_QUANTITIES; q++) {
		int before = b->before.verdict[q], after = b->after.verdict[q];

		if (before >= 0 && after >= 0) {
			count->verdict[before][after]++;
			changed += before != after;
		}
	}
	return changed;
}

bool trial_count_add(struct trial_count *count, const struct trial_bond *b)
{
	struct trial_line *line = line_of(count, b->line_id);
	int verdicts = count_verdicts(count, b);
	bool regraded = b->before.grade != b->after.grade;

	count->bonds++;
	count->due[b->before.state][b->after.state]++;
	for (int what = 0; what < due_what_words.n; what++) {
		count->due_of[what][b->before.of[what]][b->after.of[what]]++;
	}
	count->grade[b->before.grade][b->after.grade]++;
	count_move(count, b->before.due_day, b->after.due_day);
	if (line != NULL) {
		line->bonds++;
		line->overdue_before += b->before.state == DUE_OVERDUE;
		line->overdue_after += b->after.state == DUE_OVERDUE;
		line->grades += regraded;
		line->verdicts += verdicts;
	}
	return line != NULL && (b->after.state != DUE_OVERDUE || b->before.state == DUE_OVERDUE ||
		list_add(&count->overdue, b)) && (!regraded || list_add(&count->grades, b)) &&
		(verdicts == 0 || list_add(&count->verdicts, b));
}

static int by_number(const void *a, const void *b)
{
	const struct trial_bond *one = a, *other = b;

	return one->bond_id < other->bond_id ? -1 : one->bond_id > other->bond_id;
}

static bool list_join(struct trial_list *to, const struct trial_list *from)
{
	size_t all = to->count + from->count;
	struct trial_bond *both = from->count > 0 ?
		calloc(all > TRIAL_LISTED ? all : TRIAL_LISTED, sizeof *both) : NULL;

	to->all += from->all;
	if (from->count == 0) {
		return true;
	}
	if (both == NULL) {
		return false;
	}
	if (to->count > 0) {
		memcpy(both, to->bonds, to->count * sizeof *both);
	}
	memcpy(both + to->count, from->bonds, from->count * sizeof *both);
	qsort(both, all, sizeof *both, by_number);
	free(to->bonds);
	to->bonds = both;
	to->count = all < TRIAL_LISTED ? all : TRIAL_LISTED;
	return true;
}

static void add_all(int64_t *to, const int64_t *from, size_t n)
{
	for (size_t i = 0; i < n; i++) {
		to[i] += from[i];
	}
}

bool trial_count_join(struct trial_count *to, const struct trial_count *from)
{
	to->bonds += from->bonds;
	add_all(to->due[0], from->due[0], TRIAL_STATES * TRIAL_STATES);
	add_all(to->due_of[0][0], from->due_of[0][0], 2 * TRIAL_STATES * TRIAL_STATES);
	add_all(to->grade[0], from->grade[0], TRIAL_GRADES * TRIAL_GRADES);
	add_all(to->verdict[0], from->verdict[0], TRIAL_VERDICTS * TRIAL_VERDICTS);
	add_all(to->earlier, from->earlier, TRIAL_STEPS);
	add_all(to->later, from->later, TRIAL_STEPS);
	for (size_t i = 0; i < from->n_lines; i++) {
		struct trial_line *line = line_of(to, (int64_t)i);

		if (line == NULL) {
			return false;
		}
		line->bonds += from->lines[i].bonds;
		line->overdue_before += from->lines[i].overdue_before;
		line->overdue_after += from->lines[i].overdue_after;
		line->grades += from->lines[i].grades;
		line->verdicts += from->lines[i].verdicts;
	}
	return list_join(&to->overdue, &from->overdue) && list_join(&to->grades, &from->grades) &&
		list_join(&to->verdicts, &from->verdicts);
}

void trial_count_release(struct trial_count *count)
{
	free(count->overdue.bonds);
	free(count->grades.bonds);
	free(count->verdicts.bonds);
	free(count->lines);
	*count = (struct trial_count){ 0 };
}
