/*
 * Slips made on the demo's newest readings, each entered as its author would: none makes a bond
 * look better. Half of them are of readings that are truly over, of which the demo has few: each is
 * drawn often. Counted apart is what cannot be caught: the rates of the trial by which the factors
 * were agreed stand beside.
 *
 * A tenth of the slips are tried, all with BONDBOOK_LONG in the environment.
 */
#include "base/day.h"
#include "case.h"
#include "demo.h"
#include "derived/judged.h"
#include "slip.h"
#include "store/kept/judgement.h"
#include "store/register.h"
#include "store/sql.h"

enum { SLIPPED = 1000, APART = 300, PIECE = 500 };

/* A reading that may slip: the newest of its quantity, alone in its visit, and evidence. */
struct candidate {
	int64_t bond_id, inspection_id;
	size_t n;
	enum bond_kind kind;
	enum quantity quantity;
	double value, limit, last;       /* last: of the same before; NAN: it is a first one */
	bool two_wire, over;
};

static struct register_file demo_file;     /* the demo's register, made once */
static int32_t today;

struct slips {
	struct store *store;
	struct view view;
	struct candidate *all;
	size_t n_all, room;
	size_t honest, honest_asked, signs, signs_asked;
};

/* What came of one entry. */
struct came {
	struct reading_state reading;
	struct bond_state bond;
};

/* A visit as it was sent, for a further entry of its author's in its place. */
struct entry {
	struct inspection_new form;
	struct reading_new readings[INSPECTION_READINGS];
	char opened[201];
	int64_t author_id;
};

static size_t slipped_wanted(size_t all)
{
	return getenv("BONDBOOK_LONG") != NULL ? all : all / 10;
}

static void begin(struct slips *s, struct act *act, int64_t person_id)
{
	struct origin origin = { .person_id = person_id, .now_ms = (int64_t)today * 86400000 };
	struct problems why = { 0 };
	struct problem one = { 0 };

	ck_assert(store_begin(s->store, &one));
	s->view = (struct view){ .store = s->store, .today = today };
	ck_assert_msg(act_begin(act, &s->view, &origin, &why), "%s", why.item[0].detail);
}

static bool same_attached(const struct judge_reading *a, const struct judge_reading *b)
{
	return a->values.quantity == b->values.quantity &&
		(a->values.quantity == QUANTITY_CONTACT_B || a->attached_a == b->attached_a) &&
		(a->values.quantity == QUANTITY_CONTACT_A || a->attached_b == b->attached_b);
}

static void count_asked(struct slips *s, const struct judge_reading *r)
{
	bool sign = (r->reading.remarks >> REMARK_SAME_SIGN & 1) != 0;

	s->honest += !sign;
	s->honest_asked += !sign && r->asked != 0;
	s->signs += sign;
	s->signs_asked += (r->asked >> ASKED_SAME_SIGN & 1) != 0;
}

static void consider(struct slips *s, const struct judging *j, const struct record *b, size_t i)
{
	const struct judge_reading *all = j->facts.readings, *r = &all[i];
	struct candidate c = { .bond_id = b->bond.id, .kind = b->bond.kind,
		.quantity = r->values.quantity, .value = r->value, .last = NAN,
		.inspection_id = j->records.reading_keys[b->reading + i].inspection_id,
		.n = (size_t)j->records.reading_keys[b->reading + i].n,
		.two_wire = r->values.method == READING_TWO_WIRE, .over = r->verdict == VERDICT_OVER };
	struct problem why = { 0 };
	bool alone = true;

	for (size_t k = 0; k < b->n_readings; k++) {
		if (k != i && all[k].values.quantity == r->values.quantity) {
			alone = alone && all[k].visit < r->visit;
			c.last = all[k].status == STATUS_EVIDENCE && same_attached(&all[k], r) ? all[k].value :
				c.last;
		}
	}
	c.limit = r->limits.limit;
	if (b->bond.status == BOND_IN_SERVICE && alone && r->status == STATUS_EVIDENCE) {
		ck_assert(s->n_all < s->room ||
			array_grow((void **)&s->all, s->n_all, sizeof *s->all, &why));
		s->all[s->n_all++] = c;
	}
}

