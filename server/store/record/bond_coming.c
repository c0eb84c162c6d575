#include "store/record/bond_coming.h"

#include "store/sql.h"

bool store_bond_coming_put(struct store *store, const struct bond *b, int64_t import_id,
	struct problem *why)
{
	static const char left_out[] = "INSERT INTO correction_open (noun, row_id, bond_id, withdrawn, "
		"import_id) VALUES (" NOUN_BOND ", $1, $1, 1, $2)";
	static const char sql[] = "INSERT INTO bond_coming (bond_id, import_id, line_id, label, "
		"track_id, rail, distance_mm) VALUES ($1, $2, $3, $4, $5, $6, $7)";
	const struct bond_end_fact *a = &b->end[END_A];
	const struct value values[] = { value_integer(b->id), value_integer(import_id),
		value_integer(b->line_id), value_text(b->label), value_id(a->track_id),
		value_word(a->rail), value_integer(a->distance_mm) };

	return sql_run(store, left_out, values, 2, why) && sql_run(store, sql, values, 7, why);
}

bool store_bond_coming_find(struct store *store, int64_t line_id, const char *label,
	struct bond_coming *to, struct problem *why)
{
	static const char sql[] = "SELECT c.bond_id, c.import_id FROM bond_coming c "
		"WHERE c.line_id = $1 AND c.label = $2 AND NOT EXISTS (SELECT 1 FROM import_ended e "
		"WHERE e.import_id = c.import_id) AND NOT EXISTS (SELECT 1 FROM withdrawal w "
		"WHERE w.noun = " NOUN_IMPORT " AND w.row_id = c.import_id)";
	sqlite3_stmt *row = sql_select(store, sql, (struct value[]){ value_integer(line_id),
		value_text(label) }, 2, why);

	*to = (struct bond_coming){ 0 };
	if (sql_row(store, row, why)) {
		*to = (struct bond_coming){ sqlite3_column_int64(row, 0), sqlite3_column_int64(row, 1) };
		sql_done(row);
	}
	return why->code == PROBLEM_NONE;
}

bool store_bond_is_coming(struct store *store, int64_t bond_id, bool *it_is, struct problem *why)
{
	static const char sql[] = "SELECT count(*) FROM bond_coming c WHERE c.bond_id = $1 "
		"AND NOT EXISTS (SELECT 1 FROM import i WHERE i.id = c.import_id)";
	int64_t count = 0;
	bool ok = sql_integer(store, sql, (struct value[]){ value_integer(bond_id) }, 1, 0, &count,
		why);

	*it_is = count > 0;
	return ok;
}

bool store_bond_arrived(struct store *store, int64_t bond_id, struct problem *why)
{
	return sql_run(store, "DELETE FROM bond_coming WHERE bond_id = $1",
		(struct value[]){ value_integer(bond_id) }, 1, why);
}
