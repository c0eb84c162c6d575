/*
 * What happens to cross bonds of the tests' railway, told step by step, each in an act of its own.
 *
 * 3 m of copper of class 2, 95 mm²: IEC 60228 has 193 µΩ/m, 579 µΩ for the conductor; by the first
 * rulebook, with two contacts of 10 µΩ and 30 %, the limit is (579 + 20) · 1.3 = 778.7 µΩ, watched
 * above 80 %, 623 µΩ. The meter has 1 % + 0.5 µΩ: U of 800 µΩ is 20, of 600 µΩ 16 at most. Every 12
 * months, mending 14 days after it was found.
 */
#ifndef TESTS_SERVICE_STORY_H
#define TESTS_SERVICE_STORY_H

#include <math.h>

#include "derived/judged.h"
#include "derived/rebuild.h"
#include "derived/recompute.h"
#include "service/access/register.h"
#include "service/railway.h"
#include "service/record/ruling.h"
#include "store/record/correction.h"
#include "store/record/known.h"

struct story {
	struct railway r;
	int64_t ada, bo, eva;           /* the planner, of the crew, the engineer */
	int uuids;
	char uuid[UUID_TEXT_SIZE];      /* of what was sent last */
	struct problems why;            /* of what was refused last */
	struct recorded recorded;
};

static inline void story_uuid(struct story *s, char to[UUID_TEXT_SIZE])
{
	railway_uuid(++s->uuids, to);
	memcpy(s->uuid, to, UUID_TEXT_SIZE);
}

static inline int64_t story_person(struct story *s, const char *login, const char *name,
	enum role role)
{
	const struct person_new person = { login, name, (int)role, 1 };

	railway_must(person_register(&s->r.act, &person, "", &s->recorded, &s->why), &s->why);
	return s->recorded.id;
}

/* A register that began in 2020; a meter that is in calibration until 2026. */
static inline void story_make(struct story *s)
{
	static int can[] = { READING_FOUR_WIRE };
	struct instrument_new meter = { "M-1", "Microhmmeter", railway_day("2020-01-01"),
		railway_day("2026-01-01"), 1, 0.5, -1, -1, { can, 1 } };

	struct problem one = { 0 };

	memset(s, 0, sizeof *s);
	railway_make(&s->r, "2020-01-01");
	s->ada = s->r.person_id;
	railway_begin(&s->r, "2020-01-01");
	railway_must(register_begin(&s->r.act, "Etc/UTC", DAY_NONE, &s->why), &s->why);
	ck_assert(store_known_changed(s->r.store, &one));
	s->bo = story_person(s, "bo", "Bo Finch", ROLE_CREW);
	s->eva = story_person(s, "eva", "Eva Reed", ROLE_MANAGER);
	railway_must(instrument_register(&s->r.act, &meter, &s->recorded, &s->why), &s->why);
	railway_end(&s->r);
}

/* Ends a step: kept, or undone where it was refused. */
static inline bool story_end(struct story *s, bool ok)
{
	if (ok) {
		railway_end(&s->r);
	} else {
		railway_undo(&s->r);
	}
	return ok;
}

static inline void story_begin(struct story *s, int64_t person_id, const char *today)
{
	s->r.person_id = person_id;
	s->why = (struct problems){ 0 };
	railway_begin(&s->r, today);
}

static inline struct bond_new story_bond_form(const char *label, const char *chainage,
	const char *installed)
{
	struct bond_new form = railway_bond(label, chainage);

	form.kind = BOND_TRACK_CROSS;
	form.b.track = "Down";
	form.b.rail = RAIL_LEFT;
	form.installed_day = railway_day(installed);
	form.material = MATERIAL_COPPER;
	form.conductor_class = 2;
	form.area_mm2 = 95;
	form.length_m = 3;
	form.cables = 1;
	return form;
}

static inline int64_t story_bond(struct story *s, const char *label, const char *chainage,
	const char *installed)
{
	const struct bond_new form = story_bond_form(label, chainage, installed);

	story_begin(s, s->ada, "2020-03-01");
	railway_must(bond_register(&s->r.act, &form, &s->recorded, &s->why), &s->why);
	story_end(s, true);
	return s->recorded.id;
}

/* A visit in which all was seen good, and read where uohm is a number. */
struct story_visit {
	int64_t by, bond;
	const char *today, *day;
	double uohm;
	enum purpose purpose;
	const char *at;                 /* "22:10": of the day; NULL */
	const char *corrects, *reason;
	enum outcome outcome;
};

static inline int64_t story_at(const char *day, const char *at)
{
	int hour, minute;

	if (at == NULL) {
		return FORM_NO_INTEGER;
	}
	ck_assert_int_eq(sscanf(at, "%d:%d", &hour, &minute), 2);
	return ((int64_t)railway_day(day) * 1440 + hour * 60 + minute) * 60000;
}

static inline bool story_visit(struct story *s, struct story_visit v)
{
	struct reading_new reading;
	struct inspection_new form;

	form_clear(&reading_form, &reading);
	reading.quantity = QUANTITY_END_TO_END;
	reading.method = READING_FOUR_WIRE;
	reading.shown_uohm = v.uohm;
	reading.temp_c = 20;
	reading.instrument = "M-1";
	form_clear(&inspection_form, &form);
	story_uuid(s, form.uuid);
	form.of.bond_id = v.bond;
	form.day = railway_day(v.day == NULL ? v.today : v.day);
	form.purpose = (int)v.purpose;
	form.outcome = (int)v.outcome;
	form.seen_a = form.seen_b = SEEN_GOOD;
	form.cables_whole = 1;
	form.at_ms = story_at(v.day == NULL ? v.today : v.day, v.at);
	form.reason = v.reason;
	snprintf(form.corrects, sizeof form.corrects, "%s", v.corrects == NULL ? "" : v.corrects);
	form.readings = (struct form_list){ &reading, v.uohm > 0 };
	story_begin(s, v.by, v.today);
	return story_end(s, inspection_record(&s->r.act, &form, &s->recorded, &s->why));
}

