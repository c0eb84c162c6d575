#include "service/record/renewal.h"

#include <stdlib.h>

#include "derived/made_from.h"
#include "service/record/sent.h"
#include "store/record/renewal.h"

#define OF(field) offsetof(struct renewal_new, field)

static const struct member members[] = {
	{ .name = "line", .title = "Line", .type = MEMBER_TEXT, .required = true, .offset = OF(line),
	  .longest = 60, .help = "The line's code." },
	{ .name = "track", .title = "Track", .type = MEMBER_TEXT, .required = true,
	  .offset = OF(track), .longest = 60 },
	{ .name = "rails", .title = "Rails", .type = MEMBER_WORD, .required = true,
	  .offset = OF(rails), .words = &renewed_rails_words,
	  .help = "Seen in the direction of rising chainage." },
	{ .name = "from", .title = "From", .type = MEMBER_TEXT, .required = true, .offset = OF(from),
	  .longest = 60, .help = "A chainage in the line's notation; counted in." },
	{ .name = "to", .title = "To", .type = MEMBER_TEXT, .required = true, .offset = OF(to),
	  .longest = 60, .help = "A chainage in the line's notation; counted in." },
	{ .name = "day", .title = "Day", .type = MEMBER_DAY, .required = true, .offset = OF(day),
	  .help = "What was made from that day on is on the new rail." },
	{ .name = "person", .title = "Done by", .type = MEMBER_TEXT, .offset = OF(person),
	  .longest = 120 },
	{ .name = "reason", .title = "Reason", .type = MEMBER_TEXT, .required = true,
	  .offset = OF(reason), .longest = 500 },
	{ .name = "note", .title = "Note", .type = MEMBER_TEXT, .offset = OF(note), .longest = 2000 },
	{ .name = "withdrawn", .title = "Withdrawn", .type = MEMBER_FLAG, .offset = OF(withdrawn),
	  .help = "Yes: the renewal that this one corrects never was." },
	{ .name = "corrects", .title = "Corrects", .type = MEMBER_UUID, .offset = OF(corrects),
	  .help = "The id of the renewal that this one replaces." },
	{ 0 }
};
const struct form renewal_form = { "Renewal", members, sizeof (struct renewal_new) };

static bool check(struct act *act, const struct renewal_new *form, struct problems *why)
{
	bool ok = true;

	if (form->day > act->view->today) {
		ok = problems_add(why, PROBLEM_VALUE, "day", "A renewal is recorded when it is done: this "
			"day is after today.");
	}
	if (form->withdrawn == 1 && form->corrects[0] == '\0') {
		ok = problems_add(why, PROBLEM_VALUE, "withdrawn",
			"Name the renewal that is withdrawn in \"corrects\".");
	}
	return ok;
}

static bool read_place(struct act *act, const struct renewal_new *form, struct renewal *r,
	struct problems *why)
{
	int64_t from_mm = 0, to_mm = 0;
	bool ok;

	if (!refer_line(act, form->line, "line", &r->line_id, why) ||
		!refer_track(act, r->line_id, form->track, "track", &r->track_id, why)) {
		return false;
	}
	ok = refer_place(act, r->line_id, r->track_id, form->from, "from", &from_mm, why);
	ok = refer_place(act, r->line_id, r->track_id, form->to, "to", &to_mm, why) && ok;
	r->from_mm = from_mm < to_mm ? from_mm : to_mm;
	r->to_mm = from_mm < to_mm ? to_mm : from_mm;
	r->from_written = from_mm < to_mm ? form->from : form->to;
	r->to_written = from_mm < to_mm ? form->to : form->from;
	return ok;
}

/* The bonds whose ends a renewal took off. */
static bool touch_bonds(struct act *act, int64_t renewal_id, struct problem *trouble)
{
	int64_t *ids;
	size_t count;
	bool ok = store_renewal_bonds(act->store, renewal_id, &ids, &count, trouble);

	for (size_t i = 0; ok && i < count; i++) {
		ok = changed_of_bond(act, SENT_RENEWAL, ids[i], trouble);
	}
	free(ids);
	return ok;
}

bool renewal_record(struct act *act, const struct renewal_new *form, struct recorded *recorded,
	struct problems *why)
{
	char hash[SENT_HASH_SIZE];
	struct renewal r = { .uuid = form->uuid, .content_hash = hash,
		.rails = (enum renewed_rails)form->rails, .day = form->day, .person_name = form->person,
		.reason = form->reason, .note = form->note, .withdrawn = form->withdrawn == 1 };
	struct problem trouble = { 0 };
	bool ok = sent_hash(&renewal_form, form, hash, why) &&
		sent_before(act, SENT_RENEWAL, form->uuid, hash, recorded, why);

	if (!ok || recorded->already) {
		return ok;
	}
	if (!check(act, form, why) || !read_place(act, form, &r, why) ||
		!sent_corrects(act, SENT_RENEWAL, form->corrects, &r.replaces_id, why)) {
		return false;
	}
	if (!store_renewal_insert(act->store, &r, &act->origin, &trouble) ||
		!store_renewal_take_off(act->store, r.id, 0, &act->origin, &trouble) ||
		!touch_bonds(act, r.id, &trouble) ||
		(r.replaces_id != 0 && !touch_bonds(act, r.replaces_id, &trouble))) {
		return act_refuse(why, &trouble, NULL);
	}
	recorded->id = r.id;
	return true;
}
