#include "store/record/record_kind.h"

#include <assert.h>
#include <string.h>

#include "base/form_value.h"
#include "base/text.h"
#include "store/sql.h"

enum { COLUMNS_MOST = 40 };

/* An INSERT under construction: the names of its columns and their values. */
struct insert {
	struct text names, places;
	struct value values[COLUMNS_MOST];
	size_t count;
};

static void add(struct insert *in, const char *column, struct value value)
{
	assert(in->count < COLUMNS_MOST);
	in->values[in->count++] = value;
	text_addf(&in->names, "%s%s", in->count > 1 ? ", " : "", column);
	text_addf(&in->places, "%s$%zu", in->count > 1 ? ", " : "", in->count);
}

static struct value value_of(const struct member *m, const void *sent)
{
	switch (m->type) {
	case MEMBER_INTEGER:
	case MEMBER_INSTANT:
		return value_int_or_null(*FORM_FIELD(const int64_t, m, sent), FORM_NO_INTEGER);
	case MEMBER_REAL:
		return value_real(*FORM_FIELD(const double, m, sent));
	case MEMBER_FLAG:
	case MEMBER_WORD:
		return value_word(*FORM_FIELD(const int, m, sent));
	case MEMBER_DAY:
		return value_day(*FORM_FIELD(const int32_t, m, sent));
	case MEMBER_UUID:
		return value_text(FORM_FIELD(const char, m, sent));
	default:
		assert(m->type == MEMBER_TEXT);
		return value_text(*FORM_FIELD(const char *const, m, sent));
	}
}

void record_row_integer(struct record_row *row, const char *column, int64_t integer)
{
	assert(row->n_more < RECORD_WORKED_OUT);
	row->more[row->n_more++] = (struct worked_out){ column, integer, NULL };
}

void record_row_text(struct record_row *row, const char *column, const char *text)
{
	assert(row->n_more < RECORD_WORKED_OUT);
	row->more[row->n_more++] = (struct worked_out){ column, 0, text != NULL ? text : "" };
}

void record_row_doer(struct record_row *row, int64_t person_id, const char *person_name)
{
	if (person_id != 0) {
		record_row_integer(row, "person_id", person_id);
	} else {
		record_row_text(row, "person_name", person_name);
	}
}

static void add_all(struct insert *in, const struct record_kind *kind, const void *sent,
	const char *hash, const struct record_row *row, const struct origin *origin)
{
	add(in, "uuid", value_text(sent));
	add(in, "content_hash", value_text(hash));
	add(in, "recorded_at_ms", value_integer(origin->now_ms));
	add(in, "recorded_by", value_id(origin->person_id));
	if (kind->has_bond) {
		add(in, "bond_id", value_id(row->bond_id));
	}
	if (kind->has_replaces) {
		add(in, "replaces_id", value_id(row->replaces_id));
	}
	if (kind->has_import) {
		add(in, "import_id", value_id(origin->import_id));
	}
	for (const struct member *m = kind->form->members; m->name != NULL; m++) {
		if (m->column != NULL) {
			add(in, m->column, value_of(m, sent));
		}
	}
	for (size_t i = 0; i < row->n_more; i++) {
		add(in, row->more[i].column, row->more[i].text != NULL ? value_text(row->more[i].text) :
			value_integer(row->more[i].integer));
	}
}

bool store_record_insert(struct store *store, const struct record_kind *kind, const void *sent,
	const char *hash, struct record_row *row, const struct origin *origin, struct problem *why)
{
	struct insert in = { 0 };
	struct text sql = { 0 };
	bool ok;

	add_all(&in, kind, sent, hash, row, origin);
	text_addf(&sql, "INSERT INTO %s (", kind->table);
	text_add(&sql, in.names.data, in.names.len);
	text_add_z(&sql, ") VALUES (");
	text_add(&sql, in.places.data, in.places.len);
	text_add_char(&sql, ')');
	if (in.names.failed || in.places.failed || sql.failed) {
		ok = problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	} else {
		ok = sql_run(store, sql.data, in.values, in.count, why);
		row->id = ok ? sql_last_id(store) : 0;
	}
	text_release(&in.names);
	text_release(&in.places);
	text_release(&sql);
	return ok;
}

static bool has_column(struct store *store, const char *table, const char *column, bool *has,
	struct problem *why)
{
	static const char sql[] = "SELECT count(*) FROM pragma_table_info($1) WHERE name = $2";
	int64_t count = 0;
	bool ok = sql_integer(store, sql, (struct value[]){ value_text(table), value_text(column) }, 2, 0,
		&count, why);

	*has = count > 0;
	return ok;
}

bool store_record_columns(struct store *store, const struct record_kind *kind,
	const char **missing, struct problem *why)
{
	const char *columns[COLUMNS_MOST] = { "id", "uuid", "content_hash", "recorded_at_ms",
		"recorded_by" };
	size_t n = 5;
	bool has = true;

	columns[n] = "bond_id";
	n += kind->has_bond;
	columns[n] = "replaces_id";
	n += kind->has_replaces;
	columns[n] = "import_id";
	n += kind->has_import;
	for (const struct member *m = kind->form->members; m->name != NULL; m++) {
		columns[n] = m->column;
		n += m->column != NULL;
	}
	for (size_t i = 0; kind->worked_out != NULL && kind->worked_out[i] != NULL; i++) {
		columns[n++] = kind->worked_out[i];
	}
	*missing = NULL;
	for (size_t i = 0; i < n && has; i++) {
		if (!has_column(store, kind->table, columns[i], &has, why)) {
			return false;
		}
		*missing = has ? NULL : columns[i];
	}
	return true;
}
