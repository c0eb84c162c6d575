#include "store/record/said.h"

#include <string.h>

#include "store/record/doer.h"
#include "store/sql.h"

bool store_said_newest(struct store *store, enum sent_noun noun, int64_t id, int64_t *newest,
	struct problem *why)
{
	static const char visits[] = "SELECT c.id FROM inspection c WHERE c.replaces_id = $1 "
		"AND NOT c." SQL_WAITS(NOUN_INSPECTION, "id");
	static const char failures[] = "SELECT c.id FROM failure c WHERE c.replaces_id = $1 "
		"AND NOT c." SQL_WAITS(NOUN_FAILURE, "id");
	bool ok = true;

	for (int64_t next = id; ok && next != 0;) {
		*newest = next;
		ok = sql_integer(store, noun == SENT_INSPECTION ? visits : failures,
			(struct value[]){ value_integer(*newest) }, 1, 0, &next, why);
	}
	return ok;
}

/* NULL of no text, and when there is no memory for it: then *failed. */
static const char *text_of(sqlite3_stmt *row, int column, struct form_memory *memory, bool *failed)
{
	const char *text = (const char *)sqlite3_column_text(row, column);
	size_t len = text != NULL ? strlen(text) + 1 : 0;
	char *to = text != NULL ? form_alloc(memory, len) : NULL;

	if (to != NULL) {
		memcpy(to, text, len);
	}
	*failed = *failed || (text != NULL && to == NULL);
	return to;
}

static int64_t integer_or_none(sqlite3_stmt *row, int column)
{
	return sqlite3_column_type(row, column) == SQLITE_NULL ? FORM_NO_INTEGER :
		sqlite3_column_int64(row, column);
}

static bool ended(sqlite3_stmt *row, bool failed, struct problem *why)
{
	sql_done(row);
	return !failed || problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
}

static bool missing(const char *what, int64_t id, struct problem *why)
{
	return why->code == PROBLEM_NONE &&
		problem_set(why, PROBLEM_NOT_FOUND, NULL, "There is no %s %lld.", what, (long long)id);
}

bool store_inspection_said(struct store *store, int64_t id, struct inspection *to,
	struct form_memory *memory, struct problem *why)
{
	static const char sql[] = "SELECT i.uuid, i.bond_id, i.day, i.purpose, i.outcome, i.seen_a, "
		"i.seen_b, " NAME_OF_DOER("i") ", i.note, i.why_not_seen, i.opened, i.cables_whole, "
		"i.strength_a, i.strength_b, i.surroundings, i.failed, i.done_at_ms FROM inspection i "
		"WHERE i.id = $1";
	sqlite3_stmt *row = sql_select(store, sql, (struct value[]){ value_integer(id) }, 1, why);
	bool failed = false;

	if (!sql_row(store, row, why)) {
		return missing("inspection", id, why);
	}
	*to = (struct inspection){ .id = id, .uuid = text_of(row, 0, memory, &failed),
		.bond_id = sqlite3_column_int64(row, 1), .day = column_day(row, 2),
		.purpose = (enum purpose)sqlite3_column_int(row, 3),
		.outcome = (enum outcome)sqlite3_column_int(row, 4), .seen_a = column_word(row, 5),
		.seen_b = column_word(row, 6), .person_name = text_of(row, 7, memory, &failed),
		.note = text_of(row, 8, memory, &failed), .why_not_seen = text_of(row, 9, memory, &failed),
		.opened = text_of(row, 10, memory, &failed), .cables_whole = integer_or_none(row, 11),
		.strength_a = column_word(row, 12), .strength_b = column_word(row, 13),
		.surroundings = column_word(row, 14), .failed = column_word(row, 15),
		.at_ms = integer_or_none(row, 16) };
	return ended(row, failed, why);
}

bool store_failure_said(struct store *store, int64_t id, struct failure *to, const char **track,
	struct form_memory *memory, struct problem *why)
{
	static const char sql[] = "SELECT f.uuid, f.bond_id, f.bond_end, f.found_day, f.mode, f.cause, "
		"f.line_id, f.track_id, f.rail, f.distance_mm, f.place_written, f.reference, f.note, "
		NAME_OF_DOER("f") ", f.done_at_ms, coalesce(t.name, ''), f.inspection_id FROM failure f "
		"LEFT JOIN track t ON t.id = f.track_id WHERE f.id = $1";
	sqlite3_stmt *row = sql_select(store, sql, (struct value[]){ value_integer(id) }, 1, why);
	bool failed = false;

	if (!sql_row(store, row, why)) {
		return missing("failure", id, why);
	}
	*to = (struct failure){ .id = id, .uuid = text_of(row, 0, memory, &failed),
		.bond_id = sqlite3_column_int64(row, 1), .bond_end = column_word(row, 2),
		.found_day = column_day(row, 3), .mode = (enum failure_mode)sqlite3_column_int(row, 4),
		.cause = text_of(row, 5, memory, &failed), .line_id = sqlite3_column_int64(row, 6),
		.track_id = sqlite3_column_int64(row, 7), .rail = column_word(row, 8),
		.distance_mm = sqlite3_column_int64(row, 9),
		.place_written = text_of(row, 10, memory, &failed),
		.reference = text_of(row, 11, memory, &failed), .note = text_of(row, 12, memory, &failed),
		.person_name = text_of(row, 13, memory, &failed), .at_ms = integer_or_none(row, 14),
		.inspection_id = sqlite3_column_int64(row, 16) };
	*track = text_of(row, 15, memory, &failed);
	return ended(row, failed, why);
}

bool store_readings_said(struct store *store, int64_t inspection_id, size_t most,
	struct reading_row *to, size_t *count, struct problem *why)
{
	static const char sql[] = "SELECT quantity, method, forward_uv, reverse_uv, current_a, "
		"shown_uohm, lead_uohm, rail_uv, rail_m, joint_m, temp_c, probed, temp_carried, "
		"round_temp_c, instrument_id FROM reading WHERE inspection_id = $1 ORDER BY n";
	sqlite3_stmt *row = sql_select(store, sql, (struct value[]){ value_integer(inspection_id) }, 1,
		why);

	*count = 0;
	while (sql_row(store, row, why)) {
		if (*count == most) {
			sql_done(row);
			return problem_set(why, PROBLEM_RULE, NULL, "Inspection %lld has more than %zu "
				"readings.", (long long)inspection_id, most);
		}
		to[(*count)++] = (struct reading_row){ (enum quantity)sqlite3_column_int(row, 0),
			(enum reading_method)sqlite3_column_int(row, 1), column_real(row, 2),
			column_real(row, 3), column_real(row, 4), column_real(row, 5), column_real(row, 6),
			column_real(row, 7), column_real(row, 8), column_real(row, 9), column_real(row, 10),
			column_word(row, 11), column_word(row, 12), column_real(row, 13),
			sqlite3_column_int64(row, 14) };
	}
	return why->code == PROBLEM_NONE;
}

bool store_serial_said(struct store *store, int64_t instrument_id, const char **serial,
	struct form_memory *memory, struct problem *why)
{
	static const char sql[] = "SELECT serial FROM instrument WHERE id = $1";
	sqlite3_stmt *row = sql_select(store, sql, (struct value[]){ value_integer(instrument_id) }, 1,
		why);
	bool failed = false;

	*serial = NULL;
	if (!sql_row(store, row, why)) {
		return why->code == PROBLEM_NONE;
	}
	*serial = text_of(row, 0, memory, &failed);
	return ended(row, failed, why);
}
