/*
 * A repeat place explained: is it getting worse, how sure is its mean time, could it be chance,
 * what do its failures have in common that the line's others have not, and was an end attached
 * again inside the clearance of a spoilt spot. Each with a sentence; the numbers stand behind.
 */
#ifndef SERVICE_REPORT_EXPLAIN_H
#define SERVICE_REPORT_EXPLAIN_H

#include "derived/act.h"
#include "rules/end_words.h"
#include "rules/statistics/mean_time.h"
#include "rules/statistics/share.h"

enum { EXPLAINED_SHARES_MOST = 120, EXPLAINED_SPOTS_MOST = 40, EXPLAINED_WORDS_SIZE = 320 };

enum factor { FACTOR_MODE, FACTOR_METHOD, FACTOR_KIT, FACTOR_BATCH, FACTOR_PERSON, FACTOR_SEASON };
extern const struct words factor_words;

/* One mode, kit, batch ... that at least one failure here had. */
struct explained_share {
	enum factor factor;
	char what[128];
	struct share share;             /* against the line's other failures */
	double p;                       /* NAN for SHARE_TOO_FEW */
	enum share_meaning meaning;
	char words[EXPLAINED_WORDS_SIZE];
};

/* An attachment made inside the clearance of a former spot of the same end. */
struct explained_spot {
	int64_t bond_id;
	char label[BOND_LABEL_SIZE];
	int bond_end;
	char end_brief[END_BRIEF_SIZE], end_words[END_LONG_SIZE];
	int32_t made_day, spoilt_day;   /* of the attachment, and of the one whose spot it is */
	int64_t offset_mm, spoilt_mm;
	char words[EXPLAINED_WORDS_SIZE];
};

struct explained {
	struct trend_events trend;      /* from the first failure, not counted itself, to today */
	char trend_words[EXPLAINED_WORDS_SIZE];

	bool has_mean;                  /* false: all on one day */
	struct mean_time mean_days;     /* from failure to failure, 95 % */
	char mean_words[EXPLAINED_WORDS_SIZE];

	double scan_chance;             /* NAN when it cannot be reckoned */
	int64_t scan_length_mm;
	int32_t scan_days;
	int64_t scan_failures;
	char scan_words[2 * EXPLAINED_WORDS_SIZE];

	struct explained_share shares[EXPLAINED_SHARES_MOST];   /* most telling first */
	size_t n_shares;
	struct explained_spot spots[EXPLAINED_SPOTS_MOST];
	size_t n_spots;
	int64_t clearance_mm;
	char too_few[EXPLAINED_WORDS_SIZE];                     /* "" when there are enough */
};

/*
 * Explains a place that is kept, or found in a trial; view->rulebook has the settings that it was
 * found with.
 */
bool repeat_explain(struct view *view, const struct repeat_row *place, struct explained *to,
	struct problem *why);

/* Parts of it, in files of their own. */
struct failure_fact;
void explain_shares(const struct failure_fact *facts, size_t n, struct explained *to);
bool explain_scan(struct view *view, const struct repeat_row *place, struct explained *to,
	struct problem *why);

/* "one of 4,300" for a chance of 1 / 4,300; "37 of 100" for a greater one. */
void explain_odds(double chance, char *to, size_t size);

#endif
