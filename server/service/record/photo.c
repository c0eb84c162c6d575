#include "service/record/photo.h"

#include "rules/plausible.h"
#include "service/record/crew_round.h"
#include "service/record/doer.h"
#include "service/record/record_sent.h"
#include "service/record/refer.h"
#include "service/record/sent.h"
#include "store/record/bond.h"

/* A small one is what lists of pictures show. */
enum { SMALL_SIDE_MOST = 400, SMALL_BYTES_MOST = 128 << 10 };

static bool look_at(const char *register_path, const char *field, const char *sha256,
	struct picture *to, int64_t *bytes, struct problems *why)
{
	struct text file = { 0 };
	struct problem one = { 0 };
	bool ok;

	if (!photo_hash_is(sha256)) {
		return problems_add(why, PROBLEM_VALUE, field,
			"A SHA-256 is written as 64 hexadecimal digits, in lower case.");
	}
	photo_file_touch(register_path, sha256);
	if (photo_file_size(register_path, sha256) < 0) {
		return problems_add(why, PROBLEM_CONFLICT, field, "The picture with that SHA-256 has not "
			"come, or not whole: send its file first.");
	}
	ok = (photo_file_read(register_path, sha256, &file, &one) &&
		picture_read(file.data, file.len, to, &one)) || problems_take(why, &one);
	*bytes = (int64_t)file.len;
	text_release(&file);
	return ok;
}

bool photo_look(const char *register_path, struct photo_new *form, struct problems *why)
{
	int64_t small = 0;
	bool ok = look_at(register_path, "sha256", form->sha256, &form->large, &form->bytes, why);

	ok = look_at(register_path, "small_sha256", form->small_sha256, &form->small, &small, why) &&
		ok;
	if (ok && (form->small.width > SMALL_SIDE_MOST || form->small.height > SMALL_SIDE_MOST ||
		small > SMALL_BYTES_MOST)) {
		ok = problems_add(why, PROBLEM_RULE, "small_sha256", "The small picture has %d x %d pixels "
			"in %lld bytes: at most %d on a side and %d bytes are small.", form->small.width,
			form->small.height, (long long)small, SMALL_SIDE_MOST, SMALL_BYTES_MOST);
	}
	return ok;
}

static bool may_have_photos(int entry)
{
	return entry == SENT_INSPECTION || entry == SENT_FAILURE || entry == SENT_REPAIR ||
		entry == SENT_ATTACHMENT || entry == SENT_ROUND_STEP || entry == SENT_BRIDGE ||
		entry == SENT_BRIDGE_OFF;
}

/* *bond_id: of the entry, 0 when it has none or none is named. */
static bool find_entry(struct act *act, const struct photo_new *form, int64_t *bond_id,
	struct problems *why)
{
	struct sent sent = { 0 };
	struct problem trouble = { 0 };

	*bond_id = 0;
	if ((form->entry < 0) != (form->entry_id[0] == '\0')) {
		return problems_add(why, PROBLEM_VALUE, form->entry < 0 ? "entry" : "entry_id",
			"An entry is named by its kind and its id, both.");
	}
	if (form->entry < 0) {
		return true;
	}
	if (!may_have_photos(form->entry)) {
		return problems_add(why, PROBLEM_VALUE, "entry", "A photo is of an inspection, failure, "
			"repair, attachment, temporary bridge or a word on a round, not of that.");
	}
	if (!store_sent_find(act->store, (enum sent_noun)form->entry, form->entry_id, &sent,
		&trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	*bond_id = sent.bond_id;
	return sent.id != 0 || problems_add(why, PROBLEM_VALUE, "entry_id",
		"No entry of that kind is kept under the id %s.", form->entry_id);
}

static bool find_bond(struct act *act, const struct photo_new *form, int64_t of_entry,
	struct record_row *row, struct problems *why)
{
	struct bond bond;
	struct problem trouble = { 0 };

	row->bond_id = form->bond_id != FORM_NO_INTEGER ? form->bond_id : of_entry;
	if (of_entry != 0 && row->bond_id != of_entry) {
		return problems_add(why, PROBLEM_RULE, "bond_id",
			"That entry is of bond %lld: name that one, or none.", (long long)of_entry);
	}
	return form->bond_id == FORM_NO_INTEGER ||
		store_bond_fact(act->store, form->bond_id, &bond, &trouble) ||
		act_refuse(why, &trouble, "bond_id");
}

static bool find_place(struct act *act, const struct photo_new *form, struct record_row *row,
	struct problems *why)
{
	int64_t line_id, distance_mm;

	if (form->line == NULL || form->chainage == NULL) {
		return problems_add(why, PROBLEM_VALUE, "bond_id", "Say what the photo is of: a bond, an "
			"entry, or a place by its line and chainage.");
	}
	if (form->end >= 0) {
		return problems_add(why, PROBLEM_VALUE, "end", "A place has no end: name the bond.");
	}
	if (!refer_line(act, form->line, "line", &line_id, why) ||
		!refer_place(act, line_id, 0, form->chainage, "chainage", &distance_mm, why)) {
		return false;
	}
	record_row_integer(row, "line_id", line_id);
	record_row_integer(row, "distance_mm", distance_mm);
	return true;
}

static bool find_what(struct act *act, const struct photo_new *form, struct record_row *row,
	struct problems *why)
{
	int64_t of_entry;

	if (!find_entry(act, form, &of_entry, why) || !find_bond(act, form, of_entry, row, why)) {
		return false;
	}
	if (row->bond_id == 0) {
		return find_place(act, form, row, why);
	}
	return (form->line == NULL && form->chainage == NULL) || problems_add(why, PROBLEM_VALUE,
		"chainage", "The bond says where it is: name the bond or a place, not both.");
}

static bool check_photo(struct act *act, const void *sent, struct record_row *row,
	struct problems *why)
{
	const struct photo_new *form = sent;
	const char *name = NULL;
	int64_t round_id, person_id;
	size_t before = why->count;

	find_what(act, form, row, why);
	plausible_photo(form->taken_day, act->view->today, sent_from(act, form->sent_from), why);
	sent_at_of_shift(form->at_ms, form->taken_day, why);
	round_find(act, form->round, &round_id, why);
	doer_read(act, form->taken_by, &person_id, &name, why);
	if (why->count > before) {
		return false;
	}
	if (round_id != 0) {
		record_row_integer(row, "round_id", round_id);
	}
	record_row_integer(row, "type", form->large.type);
	record_row_integer(row, "small_type", form->small.type);
	record_row_integer(row, "width", form->large.width);
	record_row_integer(row, "height", form->large.height);
	record_row_integer(row, "bytes", form->bytes);
	record_row_doer(row, person_id, name);
	return true;
}

bool photo_record(struct act *act, const struct photo_new *form, struct recorded *recorded,
	struct problems *why)
{
	return record_sent(act, &photo_kind, form, check_photo, recorded, why);
}
