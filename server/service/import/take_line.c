/* Lines that a file says otherwise. */
#include "service/import/take.h"
#include "service/record/line.h"

/* By the rules of a change by hand. */
static bool take(struct run *run, const struct line *kept, const struct line_new *said,
	const struct differences *all, const bool *taken, struct problems *wrong)
{
	struct line_new form = { .code = kept->code, .name = kept->name,
		.notation = (int)kept->notation, .electrification = (int)kept->electrification };
	char reason[IMPORT_REASON_SIZE];

	for (size_t i = 0; i < all->count; i++) {
		if (taken[i]) {
			differ_take(all->all[i].member, said, &form);
		}
	}
	import_reason(run, reason);
	if (!line_change(run->act, kept->id, &form, reason, wrong)) {
		return false;
	}
	run->result->changed++;
	return true;
}

static bool compare(struct run *run, const struct line *kept, const struct line_new *said,
	struct recorded *recorded, struct problems *wrong)
{
	static const char *const without[] = { "code", NULL };
	const struct line_new known = { .code = kept->code, .name = kept->name,
		.notation = (int)kept->notation, .electrification = (int)kept->electrification };
	struct differences all = { 0 };
	bool taken[DIFFER_MOST], any = false;
	size_t rows[DIFFER_MOST];

	differ(&line_form, without, &known, said, "", SIZE_MAX, &all);
	for (size_t i = 0; i < all.count; i++) {
		rows[i] = run->csv.row;
	}
	if (!import_tell(run, said->code, &all, rows, taken, &any)) {
		return false;
	}
	if (all.count > 0 && !import_has_choice(run)) {
		return line_register(run->act, said, recorded, wrong);   /* says what is registered */
	}
	*recorded = (struct recorded){ .id = kept->id, .already = true };
	return !any || take(run, kept, said, &all, taken, wrong);
}

bool import_line(struct run *run, const struct line_new *form, struct recorded *recorded,
	struct problems *wrong)
{
	struct line kept;
	struct problem trouble = { 0 };
	int64_t id = 0;

	if (!store_line_find(run->act->store, form->code, &id, &trouble) ||
		(id != 0 && !store_line_get(run->act->store, id, &kept, &trouble))) {
		return act_refuse(wrong, &trouble, NULL);
	}
	return id == 0 ? line_register(run->act, form, recorded, wrong) :
		compare(run, &kept, form, recorded, wrong);
}
