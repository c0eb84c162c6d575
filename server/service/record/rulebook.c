#include "service/record/rulebook.h"

#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "rules/edition.h"
#include "rules/rulebook_walk.h"

#define REASONS_MEMBER(of) { .name = "reasons", .title = "Reasons of single values", \
	.type = MEMBER_LIST, .offset = offsetof(of, reasons), .longest = VALUE_REASONS_MOST, \
	.form = &value_reason_form, .help = "Kept with the values, and shown beside them." }

bool rulebook_version_get(struct store *store, int64_t version, struct rulebook_version *to,
	struct problem *why)
{
	bool ok;

	*to = (struct rulebook_version){ 0 };
	ok = store_rulebook_version(store, version, &to->row, why) &&
		rulebook_kept_read(to->row.body, &to->kept, &to->memory, why);
	to->kept.rulebook.version = version;
	to->kept.rulebook.from_day = to->row.from_day;
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
	if (form->rulebook.from_day < act->view->today) {
		day_write(act->view->today, day);
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

/* The same as the last version is there already: sent again after an answer that was lost. Another
 * than its author has seen must not be undone by it. */
static bool check_last(struct act *act, const struct rulebook_new *form, int64_t last,
	struct recorded *recorded, struct problem *trouble)
{
	struct rulebook_version kept;
	struct text body = { 0 };
	bool ok = rulebook_version_get(act->store, last, &kept, trouble);

	if (ok) {
		const struct rulebook_kept same = { form->rulebook, form->reasons, kept.kept.edition,
			kept.kept.adopted_day, { 0 } };

		rulebook_kept_write(&same, &body);
		recorded->already = !kept.row.withdrawn && !body.failed &&
			strcmp(kept.row.body, body.data) == 0 && strcmp(kept.row.reason, form->reason) == 0;
		text_release(&body);
	}
	rulebook_version_release(&kept);
	return ok && (recorded->already || form->after_version < 1 || form->after_version == last ||
		problem_set(trouble, PROBLEM_CHANGED, "after_version", "Version %lld of the rulebook was "
		"adopted since this one was begun: read it, then change that.", (long long)last));
}

bool rulebook_adopt(struct act *act, const struct rulebook_new *form, struct recorded *recorded,
	struct problems *why)
{
	const struct rulebook_kept kept = { form->rulebook, form->reasons, RULES_EDITION,
		act->view->today, { 0 } };
	struct problem trouble = { 0 };
	struct text body = { 0 };
	int64_t last = 0;
	bool ok;

	*recorded = (struct recorded){ 0 };
	if (!rulebook_may_be(act, form, why)) {
		return false;
	}
	rulebook_kept_write(&kept, &body);
	ok = (!body.failed || problem_set(&trouble, PROBLEM_NO_MEMORY, NULL, "Out of memory.")) &&
		store_rulebook_last(act->store, &last, &trouble) &&
		check_last(act, form, last, recorded, &trouble) &&
		(recorded->already || store_rulebook_insert(act->store, last + 1, form->rulebook.from_day,
		body.data, form->reason, &act->origin, &trouble));
	text_release(&body);
	recorded->id = recorded->already ? last : last + 1;
	return ok || act_refuse(why, &trouble, NULL);
}

static const struct member withdrawal_members[] = {
	{ .name = "reason", .title = "Reason", .type = MEMBER_TEXT, .required = true,
	  .offset = offsetof(struct rulebook_withdrawal, reason), .longest = 2000,
	  .help = "What was wrong, for those who read it in ten years." },
	{ 0 }
};
const struct form rulebook_withdrawal_form = { "RulebookWithdrawal", withdrawal_members,
	sizeof (struct rulebook_withdrawal) };

/* Whether one of the others is in force today. */
static bool is_spared(struct act *act, int64_t version, bool *spared, struct problem *why)
{
	const struct rulebooks *all = store_rulebooks(act->store, why);
	struct rulebook_dated *others = all != NULL ? calloc(all->n + 1, sizeof *others) : NULL;
	size_t n = 0;

	for (size_t i = 0; others != NULL && i < all->n; i++) {
		if (all->dated[i].version != version) {
			others[n++] = all->dated[i];
		}
	}
	*spared = others != NULL && rulebook_on(others, n, act->view->today) >= 0;
	if (all != NULL && others == NULL) {
		problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	}
	free(others);
	store_rulebooks_release(all);
	return why->code == PROBLEM_NONE;
}

static bool check_withdrawal(struct act *act, const struct rulebook_withdrawal *form,
	struct recorded *recorded, struct problem *why)
{
	struct rulebook_row row;
	bool spared = false;
	bool ok = store_rulebook_version(act->store, form->version, &row, why);

	if (ok && row.withdrawn) {
		recorded->already = row.withdrawn_reason != NULL &&
			strcmp(row.withdrawn_reason, form->reason) == 0;
		ok = recorded->already || problem_set(why, PROBLEM_CONFLICT, "reason", "Version %lld was "
			"withdrawn already, because: %s", (long long)form->version, row.withdrawn_reason);
	} else if (ok && is_spared(act, form->version, &spared, why)) {
		ok = spared || problem_set(why, PROBLEM_RULE, NULL, "Without version %lld no rulebook would "
			"be in force today: adopt another first.", (long long)form->version);
	}
	store_rulebook_row_release(&row);
	return ok && why->code == PROBLEM_NONE;
}

bool rulebook_withdraw(struct act *act, const struct rulebook_withdrawal *form,
	struct recorded *recorded, struct problems *why)
{
	struct problem trouble = { 0 };

	*recorded = (struct recorded){ .id = form->version };
	return (check_withdrawal(act, form, recorded, &trouble) && (recorded->already ||
		store_rulebook_withdraw(act->store, form->version, form->reason, act->view->today,
		&act->origin, &trouble))) || act_refuse(why, &trouble, NULL);
}
