#include "api/json/rulebook_json.h"

void json_withdrawn(struct json *j, const struct rulebook_row *row)
{
	struct json w;

	if (!row->withdrawn) {
		json_text(j, "withdrawn", NULL);
		return;
	}
	json_name(j, "withdrawn");
	w = json_begin(j->to);
	json_text(&w, "reason", row->withdrawn_reason);
	json_text(&w, "person", row->withdrawn_person);
	json_instant(&w, "recorded_at", row->withdrawn_at_ms);
	json_end(&w);
}

bool json_version_of(struct json *j, struct store *store, int64_t version, struct problem *why)
{
	struct rulebook_row row = { 0 };
	bool ok = version < 1 || store_rulebook_version(store, version, &row, why);

	json_id(j, "rulebook_version", version);
	json_withdrawn(j, &row);
	store_rulebook_row_release(&row);
	return ok;
}
