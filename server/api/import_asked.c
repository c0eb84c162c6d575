#include "api/import_asked.h"

#include <string.h>

#include "api/rights.h"

const struct import_kind *import_kind_asked(const struct request *req, struct problems *why)
{
	const char *name = request_query(req, "kind");
	const struct import_kind *kind = name != NULL ? import_kind_find(name) : NULL;

	if (kind == NULL) {
		problems_add(why, PROBLEM_VALUE, "kind",
			"kind must be one of lines, tracks, maps, bonds, inspections, failures.");
	}
	return kind;
}

/* What an import asks for besides is in its route. */
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

bool import_settings_asked(const struct request *req, struct import_settings *to,
	struct form_memory *memory, struct problems *why)
{
	const char *text = request_query(req, "settings");

	form_clear(&import_settings_form, to);
	return text == NULL ||
		form_from_json(&import_settings_form, text, strlen(text), to, memory, why);
}

static bool is_yes(const char *text)
{
	return text != NULL && (strcmp(text, "1") == 0 || strcmp(text, "true") == 0 ||
		strcmp(text, "yes") == 0);
}

bool import_asked(const struct request *req, struct import_asked *to, struct problems *why)
{
	const char *name = request_query(req, "file_name");

	*to = (struct import_asked){ .request = { .settings = &to->settings,
		.file_name = name != NULL ? name : "",
		.dry_run = is_yes(request_query(req, "dry_run")),
		.stated_by = (req->who.rights & CAN_MANAGE) != 0 ? req->who.person_id : 0 } };
	to->request.kind = import_kind_asked(req, why);
	if (to->request.kind == NULL || !may(req, to->request.kind, why) ||
		!import_settings_asked(req, &to->settings, &to->memory, why) ||
		!import_open(req->body, req->body_len, false, &to->settings, &to->opened, why)) {
		return false;
	}
	to->request.bytes = to->opened.bytes;
	to->request.len = to->opened.len;
	return true;
}

void import_asked_release(struct import_asked *asked)
{
	import_opened_release(&asked->opened);
	form_memory_release(&asked->memory);
}
