/* A register with one line, two tracks and a person, for the tests of the services. */
#ifndef TESTS_SERVICE_RAILWAY_H
#define TESTS_SERVICE_RAILWAY_H

#include <string.h>

#include "base/day.h"
#include "derived/derived.h"
#include "derived/recompute.h"
#include "service/access/person.h"
#include "service/record/attachment.h"
#include "service/record/bond.h"
#include "service/record/inspection.h"
#include "service/record/line.h"
#include "service/record/rulebook.h"
#include "service/record/work.h"
#include "store/register.h"

struct railway {
	struct register_file file;
	struct store *store;
	struct view view;
	struct act act;
	int64_t person_id;
};

static inline int32_t railway_day(const char *text)
{
	int32_t day = 0;

	ck_assert_msg(day_read(text, strlen(text), &day), "%s is a day", text);
	return day;
}

static inline void railway_must(bool ok, const struct problems *why)
{
	ck_assert_msg(ok, "%s: %s", why->item[0].field, why->item[0].detail);
}

/* Begins an act on a day; its transaction is open. */
static inline void railway_begin(struct railway *r, const char *today)
{
	struct problems why = { 0 };
	struct problem one = { 0 };
	const struct origin origin = { .person_id = r->person_id,
		.now_ms = (int64_t)railway_day(today) * 86400000 };

	ck_assert(store_begin(r->store, &one));
	r->view = (struct view){ .store = r->store, .today = railway_day(today) };
	railway_must(act_begin(&r->act, &r->view, &origin, &why), &why);
}

/* Between the things of one act: what comes after sees what comes of it. */
static inline void railway_derive(struct railway *r)
{
	struct problems why = { 0 };

	railway_must(derived_bonds(&r->act, &why), &why);
}

static inline void railway_end(struct railway *r)
{
	struct problems why = { 0 };
	struct problem one = { 0 };

	railway_must(derived_end(&r->act, &why), &why);
	act_release(&r->act);
	view_release(&r->view);
	ck_assert_msg(store_commit(r->store, &one), "%s", one.detail);
}

static inline void railway_undo(struct railway *r)
{
	act_release(&r->act);
	view_release(&r->view);
	store_rollback(r->store);
}

/* Line VAL (km + m) with tracks Up and Down; a planner. */
static inline void railway_make(struct railway *r, const char *today)
{
	static const char *const tracks[] = { "Up", "Down" };
	const struct line_new line = { "VAL", "Vale line", NOTATION_KM_M, ELECTRIFICATION_AC };
	const struct person_new person = { "ada", "Ada Marsh", ROLE_PLANNER, 1 };
	struct problems why = { 0 };
	struct recorded recorded;

	memset(r, 0, sizeof *r);
	register_file_make(&r->file);
	r->store = register_open(&r->file, STORE_WRITE);
	railway_begin(r, today);
	railway_must(line_register(&r->act, &line, &recorded, &why), &why);
	for (size_t i = 0; i < 2; i++) {
		const struct track_new track = { "VAL", tracks[i], NULL, NULL };

		railway_must(track_register(&r->act, &track, &recorded, &why), &why);
	}
	railway_must(person_register(&r->act, &person, "", &recorded, &why), &why);
	r->person_id = recorded.id;
	railway_end(r);
}

static inline void railway_remove(struct railway *r)
{
	store_close(r->store);
	register_file_remove(&r->file);
}

/* A rail joint bond on the left rail of the Up track. */
static inline struct bond_new railway_bond(const char *label, const char *chainage)
{
	struct bond_new form;

	form_clear(&bond_form, &form);
	form.line = "VAL";
	form.label = label;
	form.kind = BOND_RAIL_JOINT;
	form.a.chainage = chainage;
	form.a.track = "Up";
	form.a.rail = RAIL_LEFT;
	form.installed_day = railway_day("2020-03-31");
	return form;
}

static inline int64_t railway_add_bond(struct railway *r, const char *label, const char *chainage)
{
	const struct bond_new form = railway_bond(label, chainage);
	struct problems why = { 0 };
	struct recorded recorded;

	railway_must(bond_register(&r->act, &form, &recorded, &why), &why);
	railway_derive(r);
	return recorded.id;
}

/* Follows the rulebook in force to the end, in pieces; how many there were, at most `most`. */
static inline int railway_follow(struct railway *r, const char *today, int most)
{
	struct recompute at = { 0 };
	struct problem why = { 0 };
	bool more = true;
	int pieces = 0;

	while (more && pieces < most) {
		railway_begin(r, today);
		ck_assert_msg(recompute_piece(&r->act, &at, &more, &why), "%s", why.detail);
		railway_end(r);
		pieces += more;
	}
	return pieces;
}

/* From a day on the railway takes rail joints as proved when they are seen, so that a visit without
 * readings counts: version 2. */
static inline void railway_seen_is_enough(struct railway *r, const char *today)
{
	struct rulebook_new form = { .rulebook = rulebook_default(), .reason = "Seen is enough here." };
	struct problems why = { 0 };
	struct recorded recorded;

	railway_begin(r, today);
	form.rulebook.from_day = railway_day(today);
	form.rulebook.proof[BOND_RAIL_JOINT] = PROOF_SEEN;
	railway_must(rulebook_adopt(&r->act, &form, &recorded, &why), &why);
	railway_end(r);
	railway_follow(r, today, 1000);
}

/* The id "00000000-0000-7000-8000-0000000000NN". */
static inline void railway_uuid(int n, char to[UUID_TEXT_SIZE])
{
	snprintf(to, UUID_TEXT_SIZE, "00000000-0000-7000-8000-%012d", n);
}

/* The meter M-1, calibrated from one day to another. */
static inline void railway_calibrate(struct railway *r, double percent, double uohm,
	const char *from, const char *until)
{
	struct instrument_new meter;
	struct problems why = { 0 };
	struct recorded recorded;

	form_clear(&instrument_form, &meter);
	meter.serial = "M-1";
	meter.name = "Microhmmeter";
	meter.uncertainty_percent = percent;
	meter.uncertainty_uohm = uohm;
	meter.calibrated_day = railway_day(from);
	meter.calibration_due_day = railway_day(until);
	railway_must(instrument_register(&r->act, &meter, &recorded, &why), &why);
}

/* By the meter M-1: contact A as given, B good; all seen good. */
static inline int64_t railway_measure_for(struct railway *r, enum purpose purpose, int n,
	int64_t bond_id, const char *day, double uohm)
{
	struct reading_new readings[2];
	struct inspection_new form;
	struct problems why = { 0 };
	struct recorded recorded;

	for (int i = 0; i < 2; i++) {
		form_clear(&reading_form, &readings[i]);
		readings[i].quantity = i == 0 ? QUANTITY_CONTACT_A : QUANTITY_CONTACT_B;
		readings[i].method = READING_FOUR_WIRE;
		readings[i].instrument = "M-1";
		readings[i].shown_uohm = i == 0 ? uohm : 40;
	}
	form_clear(&inspection_form, &form);
	railway_uuid(n, form.uuid);
	form.of.bond_id = bond_id;
	form.day = railway_day(day);
	form.purpose = (int)purpose;
	form.seen_a = form.seen_b = SEEN_GOOD;
	form.cables_whole = 1;
	form.readings = (struct form_list){ readings, 2 };
	railway_must(inspection_record(&r->act, &form, &recorded, &why), &why);
	return recorded.id;
}

static inline int64_t railway_measure(struct railway *r, int n, int64_t bond_id, const char *day,
	double uohm)
{
	return railway_measure_for(r, PURPOSE_ROUTINE, n, bond_id, day, uohm);
}

#endif