static void read_candidates(struct slips *s)
{
	struct judging j = { 0 };
	struct problem why = { 0 };
	int64_t last = 0;
	struct act act;

	begin(s, &act, 0);
	ck_assert(store_bond_last(s->store, &last, &why));
	for (int64_t from = 1; from <= last; from += PIECE) {
		ck_assert_msg(judging_read(&s->view, &j, from, from + PIECE - 1, &why), "%s", why.detail);
		for (size_t i = 0; i < j.records.n_bonds; i++) {
			const struct record *b = &j.records.bonds[i];

			ck_assert_msg(judging_bond(&s->view, &j, i, &why), "%s", why.detail);
			for (size_t n = 0; n < b->n_readings; n++) {
				count_asked(s, &j.facts.readings[n]);
				consider(s, &j, b, n);
			}
		}
	}
	judging_release(&j);
	act_release(&act);
	view_release(&s->view);
	store_rollback(s->store);
}

static void read_readings(struct slips *s, int64_t inspection_id, struct entry *to)
{
	static const char sql[] = "SELECT quantity, method, forward_uv, reverse_uv, current_a, "
		"shown_uohm, lead_uohm, rail_uv, rail_m, joint_m, temp_c, probed, temp_carried, "
		"instrument_id FROM reading WHERE inspection_id = $1 ORDER BY n";
	struct problem why = { 0 };
	const struct value key = value_integer(inspection_id);
	sqlite3_stmt *row = sql_select(s->store, sql, &key, 1, &why);
	size_t n = 0;

	while (sql_row(s->store, row, &why)) {
		struct reading_new *r = &to->readings[n++];

		form_clear(&reading_form, r);
		r->quantity = column_word(row, 0);
		r->method = column_word(row, 1);
		r->forward_uv = column_real(row, 2);
		r->reverse_uv = column_real(row, 3);
		r->current_a = column_real(row, 4);
		r->shown_uohm = column_real(row, 5);
		r->lead_uohm = column_real(row, 6);
		r->rail_uv = column_real(row, 7);
		r->rail_m = column_real(row, 8);
		r->joint_m = column_real(row, 9);
		r->temp_c = column_real(row, 10);
		r->probed = column_word(row, 11);
		r->temp_carried = column_word(row, 12);
		r->instrument_id = sqlite3_column_int64(row, 13);
	}
	to->form.readings = (struct form_list){ to->readings, n };
}

/* What the visit's author would send to say it anew; in an act already. */
static void read_entry(struct slips *s, const struct candidate *c, struct entry *to)
{
	static const char sql[] = "SELECT uuid, day, purpose, outcome, seen_a, seen_b, cables_whole, "
		"strength_a, strength_b, opened, failed, recorded_by FROM inspection WHERE id = $1";
	struct problem why = { 0 };
	const struct value key = value_integer(c->inspection_id);
	sqlite3_stmt *row = sql_select(s->store, sql, &key, 1, &why);

	form_clear(&inspection_form, &to->form);
	ck_assert(sql_row(s->store, row, &why));
	column_text(row, 0, to->form.corrects, sizeof to->form.corrects);
	to->form.day = column_day(row, 1);
	to->form.purpose = column_word(row, 2);
	to->form.outcome = column_word(row, 3);
	to->form.seen_a = column_word(row, 4);
	to->form.seen_b = column_word(row, 5);
	to->form.cables_whole = column_word(row, 6) < 0 ? FORM_NO_INTEGER : column_word(row, 6);
	to->form.strength_a = column_word(row, 7);
	to->form.strength_b = column_word(row, 8);
	column_text(row, 9, to->opened, sizeof to->opened);
	to->form.opened = to->opened[0] == '\0' ? NULL : to->opened;
	to->form.failed = column_word(row, 10);
	to->author_id = sqlite3_column_int64(row, 11);
	sql_done(row);
	to->form.of.bond_id = c->bond_id;
	to->form.reason = "Written down wrongly.";
	snprintf(to->form.uuid, sizeof to->form.uuid, "00000000-0000-7000-8000-000000000001");
	read_readings(s, c->inspection_id, to);
	ck_assert_uint_lt(c->n, to->form.readings.count);
}

