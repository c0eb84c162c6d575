/* The one search box: a label, a line and chainage, a person, an instrument. */
#include <stdlib.h>
#include <string.h>

#include "api/json.h"
#include "api/rights.h"
#include "api/routes.h"
#include "api/views.h"
#include "service/report/search.h"

static void add_group(const struct found_group *g, enum found_kind kind, struct text *body)
{
	struct json j = json_begin(body);

	json_word(&j, "kind", &found_words, (int)kind);
	json_name(&j, "rows");
	text_add_char(body, '[');
	for (size_t i = 0; i < g->count; i++) {
		struct json row;

		text_add_z(body, i > 0 ? "," : "");
		row = json_begin(body);
		json_text(&row, "title", g->row[i].title);
		json_text(&row, "detail", g->row[i].detail);
		json_text(&row, "href", g->row[i].href);
		json_end(&row);
	}
	text_add_char(body, ']');
	json_end(&j);
}

static void search_get(const struct request *req, struct reply *out)
{
	/* a bond is found the same way whether or not people are */
	static const enum found_kind order[] = { FOUND_PLACE, FOUND_BOND, FOUND_LINE,
		FOUND_INSTRUMENT, FOUND_PERSON };
	const struct view *view = view_of(req);
	const char *q = request_query(req, "q");
	const char *text = q != NULL ? q + strspn(q, " \t") : "";
	struct problem why = { 0 };
	struct text body = { 0 };
	struct found *found = calloc(1, sizeof *found);
	const char *joint = "";

	if (found == NULL) {
		problem_set(&why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	} else if (text[0] != '\0') {
		search_find(view, text, (view->reader.rights & CAN_PLAN) != 0, found, &why);
	}
	if (why.code != PROBLEM_NONE) {
		free(found);
		reply_problem(out, &why);
		return;
	}
	text_add_z(&body, "{\"groups\":[");
	for (size_t i = 0; i < FOUND_KINDS; i++) {
		if (found->group[order[i]].count > 0) {
			text_add_z(&body, joint);
			add_group(&found->group[order[i]], order[i], &body);
			joint = ",";
		}
	}
	text_add_z(&body, "]}");
	free(found);
	reply_json(out, 200, &body);
}

const struct route search_routes[] = {
	{ METHOD_GET, "/api/search", ROUTE_READ, CAN_READ, search_get,
	  "Finds bonds, places (a line's code and a chainage), lines, instruments and people; q is what "
	  "was typed." },
	{ 0 }
};
