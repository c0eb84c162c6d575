#include "store/record/end_words.h"

#include <stdlib.h>

#include "store/record/bond.h"
#include "store/sql.h"

/* One end as it is read, with its texts. */
struct end_read {
	char track[LINE_CODE_SIZE], label[2][LINE_CODE_SIZE], structure[BOND_STRUCTURE_SIZE];
};

static void read_end(sqlite3_stmt *row, struct end_read *texts, struct end_facts *to)
{
	column_text(row, 5, texts->structure, sizeof texts->structure);
	column_text(row, 6, texts->track, sizeof texts->track);
	column_text(row, 7, texts->label[RAIL_LEFT], sizeof texts->label[RAIL_LEFT]);
	column_text(row, 8, texts->label[RAIL_RIGHT], sizeof texts->label[RAIL_RIGHT]);
	*to = (struct end_facts){ .on = (enum end_on)sqlite3_column_int(row, 1),
		.rail = column_word(row, 2), .face = column_word(row, 3),
		.distance_mm = sqlite3_column_int64(row, 4), .structure = texts->structure,
		.track = texts->track,
		.label = { texts->label[RAIL_LEFT], texts->label[RAIL_RIGHT] } };
}

bool store_end_words(struct store *store, int64_t bond_id, int64_t version, enum bond_kind kind,
	const char *chainage_a, const char *chainage_b, struct end_words *to, struct problem *why)
{
	static const char sql[] = "SELECT e.bond_end, e.on_what, e.rail, e.face, e.distance_mm, "
		"e.structure, t.name, " TRACK_SAID("left_label") ", "
		TRACK_SAID("right_label") " FROM end_fact e "
		"LEFT JOIN track t ON t.id = e.track_id WHERE e.bond_id = $1 AND e.version = $2";
	const struct value values[] = { value_integer(bond_id), value_integer(version) };
	struct end_read texts[2];
	struct end_facts ends[2] = { { .rail = -1, .face = -1 }, { .rail = -1, .face = -1 } };
	sqlite3_stmt *rows = sql_select(store, sql, values, 2, why);

	while (sql_row(store, rows, why)) {
		int end = sqlite3_column_int(rows, 0) & 1;

		read_end(rows, &texts[end], &ends[end]);
	}
	ends[END_A].chainage = chainage_a;
	ends[END_B].chainage = chainage_b;
	end_words_make(kind, ends, to);
	return why->code == PROBLEM_NONE;
}

/* The functions of a connection, with the bond asked for last: a row asks for both of its ends.
 * What a version says never changes, but the writer may still take a version back. */
struct asked {
	struct store *store;
	bool is_kept;
	int64_t bond_id, version;   /* 0: none */
	struct end_words words;
};

/* The words of the bond that the first three values name; NULL: the answer is an error. */
static const struct end_words *words_of(sqlite3_context *context, sqlite3_value **values)
{
	struct asked *asked = sqlite3_user_data(context);
	int64_t bond_id = sqlite3_value_int64(values[0]), version = sqlite3_value_int64(values[1]);
	struct problem why = { 0 };

	if (asked->is_kept && asked->bond_id == bond_id && asked->version == version) {
		return &asked->words;
	}
	asked->bond_id = 0;
	if (!store_end_words(asked->store, bond_id, version,
		(enum bond_kind)sqlite3_value_int(values[2]), NULL, NULL, &asked->words, &why)) {
		sqlite3_result_error(context, why.detail, -1);
		return NULL;
	}
	asked->bond_id = bond_id;
	asked->version = version;
	return &asked->words;
}

static void end_brief(sqlite3_context *context, int count, sqlite3_value **values)
{
	const struct end_words *words;

	(void)count;
	if (sqlite3_value_type(values[3]) != SQLITE_NULL &&
		(words = words_of(context, values)) != NULL) {
		sqlite3_result_text(context, words->brief[sqlite3_value_int(values[3]) & 1], -1,
			SQLITE_TRANSIENT);
	}
}

static void quantity_brief(sqlite3_context *context, int count, sqlite3_value **values)
{
	enum quantity quantity = (enum quantity)sqlite3_value_int(values[3]);
	const struct end_words *words = NULL;
	char brief[END_BRIEF_SIZE];

	(void)count;
	if (sqlite3_value_type(values[3]) != SQLITE_NULL && (!quantity_is_of_end(quantity) ||
		(words = words_of(context, values)) != NULL)) {
		end_words_quantity(words, quantity, brief, sizeof brief);
		sqlite3_result_text(context, brief, -1, SQLITE_TRANSIENT);
	}
}

static void ends_alike(sqlite3_context *context, int count, sqlite3_value **values)
{
	const struct end_words *words = words_of(context, values);

	(void)count;
	if (words != NULL) {
		sqlite3_result_int(context, words->by == ENDS_ALIKE);
	}
}

bool sql_end_words_open(struct store *store, sqlite3 *db, bool is_writer)
{
	static const struct {
		const char *name;
		int values;
		void (*give)(sqlite3_context *context, int count, sqlite3_value **values);
	} functions[] = { { "end_brief", 4, end_brief }, { "quantity_brief", 4, quantity_brief },
		{ "ends_alike", 3, ends_alike } };

	for (size_t i = 0; i < sizeof functions / sizeof functions[0]; i++) {
		struct asked *asked = calloc(1, sizeof *asked);

		if (asked == NULL) {
			return false;
		}
		asked->store = store;
		asked->is_kept = !is_writer;
		if (sqlite3_create_function_v2(db, functions[i].name, functions[i].values,
			SQLITE_UTF8 | SQLITE_DIRECTONLY, asked, functions[i].give, NULL, NULL, free) !=
			SQLITE_OK) {
			return false;   /* SQLite has freed it */
		}
	}
	return true;
}
