/*
 * A repeat place explained: is it more than chance, is it getting worse, how long from one event to
 * the next where that may be said, what do its failed jobs have in common that the line's have not,
 * and was an end attached again inside the clearance of a spoilt spot. Each with a sentence; the
 * numbers stand behind. Chance is no cause, and nobody's name is one.
 */
#ifndef SERVICE_REPORT_EXPLAIN_H
#define SERVICE_REPORT_EXPLAIN_H

#include "derived/act.h"
#include "rules/end_words.h"
#include "rules/statistics/mean_time.h"
#include "rules/statistics/place_chance.h"
#include "rules/statistics/place_trend.h"
#include "rules/statistics/share.h"

enum { EXPLAINED_SHARES_MOST = 120, EXPLAINED_INVOLVED_MOST = 120, EXPLAINED_SPOTS_MOST = 40,
	EXPLAINED_WORDS_SIZE = 320 };

enum factor { FACTOR_MODE, FACTOR_METHOD, FACTOR_KIT, FACTOR_BATCH, FACTOR_PERSON, FACTORS };
extern const struct words factor_words;

/* A mode, kit, batch ... that failures here had, and how many. */
struct explained_involved {
	enum factor factor;
	char what[128];
	int64_t count;
};

/* One method, kit, batch, person of jobs that failed here; never a mode. */
struct explained_share {
	enum factor factor;
	char what[128];
	struct share share;
	char words[EXPLAINED_WORDS_SIZE];
};

struct explained_chance {
	bool is_told;                   /* false: words say why not */
	bool is_more;                   /* than chance: p is 0.05 or less */
	struct place_chance rail;       /* of a place as this on its rail; p NAN when not told */
	double p;                       /* somewhere, of all rails that were looked at; NAN */
	size_t ends, events, here;      /* bond ends of the rail; its events; those of the place */
	size_t rails;
	char words[2 * EXPLAINED_WORDS_SIZE];
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
	struct explained_chance chance;
	struct place_trend trend;       /* of all events within its span, from record_days ago */
	int32_t record_days;            /* since the line's first recorded failure */
	char trend_words[EXPLAINED_WORDS_SIZE];

	bool has_mean;                  /* it is more than chance, and no trend is told */
	struct mean_time mean_days;     /* from event to event, 95 % */
	char mean_words[EXPLAINED_WORDS_SIZE];

	struct explained_involved involved[EXPLAINED_INVOLVED_MOST];   /* by factor, most first */
	size_t n_involved;
	struct explained_share shares[EXPLAINED_SHARES_MOST];          /* least likely first */
	size_t n_shares, n_asked;       /* values met here; all that were asked about */
	struct explained_spot spots[EXPLAINED_SPOTS_MOST];
	size_t n_spots;
	int64_t clearance_mm;
};

/*
 * Explains a place that is kept, or found in a trial; view->rulebook has the settings that it was
 * found with.
 */
bool repeat_explain(struct view *view, const struct repeat_row *place, struct explained *to,
	struct problem *why);

/* Parts of it, in files of their own, and how they say numbers. */
struct failure_fact;
bool explain_time(struct view *view, const struct repeat_row *place,
	const struct failure_fact *facts, size_t n, struct explained *to, struct problem *why);
bool explain_shares(struct view *view, const struct repeat_row *place,
	const struct failure_fact *facts, size_t n, struct explained *to, struct problem *why);

/* "one of 4,300" for a chance of 1 / 4,300; "37 of 100" for a greater one. */
void explain_odds(double chance, char *to, size_t size);

/* A whole number with a comma at the thousands, of two significant digits. */
void explain_rounded(double value, char *to, size_t size);

#endif
