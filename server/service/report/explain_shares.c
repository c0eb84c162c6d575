/* What the failures of a repeat place have in common: each mode, method, kit ... that was involved,
 * and whether the failed jobs have one more often than the line's jobs. */
#include "service/report/explain.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/utf8.h"
#include "store/kept/repeat_facts.h"

enum { MONTHS_AROUND = 12 };    /* of the failed jobs, in which the line's jobs are compared */

static const char *const factor_code[] = { "mode", "method", "kit", "batch", "person" };
static const char *const factor_title[] = { "What failed", "Method of attachment", "Brazing kit",
	"Batch of the material", "Attached by" };
const struct words factor_words = { "factor", factor_code, factor_title, FACTORS };

static const char *method_title(int method)
{
	return method >= 0 ? attach_method_words.title[method] : "";
}

/* "": it is not recorded. */
static const char *value_of_failure(const struct failure_fact *f, enum factor factor)
{
	return factor == FACTOR_MODE ? f->mode >= 0 ? failure_mode_words.title[f->mode] : "" :
		factor == FACTOR_METHOD ? method_title(f->method) : factor == FACTOR_KIT ? f->kit :
		factor == FACTOR_BATCH ? f->batch : f->person;
}

static const char *value_of_job(const struct job_fact *j, enum factor factor)
{
	return factor == FACTOR_METHOD ? method_title(j->method) : factor == FACTOR_KIT ? j->kit :
		factor == FACTOR_BATCH ? j->batch : j->person;
}

static void count_involved(const char *what, enum factor factor, struct explained *to)
{
	struct explained_involved *i = to->involved;
	const struct explained_involved *end = i + to->n_involved;

	while (i < end && (i->factor != factor || strcmp(i->what, what) != 0)) {
		i++;
	}
	if (i < end) {
		i->count++;
	} else if (to->n_involved < EXPLAINED_INVOLVED_MOST) {
		to->n_involved++;
		*i = (struct explained_involved){ .factor = factor, .count = 1 };
		text_fit(i->what, sizeof i->what, "%s", what);
	}
}

static int most_first(const void *left, const void *right)
{
	const struct explained_involved *a = left, *b = right;

	return a->factor != b->factor ? (a->factor > b->factor) - (a->factor < b->factor) :
		a->count != b->count ? (a->count < b->count) - (a->count > b->count) :
		strcmp(a->what, b->what);
}

static void find_involved(const struct failure_fact *facts, size_t n, struct explained *to)
{
	for (size_t i = 0; i < n; i++) {
		for (int factor = FACTOR_MODE; factor < FACTORS && facts[i].here; factor++) {
			const char *what = value_of_failure(&facts[i], (enum factor)factor);

			if (what[0] != '\0') {
				count_involved(what, (enum factor)factor, to);
			}
		}
	}
	qsort(to->involved, to->n_involved, sizeof *to->involved, most_first);
}

/* An end's failure is its end's; a theft is nobody's workmanship. */
static bool failed_here(const struct failure_fact *facts, size_t n, int64_t attachment_id)
{
	for (size_t i = 0; i < n; i++) {
		if (facts[i].here && facts[i].bond_end >= 0 && facts[i].attachment_id == attachment_id &&
			facts[i].mode != FAILURE_CUT_OR_STOLEN) {
			return true;
		}
	}
	return false;
}

/* What one attachment had of one factor. */
struct had {
	enum factor factor;
	const char *what;         /* borrowed */
	size_t job;
	bool failed;              /* its own end failed here */
};

/* Failed ones first, so that a job's first tells whether any of it did. */
static int by_value(const void *left, const void *right)
{
	const struct had *a = left, *b = right;
	int what;

	if (a->factor != b->factor) {
		return a->factor > b->factor ? 1 : -1;
	}
	what = strcmp(a->what, b->what);
	return what != 0 ? what : a->job != b->job ? (a->job > b->job) - (a->job < b->job) :
		(b->failed > a->failed) - (b->failed < a->failed);
}

/* Leaves those of the years around the failed work; none is left when none failed. */
static void keep_around(const struct failure_fact *facts, size_t n, struct job_fact *jobs,
	size_t *count)
{
	int32_t first = DAY_NONE, last = DAY_NONE, from, to;
	size_t kept = 0;

	for (size_t i = 0; i < *count; i++) {
		if (failed_here(facts, n, jobs[i].attachment_id)) {
			first = first == DAY_NONE ? jobs[i].made_day : first;
			last = jobs[i].made_day;
		}
	}
	from = first != DAY_NONE ? day_add_months(first, -MONTHS_AROUND) : 0;
	to = first != DAY_NONE ? day_add_months(last, MONTHS_AROUND) : -1;
	for (size_t i = 0; i < *count; i++) {
		if (jobs[i].made_day >= from && jobs[i].made_day <= to) {
			jobs[kept++] = jobs[i];
		}
	}
	*count = kept;
}

