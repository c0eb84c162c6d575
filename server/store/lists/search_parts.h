/* What the files of the search share: for store/lists/search*.c alone. */
#ifndef STORE_LISTS_SEARCH_PARTS_H
#define STORE_LISTS_SEARCH_PARTS_H

#include "store/lists/search.h"

/* Each adds the bonds that are found by what begins so, as far as there are rows: by their label as
 * it is and in capitals, by the number of a mast or equipment, without regard to capitals. A bond
 * that is there already is not added again. */
bool search_add_label(struct store *store, const char *text, struct found_bond *to,
	size_t *count, struct problem *why);
bool search_add_structure(struct store *store, const char *text, struct found_bond *to,
	size_t *count, struct problem *why);

#endif
