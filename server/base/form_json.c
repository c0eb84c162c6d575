/* Forms from JSON bodies. */
#include "base/form.h"

#include <jansson.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <threads.h>

#include "base/decimal.h"
#include "base/form_value.h"
#include "base/near.h"

enum { DEPTH_MOST = 8, PATH_SIZE = 256, NAMES_SHOWN_BYTES = 160 };

struct decoding {
	struct form_memory *memory;
	struct problems *why;
	struct form_list *lacks;      /* NULL: a body that is sent, not one that was kept */
};

static void take_object(struct decoding *d, const struct form *form, json_t *object, void *to,
	const char *path);

/* Nesting of objects and lists; brackets within strings do not count. */
static bool is_too_deep(const char *json, size_t len)
{
	size_t depth = 0;
	bool in_string = false;

	for (size_t i = 0; i < len; i++) {
		char c = json[i];

		if (in_string && c == '\\') {
			i++;
		} else if (c == '"') {
			in_string = !in_string;
		} else if (!in_string && (c == '{' || c == '[') && ++depth > DEPTH_MOST) {
			return true;
		} else if (!in_string && (c == '}' || c == ']') && depth > 0) {
			depth--;
		}
	}
	return false;
}

static void show(const json_t *value, char shown[FORM_SHOWN_SIZE])
{
	struct text number = { 0 };

	switch (json_typeof(value)) {
	case JSON_STRING:
		form_show(json_string_value(value), json_string_length(value), shown);
		return;
	case JSON_INTEGER:
		snprintf(shown, FORM_SHOWN_SIZE, "%" JSON_INTEGER_FORMAT, json_integer_value(value));
		return;
	case JSON_REAL:
		text_add_real(&number, json_real_value(value));
		snprintf(shown, FORM_SHOWN_SIZE, "%s", number.failed ? "a number" : number.data);
		text_release(&number);
		return;
	case JSON_OBJECT:
		snprintf(shown, FORM_SHOWN_SIZE, "an object");
		return;
	case JSON_ARRAY:
		snprintf(shown, FORM_SHOWN_SIZE, "a list");
		return;
	case JSON_TRUE:
	case JSON_FALSE:
		snprintf(shown, FORM_SHOWN_SIZE, "%s", json_is_true(value) ? "true" : "false");
		return;
	case JSON_NULL:
		snprintf(shown, FORM_SHOWN_SIZE, "null");
	}
}

/* The code exactly: titles are for people, and a program that sends them has the wrong table. */
static bool put_word(const struct member *m, const char *text, size_t len, const char *shown,
	void *to, struct problem *why)
{
	const struct words *words = m->words;
	struct near nearest = { 0 };

	for (int i = 0; i < words->n; i++) {
		if (strlen(words->code[i]) == len && memcmp(words->code[i], text, len) == 0) {
			*FORM_FIELD(int, m, to) = i;
			return true;
		}
	}
	for (int i = 0; i < words->n; i++) {
		near_try(&nearest, text, len, words->code[i]);
	}
	if (nearest.name == NULL && words_find(words, text, len) >= 0) {
		nearest.name = words->code[words_find(words, text, len)];
	}
	if (nearest.name != NULL) {
		return problem_set(why, PROBLEM_VALUE, m->name, "%s has no value %s; did you mean \"%s\"?",
			form_name(m), shown, nearest.name);
	}
	return form_refuse(m, shown, why);
}

static bool put_string(struct decoding *d, const struct member *m, const char *text, size_t len,
	const char *shown, void *to, struct problem *why)
{
	switch (m->type) {
	case MEMBER_TEXT:
		return form_put_text(m, text, len, to, d->memory, why);
	case MEMBER_DAY:
		return day_read(text, len, FORM_FIELD(int32_t, m, to)) || form_refuse(m, shown, why);
	case MEMBER_INSTANT:
		return instant_read(text, len, FORM_FIELD(int64_t, m, to)) || form_refuse(m, shown, why);
	case MEMBER_UUID:
		return form_put_uuid(m, text, len, shown, to, why);
	case MEMBER_WORD:
		return put_word(m, text, len, shown, to, why);
	default:
		return form_refuse(m, shown, why);
	}
}

static bool put_number(const struct decoding *d, const struct member *given, const json_t *value,
	const char *shown, void *to, struct problem *why)
{
	const struct member unbounded = { .name = given->name, .type = given->type,
		.offset = given->offset };
	const struct member *m = d->lacks != NULL ? &unbounded : given;
	double real = json_number_value(value);

	if (m->type == MEMBER_REAL) {
		return form_put_real(m, real, shown, to, why);
	}
	if (m->type == MEMBER_INTEGER && json_is_integer(value)) {
		return form_put_integer(m, json_integer_value(value), shown, to, why);
	}
	if (m->type == MEMBER_INTEGER && decimal_is_whole(real)) {
		return form_put_integer(m, (int64_t)real, shown, to, why);
	}
	return form_refuse(m, shown, why);
}