/* What the register makes of an entry, which is then undone. n: the reading that is looked at. */
static struct came came_of(struct slips *s, const struct candidate *c,
	const struct entry *entry, size_t n)
{
	struct came to = { .reading = { .status = STATUS_NONE } };
	const struct judging *j;
	struct problems why = { 0 };
	struct problem one = { 0 };
	struct recorded recorded;
	struct act act;

	begin(s, &act, entry->author_id);
	ck_assert_msg(inspection_record(&act, &entry->form, &recorded, &why), "%s: %s",
		why.item[0].field, why.item[0].detail);
	ck_assert(judging_for_answer(&s->view, c->bond_id, &j, &one));
	for (size_t i = 0; i < j->records.n_readings; i++) {
		if (j->records.reading_keys[i].inspection_id == recorded.id &&
			j->records.reading_keys[i].n == (int64_t)n) {
			judging_reading_state(&s->view, j, 0, i, &to.reading);
		}
	}
	ck_assert_msg(store_bond_state_get(s->store, c->bond_id, &to.bond, &one), "%s", one.detail);
	act_release(&act);
	view_release(&s->view);
	store_rollback(s->store);
	return to;
}

static struct came came_without(struct slips *s, const struct candidate *c,
	const struct entry *entry)
{
	struct entry without = *entry;
	struct reading_new *r = without.readings;
	size_t after = entry->form.readings.count - c->n - 1;

	memmove(r + c->n, r + c->n + 1, after * sizeof *r);
	without.form.readings = (struct form_list){ r, entry->form.readings.count - 1 };
	return came_of(s, c, &without, INSPECTION_READINGS);
}

static bool is_evidence(const struct came *o)
{
	return o->reading.status == STATUS_EVIDENCE;
}

static bool no_better(const struct came *a, const struct came *b)
{
	return !grade_worse(b->bond.grade.grade, a->bond.grade.grade) &&
		a->bond.due.due_day <= b->bond.due.due_day;
}

static bool is_contact(const struct candidate *c)
{
	return c->quantity == QUANTITY_CONTACT_A || c->quantity == QUANTITY_CONTACT_B;
}

/* A slip that is to be tried, on which readings. */
struct trial {
	const char *of;
	enum slip slip;
	bool first;                     /* nothing is there to compare it with */
	bool over;                      /* truly over */
	bool made_over;                 /* as if the truth were 1.05 to 2 times the limit */
	bool of_value;                  /* of the resistance, not of what it follows from */
	bool contact, joint, no_contact;   /* only of these */
	const char *agreed;
};

static bool fits(const struct candidate *c, const struct trial *t)
{
	bool of_leads = t->slip >= SLIP_LEADS_ZERO && t->slip <= SLIP_TWO_AS_FOUR;

	return isnan(c->last) == t->first && (!of_leads || c->two_wire) &&
		(!t->over || c->over) && (!t->made_over || !isnan(c->limit)) &&
		(!t->contact || is_contact(c)) && (!t->no_contact || !is_contact(c)) &&
		(!t->joint || (!is_contact(c) && c->kind == BOND_RAIL_JOINT));
}

/* A reading on which the slip can be made, with its visit as it should be and as it came; NULL:
 * there is none. */
static const struct candidate *draw(struct slips *s, const struct trial *t, struct random *r,
	struct entry *honest, struct entry *slipped)
{
	for (int tries = 0; tries < 200000; tries++) {
		const struct candidate *c = &s->all[random_int(r, 0, (int)s->n_all - 1)];
		struct reading_new *reading = &slipped->readings[c->n];

		if (!fits(c, t)) {
			continue;
		}
		read_entry(s, c, honest);
		if (t->made_over) {
			slip_scale(&honest->readings[c->n], c->value, c->limit * random_between(r, 1.05, 2));
		}
		*slipped = *honest;
		honest->form.readings.items = honest->readings;
		slipped->form.readings.items = slipped->readings;
		if (t->of_value ? slip_value(reading, c->value, t->slip, r) :
			slip_make(reading, t->slip, r)) {
			return c;
		}
	}
	return NULL;
}

