#include "derived/rebuild.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "derived/derive.h"
#include "derived/import_follow.h"
#include "derived/judged.h"
#include "derived/odd.h"
#include "derived/recompute.h"
#include "derived/timely.h"
#include "store/kept/odd.h"
#include "store/kept/visit_count.h"
#include "store/record/import_begun.h"
#include "store/record/withdrawal_begun.h"

enum { AT_ONCE = 250 };

/* A range of bonds at a time, rebuilt or checked. */
struct pass {
	struct act *act;
	struct check_result *check;   /* NULL: rebuild */
	rebuild_progress *progress;
	void *arg;
	int64_t done, all;
	int64_t import_id;            /* whose bonds are being made again; 0: none */
	int64_t withdrawn_id;         /* the same of one that was withdrawn */
	bool is_followed;             /* else the server still makes again what stands under an older
	                               * rulebook: that waits, and is no difference */
	bool with_visits;             /* each inspection is held against what was due before it */
};

static void differ(struct check_result *r, const char *format, ...)
	__attribute__((format(printf, 2, 3)));

static void differ(struct check_result *r, const char *format, ...)
{
	va_list args;

	if (r->differences < CHECK_SHOWN) {
		va_start(args, format);
		vsnprintf(r->shown[r->differences], sizeof r->shown[0], format, args);
		va_end(args);
	}
	r->differences++;
}

static void step(struct pass *p, int64_t by)
{
	p->done = p->done + by < p->all ? p->done + by : p->all;
	if (p->progress != NULL) {
		p->progress(p->arg, p->done, p->all);
	}
}

/* What of a bond's state differs from what the rules give; NULL when nothing does. */
static const char *state_differs(const struct bond_state *k, const struct bond_state *w)
{
	return k->version != w->version ? "the version" : strcmp(k->chainage, w->chainage) != 0 ?
		"the chainage" : k->last_inspection_day != w->last_inspection_day ?
		"the last inspection" : k->grade.grade != w->grade.grade ? "the grade" :
		k->grade.reasons != w->grade.reasons ? "the reasons of the grade" :
		!bond_state_same_judgement(k, w) ? "the judgement" : k->due.due_day != w->due.due_day ||
		k->due.soon_from_day != w->due.soon_from_day ||
		k->due.overdue_from_day != w->due.overdue_from_day || k->due.basis != w->due.basis ||
		k->due.inspect_day != w->due.inspect_day || k->due.mend_day != w->due.mend_day ||
		k->due.notice_days != w->due.notice_days || k->due.own_months != w->due.own_months ?
		"the due day" : k->due.deferred_until_day != w->due.deferred_until_day ||
		k->deferral_id != w->deferral_id ? "the deferral" : k->failures_open != w->failures_open ?
		"the number of open failures" : k->rulebook_version != w->rulebook_version ?
		"the rulebook" : k->edition != w->edition ? "the edition of the rules" : NULL;
}

/* What it is registered as is compared for all at once (check_odd). */
static bool check_odd_readings(struct pass *p, const struct judging *j, const struct record *r,
	struct problem *why)
{
	int64_t kept[ODDS], wanted[ODDS];
	bool is_in_service = r->bond.status == BOND_IN_SERVICE;

	odd_unpack(r->state.odd, kept);
	if (r->state.odd < 0) {
		return true;
	}
	if (!odd_of_readings(j, wanted, why)) {
		return false;
	}
	for (int what = ODD_READING_FAR_OFF; what <= ODD_READING_NO_EVIDENCE; what++) {
		if (kept[what] != (is_in_service ? wanted[what] : 0)) {
			differ(p->check, "Bond %lld (%s): how many of its readings look wrong is not what the "
				"rules give.", (long long)r->bond.id, r->bond.label);
			break;
		}
	}
	return true;
}

static void check_reading(struct pass *p, const struct judging *j, size_t i, size_t n)
{
	const struct record_reading *key = &j->records.reading_keys[j->records.bonds[i].reading + n];
	struct reading_state kept, given;
	struct reading_kept wanted;
	int64_t version = reading_kept_version(&key->kept);

	p->check->readings++;
	judging_reading_kept(p->act->view, j, i, n, &wanted);
	if (!key->has_state || !reading_kept_same(&key->kept, &wanted)) {
		reading_state_read(&key->kept, &kept);
		reading_state_read(&wanted, &given);
		differ(p->check, "Reading %lld of inspection %lld: its %s is not what the rules give.",
			(long long)key->n, (long long)key->inspection_id, key->has_state &&
			kept.verdict != given.verdict ? "verdict" : "result");
	} else if (!view_was_in_force(p->act->view, version)) {
		differ(p->check, "Reading %lld of inspection %lld: rulebook %lld was never in force.",
			(long long)key->n, (long long)key->inspection_id, (long long)version);
	}
}