static bool put_scalar(struct decoding *d, const struct member *m, const json_t *value,
	const char *shown, void *to, struct problem *why)
{
	if (json_is_string(value)) {
		return put_string(d, m, json_string_value(value), json_string_length(value), shown, to,
			why);
	}
	if (json_is_number(value)) {
		return put_number(d, m, value, shown, to, why);
	}
	if (json_is_boolean(value) && m->type == MEMBER_FLAG) {
		*FORM_FIELD(int, m, to) = json_is_true(value);
		return true;
	}
	return form_refuse(m, shown, why);
}

/* (what is refused is tried again with how it is shown: few are, and showing a number costs more
 * than taking it) */
static void take_scalar(struct decoding *d, const struct member *m, const json_t *value, void *to,
	const char *path)
{
	struct problem ignored = { 0 }, why = { 0 };
	char shown[FORM_SHOWN_SIZE];

	if (put_scalar(d, m, value, "", to, &ignored)) {
		return;
	}
	show(value, shown);
	if (!put_scalar(d, m, value, shown, to, &why)) {
		problems_add(d->why, why.code, path, "%s", why.detail);
	}
}

static void require(struct decoding *d, const struct member *m, const char *path)
{
	struct problem why = { 0 };

	form_require(m, &why);
	problems_add(d->why, why.code, path, "%s", why.detail);
}

static void take_item(struct decoding *d, const struct form *form, json_t *value, void *to,
	const char *path)
{
	const struct member *first = &form->members[0];
	bool bare = first->name != NULL && first->name[0] == '\0';

	form_clear(form, to);
	if (bare) {
		size_t before = d->why->count;

		take_scalar(d, first, value, to, path);
		if (d->why->count == before && form_is_absent(first, to)) {
			require(d, first, path);
		}
	} else if (json_is_object(value)) {
		take_object(d, form, value, to, path);
	} else {
		char shown[FORM_SHOWN_SIZE];

		show(value, shown);
		problems_add(d->why, PROBLEM_VALUE, path, "each item must be an object { }; it is %s",
			shown);
	}
}

static void take_list(struct decoding *d, const struct member *m, json_t *list, void *to,
	const char *path)
{
	struct form_list *field = FORM_FIELD(struct form_list, m, to);
	size_t count = json_array_size(list);
	char *items;

	if (count > form_longest(m)) {
		problems_add(d->why, PROBLEM_VALUE, path, "%s may have at most %zu items; it has %zu",
			m->name, form_longest(m), count);
		return;
	}
	if (count == 0) {
		return;
	}
	items = form_alloc(d->memory, count * m->form->size);
	if (items == NULL) {
		problems_add(d->why, PROBLEM_NO_MEMORY, NULL, "out of memory");
		return;
	}
	for (size_t i = 0; i < count; i++) {
		char item_path[PATH_SIZE];

		if (snprintf(item_path, sizeof item_path, "%s[%zu]", path, i) < 0) {
			return;
		}
		take_item(d, m->form, json_array_get(list, i), items + i * m->form->size, item_path);
	}
	*field = (struct form_list){ items, count };
}

static void take_member(struct decoding *d, const struct member *m, json_t *value, void *to,
	const char *path)
{
	if (m->type == MEMBER_LIST && json_is_array(value)) {
		take_list(d, m, value, to, path);
	} else if (m->type == MEMBER_OBJECT && json_is_object(value)) {
		take_object(d, m->form, value, FORM_FIELD(char, m, to), path);
	} else {
		take_scalar(d, m, value, to, path);
	}
}

static void refuse_unknown(struct decoding *d, const struct form *form, const char *key,
	const char *path)
{
	struct text names = { 0 };
	struct near nearest = { 0 };
	char shown[FORM_SHOWN_SIZE];

	if (d->why->count >= PROBLEMS_SHOWN) {
		d->why->count++;
		return;
	}
	form_show(key, strlen(key), shown);
	for (const struct member *m = form->members; m->name != NULL; m++) {
		near_try(&nearest, key, strlen(key), m->name);
		if (names.len < NAMES_SHOWN_BYTES) {
			text_addf(&names, "%s%s", names.len > 0 ? ", " : "", m->name);
		} else if (names.data[names.len - 1] != '.') {
			text_add_z(&names, ", ...");
		}
	}
	if (nearest.name != NULL) {
		problems_add(d->why, PROBLEM_VALUE, path, "%s is not known here; did you mean \"%s\"?",
			shown, nearest.name);
	} else {
		problems_add(d->why, PROBLEM_VALUE, path, "%s is not known here; known are: %s", shown,
			names.failed || names.data == NULL ? "no members" : names.data);
	}
	text_release(&names);
}

static size_t add_part(char to[PATH_SIZE], size_t at, const char *part)
{
	size_t len = strlen(part), room = PATH_SIZE - 1 - at;

	if (len > room) {
		len = room;
	}
	memcpy(to + at, part, len);
	to[at + len] = '\0';
	return at + len;
}

