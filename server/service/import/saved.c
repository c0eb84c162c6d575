/* Mappings under a name. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/utf8.h"
#include "service/import/import.h"
#include "service/import/take.h"
#include "store/record/book.h"

bool import_mapping_load(struct store *store, const char *name, const struct import_kind **kind,
	struct import_settings *settings, struct form_memory *memory, struct problems *why)
{
	char *kind_name = NULL, *json = NULL;
	struct problem trouble = { 0 };
	int64_t version;
	bool ok = store_mapping_get(store, name, &version, &kind_name, &json, &trouble) ||
		act_refuse(why, &trouble, NULL);

	if (ok && (kind_name == NULL || json == NULL)) {
		ok = problems_add(why, PROBLEM_NOT_FOUND, "mapping", "No mapping is saved as %.60s.", name);
	}
	if (ok) {
		*kind = import_kind_find(kind_name);
		ok = *kind != NULL || problems_add(why, PROBLEM_RULE, "mapping",
			"The mapping %.60s is for %.40s, which cannot be imported.", name, kind_name);
	}
	ok = ok && form_from_json(&import_settings_form, json, strlen(json), settings, memory, why);
	free(kind_name);
	free(json);
	return ok;
}

static bool save(struct act *act, const char *name, const struct import_kind *kind,
	const char *json, struct problems *why)
{
	char *kept_kind = NULL, *kept = NULL;
	struct problem trouble = { 0 };
	int64_t version;
	bool ok = store_mapping_get(act->store, name, &version, &kept_kind, &kept, &trouble);

	if (ok && (kept == NULL || strcmp(kept, json) != 0 || strcmp(kept_kind, kind->name) != 0)) {
		ok = store_mapping_insert(act->store, name, version + 1, kind->name, json, &act->origin,
			&trouble);
	}
	free(kept_kind);
	free(kept);
	return ok || act_refuse(why, &trouble, NULL);
}

bool import_mapping_save(struct act *act, const char *name, const struct import_kind *kind,
	const struct import_settings *settings, struct problems *why)
{
	struct import_settings kept = *settings;
	struct text json = { 0 };
	size_t len = strlen(name);
	bool ok = true;

	/* stated of a file, not of files like it */
	kept.meter_percent = kept.meter_uohm = NAN;
	kept.row_meant = -1;
	kept.stated_reason = NULL;
	kept.known = -1;
	kept.take = kept.take_rows = (struct form_list){ 0 };

	if (len == 0 || utf8_count(name, len) > 60) {
		return problems_add(why, PROBLEM_VALUE, "name",
			"The name of a mapping has 1 to 60 characters; this one has %zu.",
			utf8_count(name, len));
	}
	form_write(&import_settings_form, &kept, &json);
	ok = !json.failed ? save(act, name, kind, json.data, why) :
		problems_add(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	text_release(&json);
	return ok;
}

static void write_text(const char *name, const char *value, struct text *to)
{
	text_addf(to, ",\"%s\":", name);
	text_add_json(to, value, strlen(value));
}

void import_result_write(const struct import_request *request, const struct import_result *r,
	struct text *to)
{
	text_addf(to, "{\"dry_run\":%s,\"rows\":%zu,\"added\":%zu,\"already\":%zu,\"repeated\":%zu,"
		"\"left_out\":%zu,\"wrong\":%zu,\"wrong_rows\":[", request->dry_run ? "true" : "false",
		r->rows, r->added, r->already, r->repeated, r->left_out, r->wrong);
	for (size_t i = 0; i < r->n_wrongs; i++) {
		const struct import_wrong *w = &r->wrongs[i];

		text_addf(to, "%s{\"row\":%zu,\"line\":%zu", i > 0 ? "," : "", w->row, w->line);
		write_text("column", w->column, to);
		write_text("value", w->value, to);
		write_text("reason", w->reason, to);
		text_add_char(to, '}');
	}
	text_addf(to, "],\"wrong_rows_left_out\":%zu,\"reasons\":[", r->wrong - r->n_wrongs);
	for (size_t i = 0; i < r->n_reasons; i++) {
		text_addf(to, "%s{\"count\":%zu", i > 0 ? "," : "", r->reasons[i].count);
		write_text("column", r->reasons[i].column, to);
		write_text("example", r->reasons[i].example, to);
		text_add_char(to, '}');
	}
	text_add_z(to, "],\"findings\":[");
	for (size_t i = 0; i < r->n_findings; i++) {
		text_addf(to, "%s{\"what\":\"%s\",\"count\":%zu", i > 0 ? "," : "", r->findings[i].what,
			r->findings[i].count);
		write_text("sentence", r->findings[i].sentence, to);
		text_add_char(to, '}');
	}
	text_add_char(to, ']');
	import_differences_write(r, to);
	if (r->import_id != 0) {
		text_addf(to, ",\"import_id\":%lld", (long long)r->import_id);
	}
	text_add_char(to, '}');
}
