/*
 * What the files of store/ share: statements prepared once per connection, values bound, rows
 * stepped. Nobody outside store/ includes this.
 *
 *     static const char sql[] = "SELECT id FROM line WHERE code = $1";
 *     sqlite3_stmt *rows = sql_select(store, sql, (struct value[]){ value_text(code) }, 1, why);
 *     while (sql_row(store, rows, &row, why)) { ... sqlite3_column_int64(rows, 0) ... }
 *     (sql_row resets the statement at the end; sql_done before, when the loop is left early)
 *
 * Placeholders are $1, $2 ... numbered in order of first use; text is bound without a copy and
 * must live until the statement is done.
 */
#ifndef STORE_SQL_H
#define STORE_SQL_H

#include <sqlite3.h>

#include "base/array.h"
#include "base/day.h"
#include "store/store.h"

enum value_type { VALUE_NULL, VALUE_INTEGER, VALUE_REAL, VALUE_TEXT, VALUE_BYTES };

struct value {
	enum value_type type;
	int64_t integer;
	double real;
	const char *text;    /* borrowed */
	size_t len;
};

struct value value_null(void);
struct value value_integer(int64_t integer);
struct value value_id(int64_t id);            /* 0 is NULL */
struct value value_word(int word);            /* -1 is NULL; also for flags */
struct value value_day(int32_t day);          /* DAY_NONE is NULL */
struct value value_real(double real);         /* not a number is NULL */
struct value value_text(const char *text);    /* NULL and "" are NULL */
struct value value_bytes(const unsigned char *bytes, size_t len);   /* len 0: none, not NULL */
struct value value_int_or_null(int64_t integer, int64_t absent);

/* The prepared statement with its values bound; NULL: *why is set. Not to be asked for again
 * while its rows are being read. */
sqlite3_stmt *sql_select(struct store *store, const char *sql, const struct value *values,
	size_t count, struct problem *why);

/* True: a row is there. False at the end (*why untouched) or on failure (*why set); the statement
 * is reset in both cases. stmt may be NULL: false. */
bool sql_row(struct store *store, sqlite3_stmt *stmt, struct problem *why);
void sql_done(sqlite3_stmt *stmt);

/* Runs a statement without rows. False: *why is set; a broken UNIQUE is PROBLEM_CONFLICT. */
bool sql_run(struct store *store, const char *sql, const struct value *values, size_t count,
	struct problem *why);
int64_t sql_last_id(struct store *store);
int sql_changes(struct store *store);

/* One integer of the first row; absent when there is none or it is NULL. False: failed. */
bool sql_integer(struct store *store, const char *sql, const struct value *values, size_t count,
	int64_t absent, int64_t *to, struct problem *why);

/*
 * A walk: the rows from a key on, each given to `take` with its columns, until it says that it has
 * enough (false; or *why is set). For thousands of rows; it stops without looking for an upper end.
 *
 *     SELECT 1 FROM reading r WHERE r.inspection_id >= $1 AND enough(r.inspection_id, r.n)
 *     ORDER BY r.inspection_id, r.n
 *
 * The order must be that of a key or an index: what would have to be sorted is refused. The values
 * are SQLite's and good until take returns; it may ask other statements.
 */
typedef bool sql_take(void *arg, sqlite3_value **row, struct problem *why);
bool sql_walk(struct store *store, const char *sql, int64_t from, sql_take *take, void *arg,
	struct problem *why);
/* The same with other values than a key alone. */
bool sql_walk_by(struct store *store, const char *sql, const struct value *values, size_t count,
	sql_take *take, void *arg, struct problem *why);
bool sql_walk_open(struct store *store, sqlite3 *db);   /* once for each connection */
bool sql_visits_open(sqlite3 *db);   /* visits_among, visit_count.h */
bool sql_end_words_open(struct store *store, sqlite3 *db, bool is_writer);   /* end_words.h */

bool sql_figures_open(sqlite3 *db);   /* figure() and reading_figures(), judgement.h */
bool sql_due_open(struct store *store, sqlite3 *db);   /* moved(), due_kept.c's own */