/* "" + "readings" or "readings[2]" + ".current_a"; of every member of every body, so not by
 * printf */
static void join_path(char to[PATH_SIZE], const char *path, const char *name)
{
	size_t len = add_part(to, 0, path);

	add_part(to, path[0] != '\0' ? add_part(to, len, ".") : len, name);
}

/* Doubled at every power of two; the pieces left behind go with the memory. */
static void note_lack(struct decoding *d, const char *path)
{
	struct form_list *all = d->lacks;
	const char **paths = all->items;
	size_t size = strlen(path) + 1;
	char *kept = form_alloc(d->memory, size);

	if ((all->count & (all->count - 1)) == 0) {
		paths = form_alloc(d->memory, (all->count > 0 ? all->count * 2 : 1) * sizeof *paths);
		if (paths != NULL && all->count > 0) {
			memcpy(paths, all->items, all->count * sizeof *paths);
		}
	}
	if (kept == NULL || paths == NULL) {
		problems_add(d->why, PROBLEM_NO_MEMORY, NULL, "out of memory");
		return;
	}
	memcpy(kept, path, size);
	paths[all->count++] = kept;
	all->items = paths;
}

/* A member that what was kept does not name, with all that is in it. */
static void take_lack(struct decoding *d, const struct member *m, void *to, const char *path)
{
	if (m->type == MEMBER_OBJECT) {
		take_object(d, m->form, NULL, FORM_FIELD(char, m, to), path);
	} else if (m->type != MEMBER_LIST) {
		note_lack(d, path);
	}
}

static void take_object(struct decoding *d, const struct form *form, json_t *object, void *to,
	const char *path)
{
	char member_path[PATH_SIZE];
	const char *key;
	json_t *value;

	for (const struct member *m = form->members; m->name != NULL; m++) {
		size_t before = d->why->count;

		value = json_object_get(object, m->name);
		if (value == NULL && d->lacks == NULL && !m->required) {
			continue;
		}
		join_path(member_path, path, m->name);
		if (value != NULL && !json_is_null(value)) {
			take_member(d, m, value, to, member_path);
		} else if (value == NULL && d->lacks != NULL) {
			take_lack(d, m, to, member_path);
		}
		if (d->lacks == NULL && m->required && d->why->count == before && form_is_absent(m, to)) {
			require(d, m, member_path);
		}
	}
	json_object_foreach(object, key, value) {
		if (d->lacks == NULL && form_member(form, key) == NULL) {
			join_path(member_path, path, key);
			refuse_unknown(d, form, key, member_path);
		}
	}
}

/* The parser tells some allocations that failed as bad syntax; a good body would then be refused
 * for good. So we look ourselves. */
static _Thread_local bool allocation_failed;

static void *allocate(size_t size)
{
	void *got = malloc(size);

	if (got == NULL) {
		allocation_failed = true;
	}
	return got;
}

static void set_allocator(void)
{
	json_set_alloc_funcs(allocate, free);
}

static bool decode(const struct form *form, const char *json, size_t len, void *to,
	struct form_memory *memory, struct form_list *lacks, struct problems *why)
{
	static once_flag allocator_set = ONCE_FLAG_INIT;
	struct decoding d = { memory, why, lacks };
	size_t before = why->count;
	json_error_t error;
	json_t *root;

	form_clear(form, to);
	if (len == 0) {
		return problems_add(why, PROBLEM_MALFORMED, NULL,
			"the body is empty; it must be a JSON object { }");
	}
	if (is_too_deep(json, len)) {
		return problems_add(why, PROBLEM_MALFORMED, NULL,
			"the body nests objects and lists deeper than %d levels", DEPTH_MOST);
	}
	call_once(&allocator_set, set_allocator);
	allocation_failed = false;
	root = json_loadb(json, len, JSON_REJECT_DUPLICATES, &error);
	/* with a root too: the library takes a text that could not grow without its next character, and
	 * a number without a digit is another number */
	if (allocation_failed) {
		json_decref(root);
		return problems_add(why, PROBLEM_NO_MEMORY, NULL, "out of memory");
	}
	if (root == NULL) {
		return problems_add(why, PROBLEM_MALFORMED, NULL,
			"the body is not valid JSON: %s (line %d, column %d)", error.text, error.line,
			error.column);
	}
	if (json_is_object(root)) {
		take_object(&d, form, root, to, "");
	} else {
		problems_add(why, PROBLEM_MALFORMED, NULL, "the body must be a JSON object { }");
	}
	json_decref(root);
	return why->count == before;
}

bool form_from_json(const struct form *form, const char *json, size_t len, void *to,
	struct form_memory *memory, struct problems *why)
{
	return decode(form, json, len, to, memory, NULL, why);
}

bool form_from_kept(const struct form *form, const char *json, size_t len, void *to,
	struct form_memory *memory, struct form_list *lacks, struct problems *why)
{
	*lacks = (struct form_list){ 0 };
	return decode(form, json, len, to, memory, lacks, why);
}