static void tell(const struct candidate *c, enum slip slip, const struct entry *from,
	const struct entry *to, const struct came o[3])
{
	static const char *const what[] = { "without", "honest", "slipped" };
	const struct reading_new *a = &from->readings[c->n], *b = &to->readings[c->n];

	fprintf(stderr, "%s: bond %lld, inspection %lld, reading %zu, %s, was %g of %g\n",
		slip_names[slip], (long long)c->bond_id, (long long)c->inspection_id, c->n,
		quantity_words.code[c->quantity], c->value, c->limit);
	fprintf(stderr, "  honest  %g %g uV, %g A, shown %g, leads %g\n", a->forward_uv, a->reverse_uv,
		a->current_a, a->shown_uohm, a->lead_uohm);
	fprintf(stderr, "  slipped %g %g uV, %g A, shown %g, leads %g\n", b->forward_uv, b->reverse_uv,
		b->current_a, b->shown_uohm, b->lead_uohm);
	for (int i = 0; i < 3; i++) {
		fprintf(stderr, "  %-8s status %d asked %#x verdict %d r20 %g; grade %s due %d asked %lld\n",
			what[i], o[i].reading.status, o[i].reading.asked, o[i].reading.verdict,
			o[i].reading.r20_uohm, grade_words.code[o[i].bond.grade.grade],
			o[i].bond.due.due_day, (long long)o[i].bond.asked);
	}
}

/* What is promised: a slip that is seen makes nothing better than without the reading, and one that
 * is not seen makes nothing better than the truth. */
static bool holds(const struct came *without, const struct came *honest,
	const struct came *slipped)
{
	if (slipped->reading.status == STATUS_OPEN && slipped->bond.asked == 0) {
		return false;
	}
	return no_better(slipped, is_evidence(slipped) ? honest : without);
}

static void make(struct slips *s)
{
	memset(s, 0, sizeof *s);
	s->store = register_open(&demo_file, STORE_WRITE);
	read_candidates(s);
}

static void end(struct slips *s)
{
	free(s->all);
	store_close(s->store);
}

/* Tries a slip on one reading: whether what is promised holds. */
static bool try_slip(struct slips *s, const struct trial *t, struct random *r, bool *caught)
{
	struct entry honest, slipped;
	const struct candidate *c = draw(s, t, r, &honest, &slipped);

	ck_assert_msg(c != NULL, "there is a reading for %s", slip_names[t->slip]);
	struct came came[3] = { came_without(s, c, &honest), came_of(s, c, &honest, c->n),
		came_of(s, c, &slipped, c->n) };

	*caught = !is_evidence(&came[2]);
	if (holds(&came[0], &came[1], &came[2])) {
		return true;
	}
	if (!t->first && !t->made_over && t->slip < SLIPS) {
		tell(c, t->slip, &honest, &slipped, came);
	}
	return false;
}

/* (of the demo's readings that are over none is two-wire) */
static enum slip slip_of_over(size_t i)
{
	size_t slip = i % (SLIPS - (SLIP_FOUR_AS_TWO - SLIP_LEADS_ZERO));

	return slip < SLIP_LEADS_ZERO ? (enum slip)slip : SLIP_FOUR_AS_TWO;
}

START_TEST(no_slip_makes_a_bond_look_better)
{
	struct slips s;
	struct random r = random_stream(7, 1);
	size_t n = slipped_wanted(SLIPPED), better = 0, seen = 0, over = 0;

	make(&s);
	for (size_t i = 0; i < s.n_all; i++) {
		over += s.all[i].over && !isnan(s.all[i].last);
	}
	for (size_t i = 0; i < n; i++) {
		const struct trial trial = { .over = i % 2 == 1,
			.slip = i % 2 == 1 ? slip_of_over(i / 2) : (enum slip)(i / 2 % SLIPS) };
		bool caught;

		better += !try_slip(&s, &trial, &r, &caught);
		seen += caught;
	}
	printf("%zu slips, half of them of %zu that are over: %zu are asked or no evidence; %zu make a "
		"bond look better\n", n, over, seen, better);
	ck_assert_uint_gt(over, 5);
	ck_assert_uint_eq(better, 0);
	end(&s);
}
END_TEST

