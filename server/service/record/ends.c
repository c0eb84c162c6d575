#include "service/record/ends.h"

#include "service/record/refer.h"
#include "store/record/end_words.h"

bool ends_of_bond(struct store *store, const struct bond *bond, struct end_words *to,
	struct problem *why)
{
	char chainage[2][CHAINAGE_SIZE];

	for (int end = END_A; end <= END_B; end++) {
		if (!store_chainage(store, bond->line_id, bond->end[end].track_id,
			bond->end[end].distance_mm, chainage[end], why)) {
			return false;
		}
	}
	return store_end_words(store, bond->id, bond->version, bond->kind, chainage[END_A],
		chainage[END_B], to, why);
}
