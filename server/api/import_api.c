/*
 * Import from the browser: the fields of a kind, a proposal of how a file is written, the trial and
 * the import itself, the wrong rows to be mended, and saved mappings. The file is the raw body; its
 * settings are JSON in the query.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "api/deed.h"
#include "api/json.h"
#include "api/rights.h"
#include "api/routes.h"
#include "api/views.h"
#include "service/import.h"
#include "service/import_propose.h"
#include "service/import_unit.h"
#include "service/import_wrong.h"

enum { FILE_MOST = 64 << 20 };

static const struct import_kind *kind_of(const struct request *req, struct problems *why)
{
	const char *name = request_query(req, "kind");
	const struct import_kind *kind = name != NULL ? import_kind_find(name) : NULL;

	if (kind == NULL) {
		problems_add(why, PROBLEM_VALUE, "kind",
			"kind must be one of lines, tracks, maps, bonds, inspections, failures.");
	}
	return kind;
}

/* The right that the kind's own door asks for; what an import asks for besides is in its route. */
static unsigned right_of(const struct import_kind *kind)
{
	static const unsigned rights[] = { [IMPORT_LINES] = CAN_MANAGE, [IMPORT_TRACKS] = CAN_MANAGE,
		[IMPORT_MAPS] = CAN_MANAGE, [IMPORT_BONDS] = CAN_PLAN, [IMPORT_INSPECTIONS] = CAN_INSPECT,
		[IMPORT_FAILURES] = CAN_INSPECT };

	return rights[kind->what];
}

static bool may(const struct request *req, const struct import_kind *kind, struct problems *why)
{
	return (req->who.rights & right_of(kind)) != 0 || problems_add(why, PROBLEM_RIGHT, "kind",
		"You are signed in as %s, whose role may not register %s, from a file or one by one.",
		req->who.name, kind->title);
}

/* The settings of the query; all absent when none were sent. */
static bool settings_of(const struct request *req, struct import_settings *to,
	struct form_memory *memory, struct problems *why)
{
	const char *text = request_query(req, "settings");

	form_clear(&import_settings_form, to);
	return text == NULL ||
		form_from_json(&import_settings_form, text, strlen(text), to, memory, why);
}

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
	const struct import_kind *kind = kind_of(req, &why);
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

/* Runs in the writer's savepoint for this request; what is not kept is undone within it. */
static bool run(const struct request *req, const struct import_request *request,
	struct import_result *result, struct problems *why)
{
	struct act act = { 0 };
	struct problem one = { 0 };
	bool ok = store_save(view_of(req)->store, &one) || act_refuse(why, &one, NULL);

	if (!ok) {
		return false;
	}
	ok = deed_act(req, &act, why);
	act.is_live = false;   /* what a file tells was somebody's work then */
	ok = ok && import_run(&act, request, result, why) && derived_end(&act, why);
	act_release(&act);
	if (!(ok && import_keeps(request, result) ? store_save_keep(view_of(req)->store, &one) :
		store_save_undo(view_of(req)->store, &one))) {
		act_refuse(why, &one, NULL);
		return false;
	}
	return ok;
}

static bool is_yes(const char *text)
{
	return text != NULL && (strcmp(text, "1") == 0 || strcmp(text, "true") == 0 ||
		strcmp(text, "yes") == 0);
}

static void import_post(const struct request *req, struct reply *out)
{
	struct import_settings settings;
	struct form_memory memory = { 0 };
	struct import_result result = { 0 };
	struct problems why = { 0 };
	struct text body = { 0 };
	const char *name = request_query(req, "file_name");
	struct import_request request = { .settings = &settings, .bytes = req->body,
		.len = req->body_len, .file_name = name != NULL ? name : "",
		.dry_run = is_yes(request_query(req, "dry_run")),
		.stated_by = (req->who.rights & CAN_MANAGE) != 0 ? req->who.person_id : 0 };

	request.kind = kind_of(req, &why);
	if (request.kind != NULL && may(req, request.kind, &why) &&
		settings_of(req, &settings, &memory, &why) && run(req, &request, &result, &why)) {
		import_result_write(&request, &result, &body);
		reply_json(out, 200, &body);
	} else {
		reply_problems(out, &why);
	}
	import_result_release(&result);
	form_memory_release(&memory);
}

static bool put_text(void *app, const char *bytes, size_t len)
{
	text_add(app, bytes, len);
	return !((struct text *)app)->failed;
}

/* The trial again, and what comes back is the file to be mended. */
static void wrong_post(const struct request *req, struct reply *out)
{
	struct import_settings settings;
	struct form_memory memory = { 0 };
	struct import_result result = { 0 };
	struct problems why = { 0 };
	struct wrong_rows wrong = { 0 };
	struct text body = { 0 };
	struct import_request request = { .settings = &settings, .bytes = req->body,
		.len = req->body_len, .file_name = "", .dry_run = true,
		.stated_by = (req->who.rights & CAN_MANAGE) != 0 ? req->who.person_id : 0,
		.watch = { .wrong = wrong_rows_take, .app = &wrong } };
	bool ok;

	request.kind = kind_of(req, &why);
	ok = request.kind != NULL && may(req, request.kind, &why) &&
		settings_of(req, &settings, &memory, &why);
	if (ok) {
		wrong_rows_start(&wrong, &settings);
		ok = run(req, &request, &result, &why) && (wrong_rows_write(&wrong, &request, put_text,
			&body) || problems_add(&why, PROBLEM_NO_MEMORY, NULL, "Out of memory."));
	}
	if (ok) {
		snprintf(out->disposition, sizeof out->disposition,
			"attachment; filename=\"wrong-rows.csv\"");
		reply_text(out, 200, "text/csv; charset=utf-8", &body);
	} else {
		reply_problems(out, &why);
	}
	text_release(&body);
	wrong_rows_release(&wrong);
	import_result_release(&result);
	form_memory_release(&memory);
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
	const struct import_kind *kind = kind_of(req, &why);

	if (kind != NULL && settings_of(req, &settings, &memory, &why) &&
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
	  .body_most = FILE_MOST, .body_type = "text/csv" },
	{ METHOD_POST, "/api/imports", ROUTE_WRITE, CAN_PLAN, import_post,
	  "Imports a file (kind, settings, file_name), or tries it (dry_run=1): all rows or none.",
	  .body_most = FILE_MOST, .body_type = "text/csv" },
	{ METHOD_POST, "/api/imports/wrong-rows", ROUTE_WRITE, CAN_PLAN, wrong_post,
	  "The wrong rows of a file as CSV, each with what is wrong; nothing is changed.",
	  .body_most = FILE_MOST, .body_type = "text/csv" },
	{ METHOD_GET, "/api/import-mappings/{name}", ROUTE_READ, CAN_PLAN, mapping_get,
	  "A saved mapping." },
	{ METHOD_PUT, "/api/import-mappings/{name}", ROUTE_WRITE, CAN_PLAN, mapping_put,
	  "Saves a mapping under a name.", DEED_BODY(&mapping_form) },
	{ 0 }
};
