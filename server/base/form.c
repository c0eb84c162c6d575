#include "base/form.h"

#include <assert.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/form_value.h"

struct form_block {
	struct form_block *next;
	max_align_t data[];
};

void form_memory_release(struct form_memory *memory)
{
	while (memory->blocks != NULL) {
		struct form_block *next = memory->blocks->next;

		free(memory->blocks);
		memory->blocks = next;
	}
}

void form_memory_join(struct form_memory *to, struct form_memory *from)
{
	while (from->blocks != NULL) {
		struct form_block *block = from->blocks;

		from->blocks = block->next;
		block->next = to->blocks;
		to->blocks = block;
	}
}

void *form_alloc(struct form_memory *memory, size_t size)
{
	struct form_block *block;

	if (size > SIZE_MAX / 2) {
		return NULL;
	}
	block = calloc(1, sizeof *block + size);
	if (block == NULL) {
		return NULL;
	}
	block->next = memory->blocks;
	memory->blocks = block;
	return block->data;
}

/* Recursion here and below goes as deep as the form's table nests, never as deep as the input. */
void form_clear(const struct form *form, void *to)
{
	for (const struct member *m = form->members; m->name != NULL; m++) {
		switch (m->type) {
		case MEMBER_TEXT:
			*FORM_FIELD(const char *, m, to) = NULL;
			break;
		case MEMBER_INTEGER:
		case MEMBER_INSTANT:
			*FORM_FIELD(int64_t, m, to) = FORM_NO_INTEGER;
			break;
		case MEMBER_REAL:
			*FORM_FIELD(double, m, to) = NAN;
			break;
		case MEMBER_FLAG:
		case MEMBER_WORD:
			*FORM_FIELD(int, m, to) = -1;
			break;
		case MEMBER_DAY:
			*FORM_FIELD(int32_t, m, to) = DAY_NONE;
			break;
		case MEMBER_UUID:
			memset(FORM_FIELD(char, m, to), 0, UUID_TEXT_SIZE);
			break;
		case MEMBER_OBJECT:
			form_clear(m->form, FORM_FIELD(char, m, to));
			break;
		case MEMBER_LIST:
			*FORM_FIELD(struct form_list, m, to) = (struct form_list){ 0 };
			break;
		}
	}
}

static bool is_all_absent(const struct form *form, const void *from)
{
	for (const struct member *m = form->members; m->name != NULL; m++) {
		if (!form_is_absent(m, from)) {
			return false;
		}
	}
	return true;
}

bool form_is_absent(const struct member *m, const void *from)
{
	switch (m->type) {
	case MEMBER_TEXT:
		return *FORM_FIELD_READ(char *, m, from) == NULL;
	case MEMBER_INTEGER:
	case MEMBER_INSTANT:
		return *FORM_FIELD_READ(int64_t, m, from) == FORM_NO_INTEGER;
	case MEMBER_REAL:
		return isnan(*FORM_FIELD_READ(double, m, from));
	case MEMBER_FLAG:
	case MEMBER_WORD:
		return *FORM_FIELD_READ(int, m, from) == -1;
	case MEMBER_DAY:
		return *FORM_FIELD_READ(int32_t, m, from) == DAY_NONE;
	case MEMBER_UUID:
		return *FORM_FIELD_READ(char, m, from) == '\0';
	case MEMBER_OBJECT:
		return is_all_absent(m->form, FORM_FIELD_READ(char, m, from));
	case MEMBER_LIST:
		return FORM_FIELD_READ(struct form_list, m, from)->count == 0;
	}
	return true;
}

static bool is_named(const struct problems *why, const char *name)
{
	for (size_t i = 0; i < why->count && i < PROBLEMS_SHOWN; i++) {
		if (strcmp(why->item[i].field, name) == 0) {
			return true;
		}
	}
	return false;
}

bool form_check_required(const struct form *form, const void *from, struct problems *why)
{
	bool right = true;

	for (const struct member *m = form->members; m->name != NULL; m++) {
		struct problem one = { 0 };

		if (m->required && form_is_absent(m, from) && !is_named(why, m->name)) {
			form_require(m, &one);
			right = problems_take(why, &one);
		}
	}
	return right;
}

const struct member *form_member(const struct form *form, const char *name)
{
	for (const struct member *m = form->members; m->name != NULL; m++) {
		if (strcmp(m->name, name) == 0) {
			return m;
		}
	}
	return NULL;
}

struct column form_column(const struct member *member)
{
	static const enum cell_type type[] = { [MEMBER_TEXT] = CELL_TEXT, [MEMBER_UUID] = CELL_TEXT,
		[MEMBER_INTEGER] = CELL_INTEGER, [MEMBER_REAL] = CELL_REAL, [MEMBER_FLAG] = CELL_FLAG,
		[MEMBER_DAY] = CELL_DAY, [MEMBER_INSTANT] = CELL_INSTANT, [MEMBER_WORD] = CELL_WORD };

	assert(member->type != MEMBER_OBJECT && member->type != MEMBER_LIST);
	return (struct column){ member->name, member->title, member->unit, type[member->type],
		member->words, member->longest > 200 ? 40 : 0 };
}
