/*
 * Labels and numbers of masts, however they are parted: "SB 40/08" is typed "sb40/08", "SB 40 08".
 * What is typed is taken apart into words and figures, and put together again in each way that
 * numbers are written; each is one look into an index.
 */
#include <ctype.h>
#include <string.h>

#include "base/text.h"
#include "store/lists/search.h"
#include "store/lists/search_parts.h"

enum { TOKENS_MOST = 4, WAYS = 5 };
static const char *const parted_by[WAYS] = { "", " ", "/", "-", "." };

struct tokens {
	size_t count;
	struct { const char *at; size_t len; } token[TOKENS_MOST];
};

static int kind_of(char c)
{
	unsigned char byte = (unsigned char)c;

	return isdigit(byte) ? 1 : isalpha(byte) || byte >= 0x80 ? 2 : 0;
}

/* False: there is no figure in it, or it has too many parts. */
static bool take_apart(const char *text, struct tokens *to)
{
	bool has_figure = false;

	while (*text != '\0') {
		int kind = kind_of(*text);
		const char *from = text;

		while (*text != '\0' && kind_of(*text) == kind) {
			text++;
		}
		if (kind == 0) {
			continue;
		}
		if (to->count == TOKENS_MOST) {
			return false;
		}
		has_figure = has_figure || kind == 1;
		to->token[to->count].at = from;
		to->token[to->count++].len = (size_t)(text - from);
	}
	return has_figure;
}

/* The way-th of all ways to part them. */
static void put_together(const struct tokens *t, const char *before, unsigned way, struct text *to)
{
	text_clear(to);
	text_add_z(to, before);
	for (size_t i = 0; i < t->count; i++) {
		if (i > 0) {
			text_add_z(to, parted_by[way % WAYS]);
			way /= WAYS;
		}
		text_add(to, t->token[i].at, t->token[i].len);
	}
}

typedef bool look(struct store *store, const char *text, struct found_bond *to, size_t *count,
	struct problem *why);

static bool look_for(struct store *store, const struct tokens *t, const char *before, look *find,
	struct found_bond *to, size_t *count, struct problem *why)
{
	struct text text = { 0 };
	unsigned ways = 1;
	bool ok = true;

	for (size_t i = 1; i < t->count; i++) {
		ways *= WAYS;
	}
	for (unsigned way = 0; ok && way < ways && *count < SEARCH_ROWS; way++) {
		put_together(t, before, way, &text);
		ok = text.failed || text.len >= SEARCH_TEXT_SIZE || find(store, text.data, to, count, why);
	}
	text_release(&text);
	return ok;
}

bool store_search_numbers(struct store *store, const char *text, struct found_bond *to,
	size_t *count, struct problem *why)
{
	struct tokens t = { 0 };

	*count = 0;
	if (!take_apart(text, &t)) {
		return true;
	}
	if ((t.count > 1 && !look_for(store, &t, "", search_add_label, to, count, why)) ||
		!look_for(store, &t, "", search_add_structure, to, count, why)) {
		return false;
	}
	if (kind_of(t.token[0].at[0]) == 1) {
		return t.count == 1 || look_for(store, &t, "mast ", search_add_structure, to, count, why);
	}
	/* (its number may stand there without the word) */
	t.count--;
	memmove(t.token, t.token + 1, t.count * sizeof t.token[0]);
	return t.count < 2 || look_for(store, &t, "", search_add_structure, to, count, why);
}