/* Shares of what is caught, beside those of the trial by which the factors were agreed. */
static const struct trial apart[] = {
	{ "a first contact", SLIP_POINT_UP, .first = true, .of_value = true, .contact = true,
		.agreed = "0 to 1 %" },
	{ "a first contact", SLIP_DIGIT_LOST, .first = true, .of_value = true, .contact = true,
		.agreed = "53 %" },
	{ "a first joint reading", SLIP_POINT_DOWN, .first = true, .of_value = true, .joint = true,
		.agreed = "0 to 1 %" },
	{ "a first joint reading", SLIP_DIGIT_LOST, .first = true, .of_value = true, .joint = true,
		.agreed = "2 %" },
	{ "one with a last", SLIP_DIGITS_SWAPPED, .of_value = true, .agreed = "about 40 %" },
	{ "one with a last", SLIP_OTHER_METER, .agreed = "none" },
	/* the tenth of a contact that is over may lie by its last, which nothing can tell from the
	   truth */
	{ "a contact that jumped over its limit", SLIP_POINT_DOWN, .of_value = true, .contact = true,
		.made_over = true, .agreed = "not tried" },
	{ "one that jumped over its limit, no contact", SLIP_POINT_DOWN, .of_value = true,
		.no_contact = true, .made_over = true, .agreed = "not tried" },
};

START_TEST(what_cannot_be_caught_is_counted_apart)
{
	struct slips s;
	struct random r = random_stream(7, 2);
	size_t n = slipped_wanted(APART);

	make(&s);
	for (size_t i = 0; i < sizeof apart / sizeof apart[0]; i++) {
		const struct trial *t = &apart[i];
		size_t seen = 0, better = 0;

		for (size_t k = 0; k < n; k++) {
			bool caught;
			bool holds = try_slip(&s, t, &r, &caught);

			ck_assert_msg(!caught || holds, "what is asked makes nothing better");
			seen += caught;
			better += !holds;
		}
		printf("%s of %s: %zu of %zu caught (agreed trial: %s), %zu make a bond look better\n",
			slip_names[t->slip], t->of, seen, n, t->agreed, better);
	}
	end(&s);
}
END_TEST

/* In 1,000 honest readings fewer than 5 are asked; each voltage that the demo has typed without its
 * sign is. */
START_TEST(an_honest_reading_is_hardly_ever_asked_and_each_sign_that_is_missing_is)
{
	struct slips s;

	make(&s);
	printf("%zu honest readings, %zu asked; %zu with a wrong sign, %zu asked\n", s.honest,
		s.honest_asked, s.signs, s.signs_asked);
	ck_assert_uint_gt(s.honest, 10000);
	ck_assert_uint_lt(1000 * s.honest_asked, 5 * s.honest);
	ck_assert_uint_gt(s.signs, 20);
	ck_assert_uint_eq(s.signs_asked, s.signs);
	end(&s);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { no_slip_makes_a_bond_look_better,
		what_cannot_be_caught_is_counted_apart,
		an_honest_reading_is_hardly_ever_asked_and_each_sign_that_is_missing_is, NULL };
	struct demo_options options = { .folder = demo_file.folder };
	int failed = EXIT_FAILURE;

	snprintf(demo_file.folder, sizeof demo_file.folder, "/tmp/bondbook-test-XXXXXX");
	if (mkdtemp(demo_file.folder) == NULL || !day_read("2026-03-31", 10, &today)) {
		return EXIT_FAILURE;
	}
	snprintf(demo_file.path, sizeof demo_file.path, "%s/register.db", demo_file.folder);
	options.today = today;
	if (demo_build(&options)) {
		failed = case_run("slips", tests);
	}
	register_file_remove(&demo_file);
	return failed;
}