/* A bolted end; hammer 0: it failed the test. */
struct story_end {
	int64_t by, bond;
	const char *today, *day;
	enum bond_end end;
	int hammer;
	const char *at, *corrects, *reason;
};

static inline bool story_attach(struct story *s, struct story_end e)
{
	struct attachment_new form;

	form_clear(&attachment_form, &form);
	story_uuid(s, form.uuid);
	form.of.bond_id = e.bond;
	form.end = (int)e.end;
	form.made_day = railway_day(e.day == NULL ? e.today : e.day);
	form.method = ATTACH_BOLTED;
	form.hammer_passed = e.hammer;
	form.at_ms = story_at(e.day == NULL ? e.today : e.day, e.at);
	form.reason = e.reason;
	snprintf(form.corrects, sizeof form.corrects, "%s", e.corrects == NULL ? "" : e.corrects);
	story_begin(s, e.by, e.today);
	return story_end(s, attachment_record(&s->r.act, &form, &s->recorded, &s->why));
}

/* Of the bond as a whole. */
struct story_failure {
	int64_t by, bond;
	const char *today, *day;
	enum failure_mode mode;
	const char *corrects, *reason;
};

static inline bool story_fail(struct story *s, struct story_failure f)
{
	struct failure_new form;

	form_clear(&failure_form, &form);
	story_uuid(s, form.uuid);
	form.of.bond_id = f.bond;
	form.found_day = railway_day(f.day == NULL ? f.today : f.day);
	form.mode = (int)f.mode;
	form.reason = f.reason;
	snprintf(form.corrects, sizeof form.corrects, "%s", f.corrects == NULL ? "" : f.corrects);
	story_begin(s, f.by, f.today);
	return story_end(s, failure_record(&s->r.act, &form, 0, &s->recorded, &s->why));
}

struct story_repair {
	int64_t by;
	const char *today, *day, *failure, *corrects, *reason;
};

static inline bool story_mend(struct story *s, struct story_repair m)
{
	struct repair_new form;

	form_clear(&repair_form, &form);
	story_uuid(s, form.uuid);
	snprintf(form.failure, sizeof form.failure, "%s", m.failure);
	form.day = railway_day(m.day == NULL ? m.today : m.day);
	form.how = "A new cable.";
	form.reason = m.reason;
	snprintf(form.corrects, sizeof form.corrects, "%s", m.corrects == NULL ? "" : m.corrects);
	story_begin(s, m.by, m.today);
	return story_end(s, repair_record(&s->r.act, &form, &s->recorded, &s->why));
}

static inline struct bond_state story_state(struct story *s, int64_t bond)
{
	struct bond_state is;
	struct problem why = { 0 };

	ck_assert_msg(store_bond_state_get(s->r.store, bond, &is, &why), "%s", why.detail);
	return is;
}

/* The grade, and what is due first. */
static inline void story_is_at(int line, struct story *s, int64_t bond, enum grade grade,
	unsigned reasons, enum due_basis basis, const char *due_day)
{
	struct bond_state is = story_state(s, bond);
	char day[DAY_TEXT_SIZE], words[GRADE_REASONS_SIZE];

	day_write(is.due.due_day, day);
	grade_sentence(is.grade.reasons, words, sizeof words);
	ck_assert_msg(is.grade.grade == grade && is.grade.reasons == reasons, "line %d: %s: %s", line,
		grade_words.code[is.grade.grade], words);
	ck_assert_msg(is.due.basis == basis && strcmp(day, due_day) == 0, "line %d: %s %s", line,
		due_basis_words.code[is.due.basis], day);
}
#define BECAUSE(reason) (1u << REASON_##reason)
#define STORY_IS(s, bond, grade, reasons, basis, day) \
	story_is_at(__LINE__, (s), (bond), GRADE_##grade, (reasons), DUE_##basis, (day))

static inline bool story_rule(struct story *s, const char *today, struct ruling_new form)
{
	story_uuid(s, form.uuid);
	story_begin(s, s->eva, today);
	return story_end(s, ruling_record(&s->r.act, &form, &s->recorded, &s->why));
}

static inline struct ruling_new story_ruling(enum ruling_kind kind, const char *reason)
{
	struct ruling_new form;

	form_clear(&ruling_form, &form);
	form.kind = (int)kind;
	form.reason = reason;
	return form;
}

static inline void story_confirm(struct story *s, const char *today, enum sent_noun noun,
	const char *uuid)
{
	struct ruling_new form = story_ruling(RULING_CONFIRMS, "Seen the sheet.");

	form.entry = (int)noun;
	memcpy(form.entry_id, uuid, sizeof form.entry_id);
	railway_must(story_rule(s, today, form), &s->why);
}

/* What is kept is what the rules give; the end of the story. */
static inline void story_content(struct story *s, const char *today)
{
	static struct check_result result;

	story_begin(s, s->ada, today);
	railway_must(check_all(&s->r.act, &result, &s->why), &s->why);
	ck_assert_msg(result.differences == 0, "%s", result.shown[0]);
	story_end(s, true);
}

static inline void story_over(struct story *s, const char *today)
{
	story_content(s, today);
	railway_remove(&s->r);
}

#endif
