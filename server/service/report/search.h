/* Finding things by what a person types into the one search box. */
#ifndef SERVICE_REPORT_SEARCH_H
#define SERVICE_REPORT_SEARCH_H

#include "derived/view.h"
#include "rules/place/chainage.h"
#include "store/lists/search.h"

enum found_kind { FOUND_BOND, FOUND_PLACE, FOUND_LINE, FOUND_PERSON, FOUND_INSTRUMENT };
enum { FOUND_KINDS = FOUND_INSTRUMENT + 1 };

extern const struct words found_words;

/* One row: what it is, what to know of it, and the page that it leads to ("": none). */
struct found_row {
	char title[SEARCH_TEXT_SIZE + CHAINAGE_TEXT_SIZE + 64];
	char detail[PROBLEM_DETAIL_SIZE];
	char href[64];
};

struct found_group {
	size_t count;
	struct found_row row[SEARCH_ROWS];
};

struct found {
	struct found_group group[FOUND_KINDS];
};

/*
 * Looks everywhere at once:
 * - labels of bonds, codes and names of lines, serial numbers and names of instruments, and (when
 *   people may be shown) names of people, by their beginnings;
 * - a line's code, or its beginning, with a chainage in that line's notation after it ("VAL
 *   12+345"): the place, and the nearest bonds on either side with their distances. A chainage
 *   that exists several times is one place each, with its qualifier; one that does not exist says
 *   so, and gives both sides of the gap; after a whole code, a figure that is no chainage says why.
 *
 * text is trimmed and not empty. False: *why (too long, or the store's).
 */
bool search_find(const struct view *view, const char *text, bool people, struct found *to,
	struct problem *why);

#endif
