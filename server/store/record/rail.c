#include "store/record/rail.h"

#include <math.h>

#include "store/record/doer.h"
#include "store/record/end_words.h"
#include "store/record/known.h"
#include "store/sql.h"

#define COUNT(array) (sizeof (array) / sizeof (array)[0])

bool store_conductor_insert(struct store *store, struct own_conductor *c,
	const struct origin *origin, struct problem *why)
{
	static const char sql[] = "INSERT INTO conductor (material, conductor_class, area_mm2, "
		"uohm_per_m, source, note, recorded_at_ms, recorded_by) "
		"VALUES ($1, $2, $3, $4, $5, $6, $7, $8)";
	const struct value values[] = { value_integer(c->material), value_integer(c->conductor_class),
		value_real(c->area_mm2), value_real(c->uohm_per_m), value_text(c->source),
		value_text(c->note), value_integer(origin->now_ms), value_id(origin->person_id) };

	if (!sql_run(store, sql, values, COUNT(values), why)) {
		return false;
	}
	c->id = sql_last_id(store);
	return store_known_changed(store, why);
}

static bool is_there(struct store *store, const char *sql, const struct value *values,
	size_t count, bool *there, struct problem *why)
{
	int64_t found = 0;
	bool ok = sql_integer(store, sql, values, count, 0, &found, why);

	*there = found != 0;
	return ok;
}

bool store_conductor_kept(struct store *store, struct own_conductor *c, struct problem *why)
{
	static const char sql[] = "SELECT id FROM conductor WHERE id = (SELECT max(k.id) "
		"FROM conductor k WHERE k.material = $1 AND k.conductor_class = $2 AND k.area_mm2 = $3 "
		"AND " SQL_STANDS(NOUN_CONDUCTOR, "k.id") ") "
		"AND uohm_per_m = $4 AND source = $5 AND coalesce(note, '') = coalesce($6, '')";
	const struct value values[] = { value_integer(c->material), value_integer(c->conductor_class),
		value_real(c->area_mm2), value_real(c->uohm_per_m), value_text(c->source),
		value_text(c->note) };

	return sql_integer(store, sql, values, COUNT(values), 0, &c->id, why);
}

bool store_profile_insert(struct store *store, struct own_profile *p,
	const struct origin *origin, struct problem *why)
{
	static const char sql[] = "INSERT INTO rail_profile (code, mass_kg_m, area_cm2, uohm_per_m, "
		"source, note, recorded_at_ms, recorded_by) VALUES ($1, $2, $3, $4, $5, $6, $7, $8)";
	const struct value values[] = { value_text(p->code), value_real(p->mass_kg_m),
		value_real(p->area_cm2), value_real(p->uohm_per_m), value_text(p->source),
		value_text(p->note), value_integer(origin->now_ms), value_id(origin->person_id) };

	if (!sql_run(store, sql, values, COUNT(values), why)) {
		return false;
	}
	p->id = sql_last_id(store);
	return store_known_changed(store, why);
}

bool store_profile_kept(struct store *store, struct own_profile *p, struct problem *why)
{
	static const char sql[] = "SELECT id FROM rail_profile WHERE id = (SELECT max(k.id) "
		"FROM rail_profile k WHERE k.code = $1 AND " SQL_STANDS(NOUN_PROFILE, "k.id") ") "
		"AND uohm_per_m = $2 AND source = $3 "
		"AND coalesce(mass_kg_m, 0) = coalesce($4, 0) AND coalesce(area_cm2, 0) = coalesce($5, 0) "
		"AND coalesce(note, '') = coalesce($6, '')";
	const struct value values[] = { value_text(p->code), value_real(p->uohm_per_m),
		value_text(p->source), value_real(p->mass_kg_m), value_real(p->area_cm2),
		value_text(p->note) };

	return sql_integer(store, sql, values, COUNT(values), 0, &p->id, why);
}

bool store_profile_exists(struct store *store, const char *code, bool *there, struct problem *why)
{
	static const char sql[] = "SELECT 1 FROM rail_profile p WHERE p.code = $1 "
		"AND " SQL_STANDS(NOUN_PROFILE, "p.id") " LIMIT 1";

	return is_there(store, sql, (struct value[]){ value_text(code) }, 1, there, why);
}

bool store_conductor_get(struct store *store, int64_t id, struct own_conductor *to,
	struct problem *why)
{
	static const char sql[] = "SELECT material, conductor_class, area_mm2 FROM conductor "
		"WHERE id = $1";
	sqlite3_stmt *row = sql_select(store, sql, (struct value[]){ value_integer(id) }, 1, why);

	*to = (struct own_conductor){ 0 };
	if (sql_row(store, row, why)) {
		*to = (struct own_conductor){ .id = id, .material = sqlite3_column_int(row, 0),
			.conductor_class = sqlite3_column_int64(row, 1), .area_mm2 = column_real(row, 2) };
		sql_done(row);
	}
	return why->code == PROBLEM_NONE;
}

