/* Forms as JSON Schema (2020-12), for the API description. */
#include "base/form.h"

#include <math.h>
#include <string.h>

#include "base/form_value.h"

static void add_string(struct text *to, const char *z)
{
	text_add_json(to, z, strlen(z));
}

/* An absent member may also be sent as null, so the schema says so unless it is required. */
static void add_type(struct text *to, const char *type, bool nullable)
{
	if (nullable) {
		text_addf(to, "\"type\":[\"%s\",\"null\"]", type);
	} else {
		text_addf(to, "\"type\":\"%s\"", type);
	}
}

static void add_bounds(struct text *to, const struct member *m)
{
	if (m->least == 0 && m->most == 0) {
		return;
	}
	if (isfinite(m->least)) {
		text_add_z(to, ",\"minimum\":");
		text_add_real(to, m->least);
	}
	if (isfinite(m->most)) {
		text_add_z(to, ",\"maximum\":");
		text_add_real(to, m->most);
	}
}

static void add_words(struct text *to, const struct words *words, bool nullable)
{
	text_add_z(to, ",\"enum\":[");
	for (int i = 0; i < words->n; i++) {
		text_add_z(to, i > 0 ? "," : "");
		add_string(to, words->code[i]);
	}
	text_add_z(to, nullable ? ",null]" : "]");
}

static void add_description(struct text *to, const struct member *m)
{
	struct text words = { 0 };

	if (m->unit != NULL) {
		text_addf(&words, "In %s.", m->unit);
	}
	if (m->help != NULL) {
		text_addf(&words, "%s%s", words.len > 0 ? " " : "", m->help);
	}
	if (words.len > 0) {
		text_add_z(to, ",\"description\":");
		text_add_json(to, words.data, words.len);
	}
	to->failed = to->failed || words.failed;
	text_release(&words);
}

static void add_form(struct text *to, const struct form *form, bool nullable);

static void add_constraints(struct text *to, const struct member *m, bool nullable)
{
	switch (m->type) {
	case MEMBER_TEXT:
		add_type(to, "string", nullable);
		text_addf(to, ",%s\"maxLength\":%zu", nullable ? "" : "\"minLength\":1,",
			m->characters > 0 ? m->characters : form_longest(m));
		break;
	case MEMBER_INTEGER:
	case MEMBER_REAL:
		add_type(to, m->type == MEMBER_INTEGER ? "integer" : "number", nullable);
		add_bounds(to, m);
		break;
	case MEMBER_FLAG:
		add_type(to, "boolean", nullable);
		break;
	case MEMBER_DAY:
	case MEMBER_INSTANT:
	case MEMBER_UUID:
		add_type(to, "string", nullable);
		text_add_z(to, m->type == MEMBER_DAY ? ",\"format\":\"date\"" : m->type == MEMBER_INSTANT ?
			",\"format\":\"date-time\"" : ",\"format\":\"uuid\"");
		break;
	case MEMBER_WORD:
		add_type(to, "string", nullable);
		add_words(to, m->words, nullable);
		text_addf(to, ",\"x-words\":\"%s\"", m->words->name);   /* their titles: /api/words */
		break;
	case MEMBER_OBJECT:
		add_form(to, m->form, nullable);
		break;
	case MEMBER_LIST: {
		const struct member *item = &m->form->members[0];

		add_type(to, "array", nullable);
		text_addf(to, ",%s\"maxItems\":%zu,\"items\":{", nullable ? "" : "\"minItems\":1,",
			form_longest(m));
		if (item->name != NULL && item->name[0] == '\0') {
			add_constraints(to, item, false);
		} else {
			add_form(to, m->form, false);
		}
		text_add_char(to, '}');
		break;
	}
	}
}

static void add_required(struct text *to, const struct form *form)
{
	const char *comma = "";

	text_add_z(to, ",\"required\":[");
	for (const struct member *m = form->members; m->name != NULL; m++) {
		if (m->required) {
			text_add_z(to, comma);
			add_string(to, m->name);
			comma = ",";
		}
	}
	text_add_char(to, ']');
}

static void add_form(struct text *to, const struct form *form, bool nullable)
{
	add_type(to, "object", nullable);
	text_add_z(to, ",\"properties\":{");
	for (const struct member *m = form->members; m->name != NULL; m++) {
		text_add_z(to, m == form->members ? "" : ",");
		add_string(to, m->name);
		text_add_z(to, ":{");
		add_constraints(to, m, !m->required);
		if (m->title != NULL) {
			text_add_z(to, ",\"title\":");
			add_string(to, m->title);
		}
		add_description(to, m);
		text_add_char(to, '}');
	}
	text_add_char(to, '}');
	add_required(to, form);
	text_add_z(to, ",\"additionalProperties\":false");
}

void form_schema(const struct form *form, struct text *to)
{
	text_add_char(to, '{');
	add_form(to, form, false);
	text_add_char(to, '}');
}
