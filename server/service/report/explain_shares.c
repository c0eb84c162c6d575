#include "service/report/explain.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/utf8.h"
#include "store/kept/repeat_facts.h"

enum { VALUES_MOST = 20 };  /* of one factor */

static const char *const factor_code[] = { "mode", "method", "kit", "batch", "person", "season" };
static const char *const factor_title[] = { "What failed", "Method of attachment", "Brazing kit",
	"Batch of the material", "Attached by", "Time of year" };
const struct words factor_words = { "factor", factor_code, factor_title, 6 };

static const char *const seasons[] = { "January to March", "April to June", "July to September",
	"October to December" };

/* What a failure had of a factor; NULL when it is not recorded. */
static const char *value_of(const struct failure_fact *f, enum factor factor)
{
	const char *text = "";
	int year, month, day;

	switch (factor) {
	case FACTOR_MODE:
		return f->mode >= 0 ? failure_mode_words.title[f->mode] : NULL;
	case FACTOR_METHOD:
		return f->method >= 0 ? attach_method_words.title[f->method] : NULL;
	case FACTOR_SEASON:
		day_to_parts(f->found_day, &year, &month, &day);
		return seasons[(month - 1) / 3];
	case FACTOR_KIT:
		text = f->kit;
		break;
	case FACTOR_BATCH:
		text = f->batch;
		break;
	case FACTOR_PERSON:
		text = f->person;
		break;
	}
	return text[0] != '\0' ? text : NULL;
}

static void count_value(const char *what, bool here, enum factor factor, struct explained *to,
	size_t first)
{
	struct explained_share *s;

	for (size_t i = first; i < to->n_shares; i++) {
		if (strcmp(to->shares[i].what, what) == 0) {
			to->shares[i].share.here += here;
			to->shares[i].share.elsewhere += !here;
			return;
		}
	}
	if (!here || to->n_shares - first == VALUES_MOST || to->n_shares == EXPLAINED_SHARES_MOST) {
		return;
	}
	s = &to->shares[to->n_shares++];
	*s = (struct explained_share){ .factor = factor, .share.here = 1 };
	text_fit(s->what, sizeof s->what, "%s", what);
}

/* First what is here, then how often each of these is elsewhere. */
static void count_factor(const struct failure_fact *facts, size_t n, enum factor factor,
	struct explained *to)
{
	size_t first = to->n_shares;
	int64_t known[2] = { 0, 0 };

	for (int here = 1; here >= 0; here--) {
		for (size_t i = 0; i < n; i++) {
			const char *what = facts[i].here == (here == 1) ? value_of(&facts[i], factor) : NULL;

			if (what != NULL) {
				known[here]++;
				count_value(what, here == 1, factor, to, first);
			}
		}
	}
	for (size_t i = first; i < to->n_shares; i++) {
		to->shares[i].share.of_here = known[1];
		to->shares[i].share.of_elsewhere = known[0];
	}
}

static void say_share(struct explained_share *s)
{
	char odds[80], counts[160];

	snprintf(counts, sizeof counts, "%lld of %lld here, %lld of %lld elsewhere on the line",
		(long long)s->share.here, (long long)s->share.of_here, (long long)s->share.elsewhere,
		(long long)s->share.of_elsewhere);
	explain_odds(s->p, odds, sizeof odds);
	switch (s->meaning) {
	case SHARE_TOO_FEW:
		snprintf(s->words, sizeof s->words, "%s: too few to compare.", counts);
		break;
	case SHARE_CHANCE:
		snprintf(s->words, sizeof s->words, "%s: no more than chance would bring.", counts);
		break;
	case SHARE_TELLING:
		snprintf(s->words, sizeof s->words, "%s: more than chance would bring; by chance %s "
			"places would have so many.", counts, odds);
	}
}

/* Telling ones first, the least likely first; then the most frequent here. */
static int by_meaning(const void *left, const void *right)
{
	const struct explained_share *a = left, *b = right;

	if (a->meaning != b->meaning) {
		return a->meaning > b->meaning ? -1 : 1;
	}
	if (a->meaning == SHARE_TELLING && a->p != b->p) {
		return a->p < b->p ? -1 : 1;
	}
	if (a->share.here != b->share.here) {
		return a->share.here > b->share.here ? -1 : 1;
	}
	return a->factor != b->factor ? (a->factor > b->factor) - (a->factor < b->factor) :
		strcmp(a->what, b->what);
}

void explain_shares(const struct failure_fact *facts, size_t n, struct explained *to)
{
	for (int factor = FACTOR_MODE; factor <= FACTOR_SEASON; factor++) {
		count_factor(facts, n, (enum factor)factor, to);
	}
	for (size_t i = 0; i < to->n_shares; i++) {
		to->shares[i].meaning = share_judge(&to->shares[i].share, &to->shares[i].p);
		say_share(&to->shares[i]);
	}
	qsort(to->shares, to->n_shares, sizeof *to->shares, by_meaning);
}