static bool check_bond(struct pass *p, struct judging *j, size_t i, struct problem *why)
{
	const struct record *r = &j->records.bonds[i];
	struct bond_state wanted;
	const char *what;
	bool of_import = false;

	p->check->bonds++;
	if (p->with_visits && !timely_of_bond(p->act->view, j, i, INT32_MIN, why)) {
		return false;
	}
	if (!judging_bond(p->act->view, j, i, why) || !judging_state(p->act->view, j, i, &wanted, why)) {
		return false;
	}
	if (p->import_id != 0 && !store_import_is_of_bond(p->act->store, p->import_id, r->bond.id,
		&of_import, why)) {
		return false;
	}
	if (!of_import && p->withdrawn_id != 0 && !store_withdrawal_waits_for(p->act->store, r->bond.id,
		&of_import, why)) {
		return false;
	}
	if (!of_import && !r->has_state) {
		differ(p->check, "Bond %lld is on no list.", (long long)r->bond.id);
		return true;
	}
	if (of_import || r->state.rulebook_version <= 0 || (!p->is_followed &&
		(r->state.rulebook_version != wanted.rulebook_version ||
		r->state.edition != wanted.edition))) {
		p->check->waiting++;
		return true;
	}
	what = state_differs(&r->state, &wanted);
	if (what != NULL) {
		differ(p->check, "Bond %lld (%s): %s is not what the rules give.", (long long)r->bond.id,
			r->bond.label, what);
	}
	if (p->with_visits && r->state.odd >= 0 && (r->state.visits_len != j->timely_len ||
		(j->timely_len > 0 && memcmp(r->state.visits, j->timely, j->timely_len) != 0))) {
		differ(p->check, "Bond %lld (%s): which of its inspections were on time is not what the "
			"rules give.", (long long)r->bond.id, r->bond.label);
	}
	for (size_t n = 0; n < r->n_readings; n++) {
		check_reading(p, j, i, n);
	}
	return check_odd_readings(p, j, r, why);
}

static bool check_range(struct pass *p, int64_t first_id, int64_t last_id, struct problem *why)
{
	struct judging *j = judging_of_view(p->act->view, why);
	bool ok = j != NULL && judging_read(p->act->view, j, first_id, last_id, why);

	p->act->view->judged_id = 0;
	for (size_t i = 0; ok && i < j->records.n_bonds; i++) {
		ok = check_bond(p, j, i, why);
	}
	return ok;
}

static bool pass_bonds(struct pass *p, struct problem *why)
{
	int64_t first, last = 0;

	while (store_record_range(p->act->store, last, -1, AT_ONCE, &first, &last, why) && first != 0) {
		if (!(p->check != NULL ? check_range(p, first, last, why) :
			derive_range_anew(p->act, first, last, why))) {
			return false;
		}
		step(p, AT_ONCE);
	}
	return why->code == PROBLEM_NONE;
}

static bool check_counts(struct pass *p, struct problem *why)
{
	int64_t wrong = 0, odd = 0, listed = 0;
	bool visits = false;

	if (!store_withdrawn_listed(p->act->store, &listed, why) ||
		!store_due_count_wrong(p->act->store, &wrong, why) ||
		!store_odd_wrong(p->act->store, &odd, why) ||
		!store_visit_count_wrong(p->act->store, &visits, why)) {
		return false;
	}
	if (listed > 0) {
		differ(p->check, "%lld bonds are on lists though they were withdrawn.", (long long)listed);
	}
	if (visits) {
		differ(p->check, "The counts of inspections that were on time are not what is kept of the "
			"bonds.");
	}
	if (odd > 0) {
		differ(p->check, "Of %lld bonds it is not kept what looks wrong in their data.",
			(long long)odd);
	}
	if (wrong > 0) {
		differ(p->check, "The totals of the due list are wrong in %lld places.", (long long)wrong);
	}
	return true;
}

static bool same_place(const struct repeat_row *a, const struct repeat_row *b)
{
	return a->id == b->id && a->from_mm == b->from_mm && a->to_mm == b->to_mm &&
		a->failures == b->failures && a->first_day == b->first_day &&
		a->last_day == b->last_day && a->rulebook_version == b->rulebook_version &&
		strcmp(a->chainage_from, b->chainage_from) == 0 &&
		strcmp(a->chainage_to, b->chainage_to) == 0;
}

