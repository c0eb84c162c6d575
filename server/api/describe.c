#include "api/describe.h"

#include <string.h>

#include "api/json.h"
#include "api/rights.h"
#include "base/form.h"
#include "encode/encode.h"
#include "store/lists/list.h"

static const char *const methods[] = { "get", "post", "put", "delete" };

static bool is_described(const struct route *r)
{
	return r->summary != NULL;
}

/* True for the first route of its pattern: the others of it are told there. */
static bool is_first(const struct route *const *tables, const struct route *route)
{
	for (const struct route *const *t = tables; *t != NULL; t++) {
		for (const struct route *r = *t; r->pattern != NULL; r++) {
			if (r == route) {
				return true;
			}
			if (strcmp(r->pattern, route->pattern) == 0) {
				return false;
			}
		}
	}
	return false;
}

static void add_filter_schema(const struct list_filter *f, struct json *schema)
{
	if (f->kind == FILTER_DAY) {
		json_text(schema, "format", "date");
	} else if (f->kind == FILTER_WORD) {
		json_text(schema, "x-words", f->words->name);   /* one or more, with commas between */
	} else if (f->kind == FILTER_ID) {
		json_integer(schema, "minimum", 1);
	} else if (f->kind == FILTER_FLAG) {
		json_name(schema, "enum");
		text_add_z(schema->to, "[\"yes\",\"no\"]");
	}
}

/* filter: NULL for what is none. */
static void add_parameter(struct text *to, const char **joint, const char *name, const char *in,
	const char *title, const char *type, const struct list_filter *filter)
{
	struct json j, schema;

	text_add_z(to, *joint);
	*joint = ",";
	j = json_begin(to);
	json_text(&j, "name", name);
	json_text(&j, "in", in);
	json_text(&j, "description", title);
	if (strcmp(in, "path") == 0) {
		json_flag(&j, "required", true);
	}
	json_name(&j, "schema");
	schema = json_begin(to);
	json_text(&schema, "type", type);
	if (filter != NULL) {
		add_filter_schema(filter, &schema);
	}
	json_end(&schema);
	json_end(&j);
}

static const char *filter_type(const struct list_filter *f)
{
	return f->kind == FILTER_ID || f->kind == FILTER_INTEGER ? "integer" :
		f->kind == FILTER_REAL ? "number" : "string";
}

/* A list's page as JSON; its files have an extension. */
static bool is_page(const struct route *r)
{
	return strchr(r->pattern, '.') == NULL;
}

static void add_path_parameters(const struct route *r, struct text *to, const char **joint)
{
	for (const char *at = strchr(r->pattern, '{'); at != NULL; at = strchr(at + 1, '{')) {
		char name[32] = "";
		size_t len = strcspn(at + 1, "}");

		if (len < sizeof name) {
			memcpy(name, at + 1, len);
		}
		add_parameter(to, joint, name, "path", strcmp(name, "uuid") == 0 ?
			"An id made by the sender (RFC 9562)." : "The number of the record.",
			strcmp(name, "id") == 0 ? "integer" : "string", NULL);
	}
}

static void add_parameters(const struct route *r, struct text *to)
{
	const char *joint = "";

	const struct list *list = r->list != NULL ? r->list : r->filters;

	add_path_parameters(r, to, &joint);
	for (size_t i = 0; list != NULL && i < list->n_filters; i++) {
		add_parameter(to, &joint, list->filters[i].name, "query", list->filters[i].title,
			filter_type(&list->filters[i]), &list->filters[i]);
	}
	if (r->list == NULL) {
		return;
	}
	add_parameter(to, &joint, "sort", "query", "The order of the rows.", "string", NULL);
	if (is_page(r)) {
		add_parameter(to, &joint, "limit", "query", "Rows of a page, 1 to 1000.", "integer",
			NULL);
		add_parameter(to, &joint, "after", "query", "The cursor that the page before gave.",
			"string", NULL);
	}
}

static const char *cell_type(enum cell_type type)
{
	return type == CELL_INTEGER ? "integer" : type == CELL_REAL ? "number" : type == CELL_FLAG ?
		"boolean" : "string";
}

static void add_column(const struct column *c, struct json *properties)
{
	struct json j;

	json_name(properties, c->name);
	j = json_begin(properties->to);
	json_name(&j, "type");
	text_addf(j.to, "[\"%s\",\"null\"]", cell_type(c->type));
	if (c->type == CELL_DAY) {
		json_text(&j, "format", "date");
	} else if (c->type == CELL_INSTANT) {
		json_text(&j, "format", "date-time");
	} else if (c->type == CELL_WORD) {
		json_name(&j, "enum");
		for (int i = 0; i < c->words->n; i++) {
			text_addf(j.to, "%s\"%s\"", i == 0 ? "[" : ",", c->words->code[i]);
		}
		text_add_z(j.to, ",null]");
		json_text(&j, "x-words", c->words->name);   /* their titles: /api/words */
	}
	json_text(&j, "title", c->title);
	if (c->unit != NULL) {
		json_text(&j, "description", c->unit);
	}
	json_end(&j);
}