/* A job is what lies within the window of the first of it and was made on its day. */
static size_t list_values(const struct failure_fact *facts, size_t n, const struct job_fact *jobs,
	size_t count, int64_t window_mm, struct had *to)
{
	size_t first = 0, job = 0, n_had = 0;

	for (size_t i = 0; i < count; i++) {
		bool failed = failed_here(facts, n, jobs[i].attachment_id);

		if (i > 0 && (jobs[i].made_day != jobs[first].made_day ||
			jobs[i].distance_mm - jobs[first].distance_mm > window_mm)) {
			first = i;
			job++;
		}
		for (int factor = FACTOR_METHOD; factor < FACTORS; factor++) {
			const char *what = value_of_job(&jobs[i], (enum factor)factor);

			if (what[0] != '\0') {
				to[n_had++] = (struct had){ (enum factor)factor, what, job, failed };
			}
		}
	}
	return n_had;
}

/* How many jobs, and failed ones, a run of what was had is of. */
static void count_jobs(const struct had *had, size_t n, int64_t *jobs, int64_t *failed)
{
	*jobs = *failed = 0;
	for (size_t i = 0; i < n; i++) {
		if (i == 0 || had[i].job != had[i - 1].job) {
			++*jobs;
			*failed += had[i].failed;
		}
	}
}

static int by_job(const void *left, const void *right)
{
	const struct had *a = left, *b = right;

	return a->job != b->job ? (a->job > b->job) - (a->job < b->job) :
		(b->failed > a->failed) - (b->failed < a->failed);
}

/* Each value of the factor's run, with the jobs of which the factor is recorded at all. */
static size_t count_factor(struct had *had, size_t n, struct explained_share *to)
{
	size_t shares = 0;
	int64_t jobs, failed;

	for (size_t first = 0, next; first < n; first = next) {
		for (next = first; next < n && strcmp(had[next].what, had[first].what) == 0; next++) {
		}
		to[shares] = (struct explained_share){ .factor = had[first].factor };
		text_fit(to[shares].what, sizeof to[shares].what, "%s", had[first].what);
		count_jobs(had + first, next - first, &to[shares].share.line, &to[shares].share.here);
		shares++;
	}
	qsort(had, n, sizeof *had, by_job);
	count_jobs(had, n, &jobs, &failed);
	for (size_t i = 0; i < shares; i++) {
		to[i].share.of_line = jobs;
		to[i].share.of_here = failed;
	}
	return shares;
}

static size_t count_values(struct had *had, size_t n, struct explained_share *to)
{
	size_t shares = 0;

	if (n > 0) {
		qsort(had, n, sizeof *had, by_value);
	}
	for (size_t first = 0, next; first < n; first = next) {
		for (next = first; next < n && had[next].factor == had[first].factor; next++) {
		}
		shares += count_factor(had + first, next - first, to + shares);
	}
	return shares;
}

static bool judge(struct explained_share *shares, size_t n)
{
	struct share *plain = calloc(n + 1, sizeof *plain);
	bool ok = plain != NULL;

	for (size_t i = 0; i < n && ok; i++) {
		plain[i] = shares[i].share;
	}
	ok = ok && shares_judge(plain, n);
	for (size_t i = 0; i < n && ok; i++) {
		shares[i].share = plain[i];
	}
	free(plain);
	return ok;
}

static int by_p(const void *left, const void *right)
{
	const struct explained_share *a = left, *b = right;

	return a->share.p != b->share.p ? (a->share.p > b->share.p) - (a->share.p < b->share.p) :
		a->factor != b->factor ? (a->factor > b->factor) - (a->factor < b->factor) :
		strcmp(a->what, b->what);
}

static void say(struct explained_share *s)
{
	snprintf(s->words, sizeof s->words, "%lld of %lld jobs that failed here, %lld of %lld on the "
		"line: %s.", (long long)s->share.here, (long long)s->share.of_here,
		(long long)s->share.line, (long long)s->share.of_line,
		share_meaning_words.title[s->share.meaning]);
}

/* Those met here are kept, the least likely first. */
static void keep_met(struct explained_share *shares, size_t n, struct explained *to)
{
	to->n_asked = n;
	qsort(shares, n, sizeof *shares, by_p);
	for (size_t i = 0; i < n && to->n_shares < EXPLAINED_SHARES_MOST; i++) {
		if (shares[i].share.here > 0) {
			to->shares[to->n_shares] = shares[i];
			say(&to->shares[to->n_shares++]);
		}
	}
}

bool explain_shares(struct view *view, const struct repeat_row *place,
	const struct failure_fact *facts, size_t n, struct explained *to, struct problem *why)
{
	struct job_fact *jobs = NULL;
	struct explained_share *shares = NULL;
	struct had *had = NULL;
	size_t count = 0, n_had;
	bool ok = store_job_facts(view->store, place->group.line_id, &jobs, &count, why);

	find_involved(facts, n, to);
	if (ok) {
		keep_around(facts, n, jobs, &count);
		had = calloc(count * (FACTORS - FACTOR_METHOD) + 1, sizeof *had);
		shares = calloc(count * (FACTORS - FACTOR_METHOD) + 1, sizeof *shares);
		ok = had != NULL && shares != NULL;
		n_had = ok ? list_values(facts, n, jobs, count, view->rulebook->repeat_window_mm, had) : 0;
		n_had = ok ? count_values(had, n_had, shares) : 0;
		ok = ok && judge(shares, n_had);
		if (ok) {
			keep_met(shares, n_had, to);
		} else {
			problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
		}
	}
	free(shares);
	free(had);
	free(jobs);
	return ok;
}
