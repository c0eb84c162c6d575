/*
 * rules.wasm: the table of rules/tablet/tablet.h for a page. It imports nothing, allocates nothing,
 * and knows no rule: it only hands out the tables, memory to write a question into, and the answer.
 * static/js/logic/rules.js is its other half.
 *
 * begin(), then room() for the question and what hangs on it, then ask(); the answer is there until
 * the next begin().
 */
#include "rules/tablet/tablet.h"

#define EXPORT(name) __attribute__((export_name(#name)))

enum { ROOM = 128 * 1024, ALIGNED = 16 };

static _Alignas(ALIGNED) char room_bytes[ROOM];
static size_t room_used;
static struct rulebook rulebook;
static _Alignas(ALIGNED) char answer[TABLET_STRUCT_SIZE];

EXPORT(rule) const struct tablet_rule *rule(size_t i)
{
	return i < tablet_rules_count ? tablet_rules[i] : NULL;
}

EXPORT(rule_name) const char *rule_name(const struct tablet_rule *of) { return of->name; }
EXPORT(rule_in) const struct form *rule_in(const struct tablet_rule *of) { return of->in; }
EXPORT(rule_out) const struct form *rule_out(const struct tablet_rule *of) { return of->out; }
EXPORT(rulebook_at) struct rulebook *rulebook_at(void) { return &rulebook; }
EXPORT(rulebook_in) const struct form *rulebook_in(void) { return &rulebook_form; }

EXPORT(form_size) size_t form_size(const struct form *of) { return of->size; }
EXPORT(form_first) const struct member *form_first(const struct form *of) { return of->members; }

/* NULL after the last. */
EXPORT(member_next) const struct member *member_next(const struct member *of)
{
	return of[1].name != NULL ? &of[1] : NULL;
}

EXPORT(member_name) const char *member_name(const struct member *of) { return of->name; }
EXPORT(member_type) int member_type(const struct member *of) { return (int)of->type; }
EXPORT(member_offset) size_t member_offset(const struct member *of) { return of->offset; }
EXPORT(member_form) const struct form *member_form(const struct member *of) { return of->form; }

/* The code of a word; NULL after the last. */
EXPORT(member_word) const char *member_word(const struct member *of, int i)
{
	return i < of->words->n ? of->words->code[i] : NULL;
}

EXPORT(begin) void begin(void)
{
	room_used = 0;
}

/* NULL when there is none left. */
EXPORT(room) void *room(size_t size)
{
	size_t at = room_used;

	if (size > ROOM - at) {
		return NULL;
	}
	room_used = at + (size + ALIGNED - 1) / ALIGNED * ALIGNED;
	return room_bytes + at;
}

EXPORT(clear) void clear(const struct form *form, void *at) { form_clear(form, at); }

EXPORT(is_absent) int is_absent(const struct member *member, const void *in)
{
	return form_is_absent(member, in);
}

EXPORT(ask) const void *ask(const struct tablet_rule *of, const void *in)
{
	tablet_ask(of, &rulebook, in, answer);
	return answer;
}