static void add_list_schema(const struct list *list, struct text *to)
{
	struct json properties;

	text_add_z(to, "{\"type\":\"object\",\"title\":");
	text_add_json(to, list->title, strlen(list->title));
	text_add_z(to, ",\"properties\":{\"next\":{\"type\":[\"string\",\"null\"]},"
		"\"rows\":{\"type\":\"array\",\"items\":{\"type\":\"object\",\"properties\":");
	properties = json_begin(to);
	for (size_t i = 0; i < list->n_columns; i++) {
		if (!list->columns[i].hidden) {
			struct column column = list_column_shown(&list->columns[i]);

			add_column(&column, &properties);
		}
	}
	json_end(&properties);
	text_add_z(to, "}}");
	if (list->n_totals > 0) {
		text_add_z(to, ",\"totals\":{\"type\":\"object\",\"additionalProperties\":"
			"{\"type\":\"integer\"}}");
	}
	text_add_z(to, "}}");
}

static void add_responses(const struct route *r, struct text *to)
{
	text_add_z(to, "{\"2XX\":{\"description\":\"Done.\"");
	if (r->list != NULL && is_page(r)) {
		text_add_z(to, ",\"content\":{\"application/json\":{\"schema\":");
		add_list_schema(r->list, to);
		text_add_z(to, "}}");
	}
	text_add_z(to, "},\"default\":{\"description\":\"A problem (RFC 9457).\",\"content\":"
		"{\"application/problem+json\":{\"schema\":{\"$ref\":\"#/components/schemas/Problem\"}}}}}");
}

static void add_body(const struct route *r, struct text *to)
{
	if (r->body != NULL) {
		text_add_z(to, ",\"requestBody\":{\"required\":true,\"content\":{\"application/json\":"
			"{\"schema\":");
		form_schema(r->body, to);
		text_add_z(to, "}}}");
	} else if (r->body_type != NULL) {
		text_addf(to, ",\"requestBody\":{\"required\":true,\"content\":{\"%s\":{}}}", r->body_type);
	}
}

static void add_right(const struct route *r, struct text *to)
{
	for (int i = 0; right_words[i] != NULL; i++) {
		if (r->right == 1u << (i + 1)) {
			text_addf(to, ",\"x-right\":\"%s\",\"security\":[{\"session\":[]}]", right_words[i]);
		}
	}
}

static void add_operation(const struct route *r, struct text *to)
{
	text_addf(to, "\"%s\":{\"summary\":", methods[r->method]);
	text_add_json(to, r->summary, strlen(r->summary));
	text_add_z(to, ",\"parameters\":[");
	add_parameters(r, to);
	text_add_z(to, "],\"responses\":");
	add_responses(r, to);
	add_body(r, to);
	add_right(r, to);
	text_add_char(to, '}');
}

static void add_path(const struct route *const *tables, const char *pattern, struct text *to)
{
	const char *joint = "";

	text_addf(to, "\"%s\":{", pattern);
	for (const struct route *const *t = tables; *t != NULL; t++) {
		for (const struct route *r = *t; r->pattern != NULL; r++) {
			if (is_described(r) && strcmp(r->pattern, pattern) == 0) {
				text_add_z(to, joint);
				add_operation(r, to);
				joint = ",";
			}
		}
	}
	text_add_char(to, '}');
}

void describe_api(const struct route *const *tables, struct text *to)
{
	const char *joint = "";

	text_add_z(to, "{\"openapi\":\"3.1.0\",\"info\":{\"title\":\"bondbook\",\"version\":\"1\","
		"\"description\":\"The register of a railway's cable bonds.\"},\"components\":{"
		"\"securitySchemes\":{\"session\":{\"type\":\"apiKey\",\"in\":\"cookie\",\"name\":"
		"\"bondbook_session\"}},\"schemas\":{\"Problem\":{\"type\":\"object\",\"properties\":{"
		"\"type\":{\"type\":\"string\"},\"title\":{\"type\":\"string\"},\"status\":{\"type\":"
		"\"integer\"},\"detail\":{\"type\":\"string\"},\"errors\":{\"type\":\"array\",\"items\":{"
		"\"type\":\"object\",\"properties\":{\"field\":{\"type\":\"string\"},\"detail\":{\"type\":"
		"\"string\"}}}}}}}},\"paths\":{");
	for (const struct route *const *t = tables; *t != NULL; t++) {
		for (const struct route *r = *t; r->pattern != NULL; r++) {
			if (is_described(r) && is_first(tables, r)) {
				text_add_z(to, joint);
				add_path(tables, r->pattern, to);
				joint = ",";
			}
		}
	}
	text_add_z(to, "}}");
}