/* In statements: days_ahead(day, recorded_at_ms), how many days what was recorded is dated ahead of
 * the register's day at which it arrived; NULL when it is not. */
bool sql_day_open(sqlite3 *db);    /* once for each connection */
bool sql_outcome_open(sqlite3 *db);   /* outcome_as_meant(outcome, seen_a, seen_b, meant) */

/* In statements: what rules/crew_round.h makes of a round and its bonds. */
bool sql_round_open(sqlite3 *db);

/* Values and columns with NULL as the absent value. The texts copy at most size - 1 bytes, whole
 * characters; column_dup allocates (NULL for NULL or no memory). */
int taken_word(sqlite3_value *value);
int32_t taken_day(sqlite3_value *value);
double taken_real(sqlite3_value *value);
void taken_text(sqlite3_value *value, char *to, size_t size);
int column_word(sqlite3_stmt *stmt, int column);
int32_t column_day(sqlite3_stmt *stmt, int column);
double column_real(sqlite3_stmt *stmt, int column);
void column_text(sqlite3_stmt *stmt, int column, char *to, size_t size);
char *column_dup(sqlite3_stmt *stmt, int column);

/* After a failed call of SQLite: logs the cause, fills *why, returns false. */
bool sql_failed(struct store *store, const char *doing, struct problem *why);

/* The whole numbers of the first column of all rows, $1 given; the caller frees *all. False: *why,
 * and *all is NULL. */
bool sql_integers(struct store *store, const char *sql, int64_t value, int64_t **all, size_t *count,
	struct problem *why);

sqlite3 *sql_connection(struct store *store);

/* The number of the state that statements see, as far as marks go: another one in each transaction,
 * and after sql_state_changed. 0: no transaction, and each statement may see another. */
uint64_t sql_state(struct store *store);
void sql_state_changed(struct store *store);

/* After each commit, for store_people_edition. */
void sql_people_on_disk(void);

/*
 * A mark counts how often something changed, over all connections. What a connection keeps of that
 * is good while the mark is the same as when it was last asked for; within a state it is asked for
 * once. What was kept must be forgotten when a change is rolled back: its number is given out
 * again.
 */
struct sql_mark {
	int64_t value;
	uint64_t state;
};
bool sql_mark_same(struct store *store, const char *name, struct sql_mark *seen, bool *same,
	struct problem *why);
bool sql_mark_step(struct store *store, const char *name, struct problem *why);

/* The connection's cache of chainage maps (store/record/map.c); released with the connection. */
struct map_cache;
struct map_cache **sql_map_cache(struct store *store);
void map_cache_free(struct map_cache *cache);

/* What the connection keeps of instruments, conductors, tracks (store/record/known.c), likewise. */
struct known;
struct known **sql_known(struct store *store);
void known_free(struct known *known);

/* The rulebook's versions (store/record/rulebook.c), likewise; who holds them has them longer. */
struct kept_books;
struct kept_books **sql_kept_books(struct store *store);
void kept_books_free(struct kept_books *kept);

/* The newest entries of a day (store/record/round.c), likewise. */
struct round_kept;
struct round_kept **sql_round_kept(struct store *store);
void round_kept_free(struct round_kept *kept);

/* The place of a reading connection's kept totals (store/lists/totals.c), freed with it; NULL for
 * the writing one. */
struct totals_cache;
struct totals_cache **sql_totals_cache(struct store *store);

/* A correction that waits for an engineer (store/record/correction.h) neither counts nor replaces,
 * nor does what was withdrawn (store/record/withdrawal.h): whether a row is so left out, whether it
 * is withdrawn, and whether it counts no longer or not yet. noun is enum sent_noun as text. */
#define SQL_WAITS(noun, id) id " IN (SELECT o.row_id FROM correction_open o " \
	"WHERE o.noun = " noun " AND " SQL_STILL ")"
#define SQL_WITHDRAWN(noun, id) id " IN (SELECT o.row_id FROM correction_open o " \
	"WHERE o.noun = " noun " AND o.withdrawn = 1 AND " SQL_STILL ")"
/* (of correction_open o: what an import brought is left out until the import's own row is there,
 * and again from when it is withdrawn: its rows are made ready before,
 * store/record/withdrawal_begun.h) */