bool store_profile_code(struct store *store, int64_t id, char code[PROFILE_CODE_SIZE],
	struct problem *why)
{
	static const char sql[] = "SELECT code FROM rail_profile WHERE id = $1";
	sqlite3_stmt *row = sql_select(store, sql, (struct value[]){ value_integer(id) }, 1, why);

	code[0] = '\0';
	if (sql_row(store, row, why)) {
		column_text(row, 0, code, PROFILE_CODE_SIZE);
		sql_done(row);
	}
	return why->code == PROBLEM_NONE;
}

bool store_track_fact_get(struct store *store, int64_t track_id, struct track_fact *to,
	struct problem *why)
{
	static const char sql[] = "SELECT version, rail_profile, rail_between_joints_m FROM track_fact "
		"WHERE track_id = $1 ORDER BY version DESC LIMIT 1";
	sqlite3_stmt *row = sql_select(store, sql, (struct value[]){ value_integer(track_id) }, 1, why);

	*to = (struct track_fact){ .track_id = track_id };
	to->rail_between_joints_m = NAN;
	if (sql_row(store, row, why)) {
		to->version = sqlite3_column_int64(row, 0);
		column_text(row, 1, to->rail_profile, sizeof to->rail_profile);
		to->rail_between_joints_m = column_real(row, 2);
		sql_done(row);
	}
	return why->code == PROBLEM_NONE;
}

bool store_track_fact_insert(struct store *store, struct track_fact *f,
	const struct origin *origin, struct problem *why)
{
	static const char sql[] = "INSERT INTO track_fact (track_id, version, rail_profile, "
		"rail_between_joints_m, reason, recorded_at_ms, recorded_by) "
		"VALUES ($1, $2, $3, $4, $5, $6, $7)";
	const struct value values[] = { value_integer(f->track_id), value_integer(f->version + 1),
		value_text(f->rail_profile), value_real(f->rail_between_joints_m), value_text(f->reason),
		value_integer(origin->now_ms), value_id(origin->person_id) };

	f->version++;
	return sql_run(store, sql, values, COUNT(values), why) && store_known_changed(store, why);
}

bool store_rail_mark_insert(struct store *store, struct rail_mark_row *r,
	const struct origin *origin, struct problem *why)
{
	static const char sql[] = "INSERT INTO rail_mark (bond_id, bond_end, kind, offset_mm, there, "
		"note, recorded_at_ms, recorded_by) VALUES ($1, $2, $3, $4, $5, $6, $7, $8)";
	const struct value values[] = { value_integer(r->bond_id), value_integer(r->bond_end),
		value_integer(r->mark.kind), value_integer(r->mark.offset_mm), value_integer(r->there),
		value_text(r->note), value_integer(origin->now_ms), value_id(origin->person_id) };

	if (!sql_run(store, sql, values, COUNT(values), why)) {
		return false;
	}
	r->id = sql_last_id(store);
	return true;
}

bool store_rail_mark_kept(struct store *store, const struct rail_mark_row *r, int64_t *id,
	bool *there, struct problem *why)
{
	static const char sql[] = "SELECT id, there FROM rail_mark WHERE bond_id = $1 "
		"AND bond_end = $2 AND kind = $3 AND offset_mm = $4 ORDER BY id DESC LIMIT 1";
	const struct value values[] = { value_integer(r->bond_id), value_integer(r->bond_end),
		value_integer(r->mark.kind), value_integer(r->mark.offset_mm) };
	sqlite3_stmt *row = sql_select(store, sql, values, COUNT(values), why);

	*id = 0;
	*there = false;
	if (sql_row(store, row, why)) {
		*id = sqlite3_column_int64(row, 0);
		*there = sqlite3_column_int(row, 1) != 0;
		sql_done(row);
	}
	return why->code == PROBLEM_NONE;
}

#define RECORDED_BY(id) "(SELECT f.name FROM person_fact f WHERE f.person_id = " id \
	" ORDER BY f.version DESC LIMIT 1)"

