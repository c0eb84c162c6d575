#include "store/record/competence.h"

#include <stddef.h>

#include "store/record/doer.h"
#include "store/sql.h"

#define COUNT(array) (sizeof (array) / sizeof (array)[0])
#define OF(field) offsetof(struct competence_new, field)
static const struct member competence_members[] = {
	{ .name = "person_id", .title = "Person, by number", .type = MEMBER_INTEGER, .required = true,
	  .offset = OF(person_id), .least = 1, .most = 9e15 },
	{ .name = "what", .title = "Competence", .type = MEMBER_TEXT, .required = true,
	  .offset = OF(what), .longest = 120, .help = "As the railway calls it." },
	{ .name = "expires_day", .title = "Its last day", .type = MEMBER_DAY, .offset = OF(expires_day),
	  .help = "Left out: it does not end." },
	{ 0 }
};
const struct form competence_form = { "Competence", competence_members,
	sizeof (struct competence_new) };

#undef OF
#define OF(field) offsetof(struct kit_service_new, field)
static const struct member service_members[] = {
	{ .name = "kit", .title = "Kit", .type = MEMBER_TEXT, .required = true, .offset = OF(kit),
	  .longest = 60, .help = "The code of a registered kit." },
	{ .name = "serviced_day", .title = "Serviced", .type = MEMBER_DAY, .required = true,
	  .offset = OF(serviced_day) },
	{ .name = "due_day", .title = "Service due", .type = MEMBER_DAY, .required = true,
	  .offset = OF(due_day) },
	{ .name = "note", .title = "Note", .type = MEMBER_TEXT, .offset = OF(note), .longest = 500 },
	{ 0 }
};
const struct form kit_service_form = { "KitService", service_members,
	sizeof (struct kit_service_new) };

bool store_competence_put(struct store *store, const struct competence_new *form,
	const struct origin *origin, int64_t *id, bool *already, struct problem *why)
{
	static const char last[] = "SELECT c.id FROM competence c WHERE c.person_id = $1 "
		"AND c.what = $2 AND c.expires_day IS $3 AND c.id = (SELECT max(d.id) FROM competence d "
		"WHERE d.person_id = $1 AND d.what = $2)";
	static const char sql[] = "INSERT INTO competence (person_id, what, expires_day, "
		"recorded_at_ms, recorded_by) VALUES ($1, $2, $3, $4, $5)";
	const struct value values[] = { value_integer(form->person_id), value_text(form->what),
		value_day(form->expires_day), value_integer(origin->now_ms), value_id(origin->person_id) };

	if (!sql_integer(store, last, values, 3, 0, id, why)) {
		return false;
	}
	*already = *id != 0;
	if (*already || !sql_run(store, sql, values, 5, why)) {
		return *already;
	}
	*id = sql_last_id(store);
	return true;
}

bool store_kit_service_put(struct store *store, int64_t kit_id,
	const struct kit_service_new *form, const struct origin *origin, int64_t *id, bool *already,
	struct problem *why)
{
	static const char last[] = "SELECT v.id FROM kit_service v WHERE v.kit_id = $1 "
		"AND v.serviced_day = $2 AND v.due_day = $3 "
		"AND v.id = (SELECT max(w.id) FROM kit_service w WHERE w.kit_id = $1)";
	static const char sql[] = "INSERT INTO kit_service (kit_id, serviced_day, due_day, note, "
		"recorded_at_ms, recorded_by) VALUES ($1, $2, $3, $4, $5, $6)";
	const struct value values[] = { value_integer(kit_id), value_day(form->serviced_day),
		value_day(form->due_day), value_text(form->note), value_integer(origin->now_ms),
		value_id(origin->person_id) };

	if (!sql_integer(store, last, values, 3, 0, id, why)) {
		return false;
	}
	*already = *id != 0;
	if (*already || !sql_run(store, sql, values, 6, why)) {
		return *already;
	}
	*id = sql_last_id(store);
	return true;
}

#define NEWEST "c.id = (SELECT max(d.id) FROM competence d WHERE d.person_id = c.person_id " \
	"AND d.what = c.what)"
/* (a competence holds on its last day) */
#define ENDED "(c.expires_day IS NOT NULL AND c.expires_day < {today})"

static const struct list_column competence_columns[] = {
	{ { "number", "Person, by number", NULL, CELL_INTEGER }, "c.person_id" },
	{ { "name", "Name", NULL, CELL_TEXT, .width = 30 }, NAME_OF("c.person_id") },
	{ { "what", "Competence", NULL, CELL_TEXT, .width = 30 }, "c.what" },
	{ { "expires_day", "Its last day", NULL, CELL_DAY }, "c.expires_day" },
	COLUMNS_OF_ENTRY("c"),
};
static const struct list_filter competence_filters[] = {
	{ "person", "Person, by number", FILTER_ID, "c.person_id = {value}" },
	{ "round", "Of the people of a round, by its id", FILTER_TEXT, "c.person_id IN "
	  "(SELECT e.person_id FROM round_person e JOIN round r ON r.id = e.round_id "
	  "WHERE r.uuid = {value})" },
	{ "ended", "Has ended", FILTER_FLAG, ENDED, .sql_no = "NOT " ENDED },
};
static const struct list_sort competence_sorts[] = {
	{ "ends", "by the last day", { "coalesce(c.expires_day, 2147483647)" } },
};
const struct list competence_list = {
	.name = "competences", .title = "Competences",
	.summary = "What people are competent for and until when; what was said last of each counts.",
	.from = "competence c", .where = NEWEST, .id = "c.id",
	.columns = competence_columns, .n_columns = COUNT(competence_columns),
	.filters = competence_filters, .n_filters = COUNT(competence_filters),
	.sorts = competence_sorts, .n_sorts = COUNT(competence_sorts),
};

static const struct list_column service_columns[] = {
	{ { "kit", "Kit", NULL, CELL_TEXT }, "k.code" },
	{ { "serviced_day", "Serviced", NULL, CELL_DAY }, "v.serviced_day" },
	{ { "due_day", "Service due", NULL, CELL_DAY }, "v.due_day" },
	{ { "note", "Note", NULL, CELL_TEXT, .width = 30 }, "v.note" },
	COLUMNS_OF_ENTRY("v"),
};
static const struct list_filter service_filters[] = {
	{ "kit", "Kit, by its number", FILTER_ID, "v.kit_id = {value}" },
};
static const struct list_sort service_sorts[] = {
	{ "newest", "newest first", { "v.id" }, .descending = true },
};
const struct list kit_service_list = {
	.name = "kit-services", .title = "Services of kits",
	.summary = "When a kit was serviced, and when the next service is due.",
	.from = "kit_service v JOIN kit k ON k.id = v.kit_id", .id = "v.id",
	.columns = service_columns, .n_columns = COUNT(service_columns),
	.filters = service_filters, .n_filters = COUNT(service_filters),
	.sorts = service_sorts, .n_sorts = COUNT(service_sorts),
};
