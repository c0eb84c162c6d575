/*
 * What an import from the browser begins with: the fields of a kind, a proposal of how a file is
 * written, and saved mappings. The file is the raw body; its settings are JSON in the query.
 */
#include <stdlib.h>
#include <string.h>

#include "api/deed.h"
#include "api/import_asked.h"
#include "api/json.h"
#include "api/rights.h"
#include "api/routes.h"
#include "api/views.h"
#include "service/import/propose.h"
#include "service/import/unit.h"

static const char *type_word(enum member_type type)
{
	static const char *const words[] = { [MEMBER_TEXT] = "text", [MEMBER_INTEGER] = "whole number",
		[MEMBER_REAL] = "number", [MEMBER_FLAG] = "yes or no", [MEMBER_DAY] = "day",
		[MEMBER_INSTANT] = "instant",
		[MEMBER_WORD] = "word", [MEMBER_UUID] = "id", [MEMBER_OBJECT] = "", [MEMBER_LIST] = "" };

	return words[type];
}

/* What a column of the field may be in: codes with what people call them. */
static void add_units(const struct member *m, struct json *j, struct text *body)
{
	struct json one;

	json_text(j, "family", unit_family(m));
	json_name(j, "units");
	text_add_char(body, '[');
	if (import_is_place(m)) {
		one = json_begin(body);
		json_text(&one, "code", UNIT_LINE);
		json_text(&one, "title", "as the line writes it");
		json_end(&one);
		text_add_char(body, ',');
	}
	for (const struct unit *u = units_of(m); u->code != NULL; u++) {
		one = json_begin(body);
		json_text(&one, "code", u->code);
		json_text(&one, "title", u->title);
		json_end(&one);
		text_add_char(body, ',');
	}
	one = json_begin(body);
	json_text(&one, "code", UNIT_CELL);
	json_text(&one, "title", "as each cell says");
	json_end(&one);
	text_add_char(body, ']');
}

static void add_field(const struct member *m, struct text *body)
{
	struct json j = json_begin(body);

	json_text(&j, "name", m->name);
	json_text(&j, "title", m->title);
	json_text(&j, "unit", m->unit);
	json_text(&j, "type", type_word(m->type));
	json_flag(&j, "required", m->required);
	json_text(&j, "help", m->help);
	if (m->words != NULL) {
		json_text(&j, "words", m->words->name);
	}
	if (units_of(m) != NULL) {
		add_units(m, &j, body);
	}
	json_end(&j);
}

static void fields_get(const struct request *req, struct reply *out)
{
	struct import_fields fields;
	struct problems why = { 0 };
	struct text body = { 0 };
	const struct import_kind *kind = import_kind_asked(req, &why);
	struct json j;

	if (kind == NULL) {
		reply_problems(out, &why);
		return;
	}
	import_kind_fields(kind, &fields);
	j = json_begin(&body);
	json_text(&j, "kind", kind->name);
	json_text(&j, "title", kind->title);
	json_text(&j, "help", kind->help);
	json_name(&j, "fields");
	text_add_char(&body, '[');
	for (size_t i = 0; fields.members[i].name != NULL; i++) {
		text_add_z(&body, i > 0 ? "," : "");
		add_field(&fields.members[i], &body);
	}
	text_add_char(&body, ']');
	json_end(&j);
	reply_json(out, 200, &body);
}

static void mapping_get(const struct request *req, struct reply *out)
{
	const struct import_kind *kind;
	struct import_settings settings;
	struct form_memory memory = { 0 };
	struct problems why = { 0 };
	struct text body = { 0 };

	if (import_mapping_load(view_of(req)->store, req->params[0], &kind, &settings, &memory, &why)) {
		struct json j = json_begin(&body);

		json_text(&j, "name", req->params[0]);
		json_text(&j, "kind", kind->name);
		json_name(&j, "settings");
		form_write(&import_settings_form, &settings, &body);
		json_end(&j);
		reply_json(out, 200, &body);
	} else {
		reply_problems(out, &why);
	}
	form_memory_release(&memory);
}

struct mapping_new {
	const char *kind;
	struct import_settings settings;
};
static const struct member mapping_members[] = {
	{ .name = "kind", .title = "Kind", .type = MEMBER_TEXT, .required = true,
	  .offset = offsetof(struct mapping_new, kind), .help = "lines, tracks, maps, bonds ..." },
	{ .name = "settings", .title = "Settings", .type = MEMBER_OBJECT, .required = true,
	  .offset = offsetof(struct mapping_new, settings), .form = &import_settings_form },
	{ 0 }
};
static const struct form mapping_form = { "ImportMapping", mapping_members,
	sizeof (struct mapping_new) };

static void mapping_put(const struct request *req, struct reply *out)
{
	const struct mapping_new *form = deed_form(req);
	const struct import_kind *kind = import_kind_find(form->kind);
	struct problems why = { 0 };
	struct act act = { 0 };
	bool ok = kind != NULL || problems_add(&why, PROBLEM_VALUE, "kind",
		"kind must be one of lines, tracks, maps, bonds, inspections, failures.");

	ok = ok && deed_act(req, &act, &why) &&
		import_mapping_save(&act, req->params[0], kind, &form->settings, &why);
	act_release(&act);
	if (ok) {
		out->status = 204;
	} else {
		reply_problems(out, &why);
	}
}

static void propose_post(const struct request *req, struct reply *out)
{
	struct import_settings settings;
	struct import_proposal proposal = { 0 };
	struct form_memory memory = { 0 };
	struct problems why = { 0 };
	struct text body = { 0 };
	const struct import_kind *kind = import_kind_asked(req, &why);

	if (kind != NULL && import_settings_asked(req, &settings, &memory, &why) &&
		import_propose(kind, &settings, req->body, req->body_len, &proposal, &why)) {
		import_proposal_write(&proposal, &body);
		reply_json(out, 200, &body);
	} else {
		reply_problems(out, &why);
	}
	import_proposal_release(&proposal);
	form_memory_release(&memory);
}

const struct route import_routes[] = {
	{ METHOD_GET, "/api/imports/fields", ROUTE_READ, CAN_PLAN, fields_get,
	  "What can be imported of a kind (kind=bonds): its fields." },
	{ METHOD_POST, "/api/imports/propose", ROUTE_LONG, CAN_PLAN, propose_post,
	  "How a file seems to be written, for a person to confirm; nothing is changed.",
	  .body_most = IMPORT_FILE_MOST, .body_type = "text/csv" },
	{ METHOD_GET, "/api/import-mappings/{name}", ROUTE_READ, CAN_PLAN, mapping_get,
	  "A saved mapping." },
	{ METHOD_PUT, "/api/import-mappings/{name}", ROUTE_WRITE, CAN_PLAN, mapping_put,
	  "Saves a mapping under a name.", DEED_BODY(&mapping_form) },
	{ 0 }
};