static bool check_failure(struct pass *p, const struct failure_group *g, int64_t id,
	int64_t distance_mm, int64_t place_id, struct problem *why)
{
	char kept[CHAINAGE_SIZE], wanted[CHAINAGE_SIZE];
	int64_t kept_place;

	if (!store_failure_state_get(p->act->store, id, kept, &kept_place, why) ||
		!store_chainage(p->act->store, g->line_id, g->track_id, distance_mm, wanted, why)) {
		return false;
	}
	if (strcmp(kept, wanted) != 0 || kept_place != place_id) {
		differ(p->check, "Failure %lld: its chainage or repeat place is not what the rules give.",
			(long long)id);
	}
	return true;
}

static bool check_group(struct pass *p, const struct failure_group *g, struct problem *why)
{
	struct derived_places d;
	struct repeat_row *kept = NULL;
	size_t count = 0;
	bool ok = derive_places(p->act->view, g, &d, why) &&
		store_repeat_of_group(p->act->store, g, &kept, &count, why);

	p->check->groups++;
	if (ok && count != d.n_places) {
		differ(p->check, "Line %lld: %zu repeat places are kept, the rules give %zu.",
			(long long)g->line_id, count, d.n_places);
	}
	for (size_t i = 0; ok && i < count && i < d.n_places; i++) {
		if (!same_place(&kept[i], &d.places[i])) {
			differ(p->check, "Repeat place %lld is not what the rules give.",
				(long long)kept[i].id);
		}
	}
	for (size_t i = 0; ok && i < d.n_failures; i++) {
		ok = check_failure(p, g, d.failures[i].id, d.failures[i].distance_mm, d.place_ids[i], why);
	}
	free(kept);
	derived_places_release(&d);
	return ok;
}

static bool pass_groups(struct pass *p, struct problem *why)
{
	struct failure_group *groups = NULL;
	size_t count = 0;
	bool ok = store_failure_groups(p->act->store, 0, &groups, &count, why);

	for (size_t i = 0; ok && i < count; i++) {
		ok = p->check != NULL ? check_group(p, &groups[i], why) :
			derive_repeat_places(p->act, &groups[i], why);
	}
	free(groups);
	return ok;
}

bool rebuild_all(struct act *act, rebuild_progress *progress, void *arg, struct problems *why)
{
	struct pass p = { .act = act, .progress = progress, .arg = arg };
	struct problem trouble = { 0 };

	return (store_bond_count(act->store, &p.all, &trouble) &&
		store_repeat_forget(act->store, &trouble) && pass_bonds(&p, &trouble) &&
		store_due_count_make(act->store, &trouble) &&
		store_visit_count_make(act->store, &trouble) && pass_groups(&p, &trouble) &&
		recompute_done(act, &trouble) && import_follow_end(act, &trouble)) ||
		act_refuse(why, &trouble, NULL);
}

static bool begin_check(struct pass *p, struct problem *why)
{
	struct recompute_progress progress;

	*p->check = (struct check_result){ 0 };
	if (!recompute_progress(p->act->store, p->act->view->rulebook, &progress, why)) {
		return false;
	}
	p->is_followed = progress.is_followed;
	if (!import_follow_open(p->act->store, &p->import_id, why) ||
		!store_withdrawal_open(p->act->store, &p->withdrawn_id, why)) {
		return false;
	}
	p->check->places_wait = !p->is_followed || p->import_id != 0 || p->withdrawn_id != 0;
	return true;
}

bool check_bonds(struct act *act, struct check_result *to, struct problems *why)
{
	struct pass p = { .act = act, .check = to };
	struct problem trouble = { 0 };

	return (begin_check(&p, &trouble) && pass_bonds(&p, &trouble)) ||
		act_refuse(why, &trouble, NULL);
}

bool check_all(struct act *act, struct check_result *to, struct problems *why)
{
	struct pass p = { .act = act, .check = to, .with_visits = true };
	struct problem trouble = { 0 }, file = { 0 };

	if (!begin_check(&p, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	if (!store_check_file(act->store, &file)) {
		to->damaged = file.code == PROBLEM_DAMAGED;
		differ(to, "%s", file.detail);
		return to->damaged || act_refuse(why, &file, NULL);
	}
	return (pass_bonds(&p, &trouble) && check_counts(&p, &trouble) &&
		(to->places_wait || pass_groups(&p, &trouble))) ||
		act_refuse(why, &trouble, NULL);
}
