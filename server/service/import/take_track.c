/* Tracks that a file says otherwise: the railway's own words for their rails. */
#include "service/import/take.h"
#include "service/record/line.h"
#include "service/record/refer.h"

static const char *or_null(const char *text)
{
	return text[0] != '\0' ? text : NULL;
}

static bool take(struct run *run, const struct track *kept, const struct track_new *said,
	const struct differences *all, const bool *taken, struct problems *wrong)
{
	struct track_new form = { NULL, kept->name, or_null(kept->left_label),
		or_null(kept->right_label) };
	char reason[IMPORT_REASON_SIZE];

	for (size_t i = 0; i < all->count; i++) {
		if (taken[i]) {
			differ_take(all->all[i].member, said, &form);
		}
	}
	import_reason(run, reason);
	if (!track_change(run->act, kept->id, &form, reason, wrong)) {
		return false;
	}
	run->result->changed++;
	return true;
}

static bool compare(struct run *run, const struct track *kept, const struct track_new *said,
	struct recorded *recorded, struct problems *wrong)
{
	static const char *const without[] = { "line", "name", NULL };
	const struct track_new known = { NULL, kept->name, or_null(kept->left_label),
		or_null(kept->right_label) };
	struct differences all = { 0 };
	bool taken[DIFFER_MOST], any = false;
	size_t rows[DIFFER_MOST];

	differ(&track_form, without, &known, said, "", SIZE_MAX, &all);
	for (size_t i = 0; i < all.count; i++) {
		rows[i] = run->csv.row;
	}
	if (!import_tell(run, said->name, &all, rows, taken, &any)) {
		return false;
	}
	if (all.count > 0 && !import_has_choice(run)) {
		return track_register(run->act, said, recorded, wrong);   /* says what is registered */
	}
	*recorded = (struct recorded){ .id = kept->id, .already = true };
	return !any || take(run, kept, said, &all, taken, wrong);
}

bool import_track(struct run *run, const struct track_new *form, struct recorded *recorded,
	struct problems *wrong)
{
	struct problems ignored = { 0 };
	struct problem trouble = { 0 };
	struct track kept;
	int64_t line_id = 0, id = 0;

	if (!refer_line(run->act, form->line, "line", &line_id, &ignored)) {
		return track_register(run->act, form, recorded, wrong);   /* says that there is none */
	}
	if (!store_track_find(run->act->store, line_id, form->name, &id, &trouble) ||
		(id != 0 && !store_track_get(run->act->store, id, &kept, &trouble))) {
		return act_refuse(wrong, &trouble, NULL);
	}
	return id == 0 ? track_register(run->act, form, recorded, wrong) :
		compare(run, &kept, form, recorded, wrong);
}