#define SQL_STILL "(o.import_id NOT IN (SELECT id FROM import) OR EXISTS (SELECT 1 " \
	"FROM withdrawal still WHERE still.noun = " NOUN_IMPORT " AND still.row_id = o.import_id))"
#define SQL_REPLACED(table, noun, id) "(EXISTS (SELECT 1 FROM " table " c WHERE c.replaces_id = " id \
	" AND NOT c." SQL_WAITS(noun, "id") ") OR " SQL_WAITS(noun, id) ")"
#define NOUN_INSPECTION "0"
#define NOUN_FAILURE "1"
#define NOUN_REPAIR "2"
#define NOUN_DEFERRAL "3"
#define NOUN_ATTACHMENT "4"
#define NOUN_RULING "5"
#define NOUN_WITHDRAWAL "7"
#define NOUN_IMPORT "8"
#define NOUN_KIT_CHECK "9"
#define NOUN_CALIBRATION "10"
#define NOUN_CONDUCTOR "11"
#define NOUN_PROFILE "12"
#define NOUN_BOND "13"
#define NOUN_LINE "14"
#define NOUN_TRACK "15"
#define NOUN_MAP "16"
#define NOUN_MARK "17"
#define NOUN_BRIDGE "20"
#define NOUN_BRIDGE_OFF "21"
#define NOUN_PHOTO "22"
#define NOUN_FOUND "23"
#define NOUN_FOUND_ANSWER "24"

/* Whether an entry that nothing corrects counts: it was not withdrawn. */
#define SQL_STANDS(noun, id) "NOT EXISTS (SELECT 1 FROM correction_open o " \
	"WHERE o.noun = " noun " AND o.row_id = " id " AND " SQL_STILL ")"
/* (of correction_open o: it will never count; what is under way may) */
#define SQL_FOR_EVER "(o.import_id = 0 OR EXISTS (SELECT 1 FROM import_ended x " \
	"WHERE x.import_id = o.import_id) OR EXISTS (SELECT 1 FROM withdrawal x " \
	"WHERE x.noun = " NOUN_IMPORT " AND x.row_id = o.import_id))"

/* What an engineer stated last that the rows of an import meant (enum row_meant); NULL: nothing. */
#define SQL_ROW_MEANT(import_id) "(SELECT g.row_meant FROM ruling g " \
	"WHERE g.import_id = " import_id " AND g.row_meant IS NOT NULL " \
	"AND " SQL_STANDS(NOUN_RULING, "g.id") " ORDER BY g.id DESC LIMIT 1)"
/* The outcome of inspection i, as that says (outcome_as_meant, rules/terms.h). */
#define SQL_OUTCOME(i) "(CASE WHEN " i ".import_id IS NULL OR (" i ".seen_a IS NOT NULL AND " i \
	".seen_b IS NOT NULL) THEN " i ".outcome ELSE outcome_as_meant(" i ".outcome, " \
	i ".seen_a, " i ".seen_b, " SQL_ROW_MEANT(i ".import_id") ") END)"

/* Whether what an import brought is seen by nobody yet, or never will be: it was begun in pieces
 * (store/record/import_begun.h) and has no row of its own. */
#define SQL_OF_BEGUN(import_id) "EXISTS (SELECT 1 FROM import_begun begun WHERE " \
	"begun.import_id = " import_id " AND NOT EXISTS (SELECT 1 FROM import whole WHERE " \
	"whole.id = begun.import_id))"

/* Whether one row counts, where there are few to ask (SQL_REPLACED looks through all that is left
 * out first, which is for lists). */
#define SQL_COUNTS(table, noun, id) "NOT EXISTS (SELECT 1 FROM " table " c " \
	"WHERE c.replaces_id = " id " AND NOT EXISTS (SELECT 1 FROM correction_open o " \
	"WHERE o.noun = " noun " AND o.row_id = c.id AND " SQL_STILL ")) AND NOT EXISTS " \
	"(SELECT 1 FROM correction_open o WHERE o.noun = " noun " AND o.row_id = " id \
	" AND " SQL_STILL ")"

#endif
