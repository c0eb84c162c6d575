#include "store/end_words.h"

#include "store/bond.h"
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
		"e.structure, t.name, t.left_label, t.right_label FROM end_fact e "
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

/* The words of the bond that the first three values name; false: the answer is an error. */
static bool words_of(sqlite3_context *context, sqlite3_value **values, struct end_words *to)
{
	struct problem why = { 0 };

	if (!store_end_words(sqlite3_user_data(context), sqlite3_value_int64(values[0]),
		sqlite3_value_int64(values[1]), (enum bond_kind)sqlite3_value_int(values[2]), NULL, NULL,
		to, &why)) {
		sqlite3_result_error(context, why.detail, -1);
		return false;
	}
	return true;
}

static void end_brief(sqlite3_context *context, int count, sqlite3_value **values)
{
	struct end_words words;

	(void)count;
	if (sqlite3_value_type(values[3]) != SQLITE_NULL && words_of(context, values, &words)) {
		sqlite3_result_text(context, words.brief[sqlite3_value_int(values[3]) & 1], -1,
			SQLITE_TRANSIENT);
	}
}

static void quantity_brief(sqlite3_context *context, int count, sqlite3_value **values)
{
	enum quantity quantity = (enum quantity)sqlite3_value_int(values[3]);
	bool is_contact = quantity == QUANTITY_CONTACT_A || quantity == QUANTITY_CONTACT_B;
	struct end_words words;
	char brief[END_BRIEF_SIZE];

	(void)count;
	if (sqlite3_value_type(values[3]) != SQLITE_NULL &&
		(!is_contact || words_of(context, values, &words))) {
		end_words_quantity(&words, quantity, brief, sizeof brief);
		sqlite3_result_text(context, brief, -1, SQLITE_TRANSIENT);
	}
}

static void ends_alike(sqlite3_context *context, int count, sqlite3_value **values)
{
	struct end_words words;

	(void)count;
	if (words_of(context, values, &words)) {
		sqlite3_result_int(context, words.by == ENDS_ALIKE);
	}
}

bool sql_end_words_open(struct store *store, sqlite3 *db)
{
	enum { HOW = SQLITE_UTF8 | SQLITE_DIRECTONLY };

	return sqlite3_create_function_v2(db, "end_brief", 4, HOW, store, end_brief, NULL, NULL,
		NULL) == SQLITE_OK && sqlite3_create_function_v2(db, "quantity_brief", 4, HOW, store,
		quantity_brief, NULL, NULL, NULL) == SQLITE_OK && sqlite3_create_function_v2(db,
		"ends_alike", 3, HOW, store, ends_alike, NULL, NULL, NULL) == SQLITE_OK;
}