static const struct list_column conductor_columns[] = {
	{ { "id", "Number", NULL, CELL_INTEGER }, "c.id" },
	{ { "material", "Conductor", NULL, CELL_WORD, &material_words }, "c.material" },
	{ { "conductor_class", "Class (IEC 60228)", NULL, CELL_INTEGER }, "c.conductor_class" },
	{ { "area_mm2", "Cross-section", "mm²", CELL_REAL }, "c.area_mm2" },
	{ { "uohm_per_m", "Resistance at 20 °C, at most", "µΩ/m", CELL_REAL }, "c.uohm_per_m" },
	{ { "source", "Source", NULL, CELL_TEXT, .width = 30 }, "c.source" },
	{ { "note", "Note", NULL, CELL_TEXT, .width = 30 }, "c.note" },
	{ { "in_force", "In force", NULL, CELL_FLAG }, SQL_STANDS(NOUN_CONDUCTOR, "c.id") " AND "
	  "NOT EXISTS (SELECT 1 FROM conductor n WHERE " SQL_STANDS(NOUN_CONDUCTOR, "n.id") " "
	  "AND n.material = c.material AND n.conductor_class = c.conductor_class "
	  "AND n.area_mm2 = c.area_mm2 AND n.id > c.id)" },
	{ { "withdrawn", "Withdrawn", NULL, CELL_FLAG }, SQL_WITHDRAWN(NOUN_CONDUCTOR, "c.id") },
	{ { "recorded_by", "Recorded by", NULL, CELL_TEXT }, RECORDED_BY("c.recorded_by") },
	COLUMNS_OF_ENTRY("c"),
};
static const struct list_sort conductor_sorts[] = {
	{ "table", "by material, class and order of entry", { "c.material", "c.conductor_class" } },
};
const struct list conductor_list = {
	.name = "conductors", .title = "Conductors",
	.summary = "The railway's own conductors, which come before the published table.",
	.from = "conductor c", .id = "c.id",
	.columns = conductor_columns, .n_columns = COUNT(conductor_columns),
	.sorts = conductor_sorts, .n_sorts = 1,
};

static const struct list_column profile_columns[] = {
	{ { "id", "Number", NULL, CELL_INTEGER }, "p.id" },
	{ { "code", "Profile", NULL, CELL_TEXT }, "p.code" },
	{ { "mass_kg_m", "Mass", "kg/m", CELL_REAL }, "p.mass_kg_m" },
	{ { "area_cm2", "Area", "cm²", CELL_REAL }, "p.area_cm2" },
	{ { "uohm_per_m", "Resistance of one rail", "µΩ/m", CELL_REAL }, "p.uohm_per_m" },
	{ { "source", "Source", NULL, CELL_TEXT, .width = 30 }, "p.source" },
	{ { "note", "Note", NULL, CELL_TEXT, .width = 30 }, "p.note" },
	{ { "in_force", "In force", NULL, CELL_FLAG }, SQL_STANDS(NOUN_PROFILE, "p.id") " AND "
	  "NOT EXISTS (SELECT 1 FROM rail_profile n WHERE n.code = p.code AND n.id > p.id "
	  "AND " SQL_STANDS(NOUN_PROFILE, "n.id") ")" },
	{ { "withdrawn", "Withdrawn", NULL, CELL_FLAG }, SQL_WITHDRAWN(NOUN_PROFILE, "p.id") },
	{ { "recorded_by", "Recorded by", NULL, CELL_TEXT }, RECORDED_BY("p.recorded_by") },
	COLUMNS_OF_ENTRY("p"),
};
static const struct list_sort profile_sorts[] = {
	{ "code", "by code", { "p.code" }, { true } },
};
const struct list profile_list = {
	.name = "rail-profiles", .title = "Rail profiles",
	.summary = "The railway's own rail profiles, which come before the published table.",
	.from = "rail_profile p", .id = "p.id",
	.columns = profile_columns, .n_columns = COUNT(profile_columns),
	.sorts = profile_sorts, .n_sorts = 1,
};

static const struct list_column mark_columns[] = {
	{ { "id", "Number", NULL, CELL_INTEGER }, "m.id" },
	{ { "bond_id", "Bond number", NULL, CELL_INTEGER }, "m.bond_id" },
	{ { "label", "Bond", NULL, CELL_TEXT }, "b.label" },
	{ { "line", "Line", NULL, CELL_TEXT }, "l.code" },
	COLUMN_OF_END("b", "m.bond_end"),
	COLUMN_OF_END_LETTER("m.bond_end"),
	{ { "kind", "Kind", NULL, CELL_WORD, &mark_kind_words }, "m.kind" },
	{ { "offset_mm", "Offset along the rail", "mm", CELL_INTEGER }, "m.offset_mm" },
	{ { "there", "Is there", NULL, CELL_FLAG }, "m.there" },
	{ { "note", "Note", NULL, CELL_TEXT, .width = 30 }, "m.note" },
	COLUMNS_OF_ENTRY("m"),
};
static const struct list_filter mark_filters[] = {
	{ "bond", "Bond", FILTER_ID, "m.bond_id = {value}" },
	{ "end", "End, by its letter", FILTER_WORD, "m.bond_end = {value}", .words = &bond_end_words },
};
static const struct list_sort mark_sorts[] = {
	{ "bond", "by bond and order of entry", { "m.bond_id" } },
};
const struct list rail_mark_list = {
	.name = "rail-marks", .title = "Marks on the rail",
	.summary = "Rail ends, welds and bolt holes near the ends of bonds, as they were noted; of one "
		"place the newest holds.",
	.from = "rail_mark m JOIN bond_state b ON b.bond_id = m.bond_id "
		"JOIN line l ON l.id = b.line_id", .id = "m.id",
	.columns = mark_columns, .n_columns = COUNT(mark_columns),
	.filters = mark_filters, .n_filters = COUNT(mark_filters),
	.sorts = mark_sorts, .n_sorts = 1,
};
