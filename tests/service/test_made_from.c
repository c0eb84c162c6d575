/*
 * What is derived is made from what: each row of the table is changed once, as people do it. What
 * is derived then stands as a rebuild leaves it, and no more was made again than ten times what
 * came out otherwise. Every table of the register is in a row, or derived, or neither.
 */
#include "case.h"
#include "derived/made_from.h"
#include "rules/spot.h"
#include "service/importing.h"
#include "service/record/bridge.h"
#include "service/record/crew_round.h"
#include "service/record/found.h"
#include "service/record/kit_check.h"
#include "service/record/photo.h"
#include "service/record/rail.h"
#include "service/record/renewal.h"
#include "service/record/withdrawal.h"
#include "service/story.h"

#define TODAY "2024-03-20"
enum { BONDS = 20, ROWS_MOST = 400 };

/* What the changes below take back, or say anew. */
static char failure[UUID_TEXT_SIZE], visit[UUID_TEXT_SIZE];

static void one_import(struct story *s)
{
	struct importing i;
	static const char settings[] = "{'separator':'comma','encoding':'utf_8','decimal':'point',"
		"'day_order':'ymd','columns':[{'field':'line','constant':'VAL'},"
		"{'field':'bond','column':'bond'},"
		"{'field':'found_day','column':'day'},{'field':'mode','column':'mode'}]}";

	importing_settings(&i, settings);
	importing_expect(&s->r, &i, "failures", "bond,day,mode\nX20,2024-02-01,burnt\n", 1, 0, 0, 0);
	importing_release(&i);
}

static struct profile_new profile(double uohm_per_m)
{
	return (struct profile_new){ .code = "OWN 50", .mass_kg_m = 50, .area_cm2 = NAN,
		.uohm_per_m = uohm_per_m, .source = "measured" };
}

/* A rail joint against a metre of rail beside it: 900 / 600 m, of which 0.6 m is the joint. */
static void read_drop(struct story *s, int64_t bond)
{
	struct reading_new reading;
	struct inspection_new form;

	form_clear(&reading_form, &reading);
	reading.quantity = QUANTITY_RAIL_DROP;
	reading.method = READING_VOLTAGE_DROP;
	reading.forward_uv = 900;
	reading.rail_uv = 600;
	reading.rail_m = 1;
	reading.joint_m = 0.6;
	form_clear(&inspection_form, &form);
	story_uuid(s, form.uuid);
	form.of.bond_id = bond;
	form.day = railway_day("2023-03-01");
	form.seen_a = form.seen_b = SEEN_GOOD;
	form.cables_whole = 1;
	form.readings = (struct form_list){ &reading, 1 };
	story_begin(s, s->bo, "2023-03-01");
	railway_must(inspection_record(&s->r.act, &form, &s->recorded, &s->why), &s->why);
	story_end(s, true);
}

/* Each bond read once; every other one of another conductor, half of them on another rail. */
static void make(struct story *s)
{
	const struct kit_new kit = { "K-1", "Brazing kit" };
	const struct profile_new own = profile(40);
	const struct track_rail_new rail = { .line = "VAL", .track = "Up", .rail_profile = "OWN 50",
		.rail_between_joints_m = 18 };

	story_make(s);
	story_begin(s, s->ada, "2020-03-01");
	for (int i = 1; i <= BONDS; i++) {
		char label[16], at[16];
		struct bond_new form;

		snprintf(label, sizeof label, "X%d", i);
		snprintf(at, sizeof at, "%d+000", i);
		form = story_bond_form(label, at, "2020-03-01");
		form.kind = i > BONDS / 2 ? BOND_RAIL_JOINT : form.kind;
		form.b.track = i > BONDS / 2 ? "Up" : form.b.track;
		form.area_mm2 = i % 2 == 0 ? 95 : 50;
		railway_must(bond_register(&s->r.act, &form, &s->recorded, &s->why), &s->why);
		railway_derive(&s->r);
	}
	railway_must(kit_register(&s->r.act, &kit, &s->recorded, &s->why), &s->why);
	railway_must(profile_register(&s->r.act, &own, &s->recorded, &s->why), &s->why);
	railway_must(track_rail_put(&s->r.act, &rail, &s->recorded, &s->why), &s->why);
	story_end(s, true);
	for (int i = 1; i <= BONDS; i++) {
		if (i > BONDS / 2) {
			read_drop(s, i);
		} else {
			railway_must(story_visit(s, (struct story_visit){ s->bo, i, "2023-03-01", NULL, 500 }),
				&s->why);
		}
		memcpy(visit, s->uuid, sizeof visit);
	}
	for (int i = 0; i < 2; i++) {
		railway_must(story_fail(s, (struct story_failure){ s->bo, 1, i == 0 ? "2023-06-01" :
			"2023-08-01", NULL, FAILURE_DETACHED, NULL, NULL }), &s->why);
		memcpy(failure, s->uuid, sizeof failure);
	}
	for (int i = 0; i < 2; i++) {
		railway_must(story_visit(s, (struct story_visit){ s->bo, 2, i == 0 ? "2024-02-01" :
			"2024-03-10", NULL, i == 0 ? 820 : 602 }), &s->why);
	}
	one_import(s);
	railway_follow(&s->r, TODAY, 1000);
}

/* Begins an act; what is done in it ends it. */
static void end(struct story *s, bool ok)
{
	railway_must(ok, &s->why);
	story_end(s, ok);
}

static void inspected(struct story *s)
{
	railway_must(story_visit(s, (struct story_visit){ s->bo, 3, TODAY, NULL, 1200 }), &s->why);
}

static void failed(struct story *s)
{
	railway_must(story_fail(s, (struct story_failure){ s->bo, 1, TODAY, NULL, FAILURE_DETACHED,
		NULL, NULL }), &s->why);
}

static void repaired(struct story *s)
{
	railway_must(story_mend(s, (struct story_repair){ .by = s->bo, .today = TODAY,
		.failure = failure }), &s->why);
}

static void deferred(struct story *s)
{
	struct deferral_new form;

	form_clear(&deferral_form, &form);
	story_uuid(s, form.uuid);
	form.of.bond_id = 5;
	form.until_day = railway_day("2024-05-01");
	form.reason = "No possession before.";
	story_begin(s, s->ada, TODAY);
	end(s, deferral_record(&s->r.act, &form, &s->recorded, &s->why));
}

static void attached(struct story *s)
{
	railway_must(story_attach(s, (struct story_end){ .by = s->bo, .bond = 6, .today = TODAY,
		.end = END_A, .hammer = 0 }), &s->why);
}

static void ruled(struct story *s)
{
	struct ruling_new form = story_ruling(RULING_CLEARS_OVER, "Read with a dirty clip.");

	form.of.bond_id = 2;
	form.quantity = QUANTITY_END_TO_END;
	railway_must(story_rule(s, TODAY, form), &s->why);
}

static void renewed(struct story *s)
{
	struct renewal_new form;

	form_clear(&renewal_form, &form);
	story_uuid(s, form.uuid);
	form.line = "VAL";
	form.track = "Up";
	form.rails = RENEWED_LEFT;
	form.from = "7+900";
	form.to = "8+100";
	form.day = railway_day(TODAY);
	form.reason = "Worn.";
	story_begin(s, s->ada, TODAY);
	end(s, renewal_record(&s->r.act, &form, &s->recorded, &s->why));
}

static void withdraw(struct story *s, int64_t by, const struct withdrawal_new *form)
{
	struct withdrawal_new sent = *form;

	story_uuid(s, sent.uuid);
	sent.reason = "Of another bond.";
	story_begin(s, by, TODAY);
	end(s, withdrawal_record(&s->r.act, &sent, &s->recorded, &s->why));
}

static void withdrawn(struct story *s)
{
	struct withdrawal_new form;

	form_clear(&withdrawal_form, &form);
	form.entry = SENT_INSPECTION;
	memcpy(form.entry_id, visit, sizeof visit);
	withdraw(s, s->bo, &form);
}

static void import_withdrawn(struct story *s)
{
	struct withdrawal_new form;

	form_clear(&withdrawal_form, &form);
	form.entry = SENT_IMPORT;
	form.import_id = 1;
	withdraw(s, s->eva, &form);
}

static void kit_checked(struct story *s)
{
	struct kit_check check;

	form_clear(&kit_check_form, &check);
	story_uuid(s, check.uuid);
	check.kit = "K-1";
	check.checked_day = railway_day(TODAY);
	for (int i = 0; i < KIT_PARTS; i++) {
		check.part[i] = KIT_GOOD;
	}
	story_begin(s, s->bo, TODAY);
	end(s, kit_check_record(&s->r.act, &check, &s->recorded, &s->why));
}

static void photographed(struct story *s)
{
	struct photo_new form;

	form_clear(&photo_form, &form);
	story_uuid(s, form.uuid);
	form.bond_id = 1;
	form.taken_day = railway_day(TODAY);
	form.sha256 = form.small_sha256 =
		"e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855";
	form.large = form.small = (struct picture){ PICTURE_PNG, 16, 12 };
	form.bytes = 100;
	story_begin(s, s->bo, TODAY);
	end(s, photo_record(&s->r.act, &form, &s->recorded, &s->why));
}

static void round_made(struct story *s)
{
	static int64_t bonds[] = { 2, 1 };
	struct round_new form;

	form_clear(&round_form, &form);
	story_uuid(s, form.uuid);
	form.work = ROUND_INSPECT;
	form.crew = "Crew 1";
	form.shift_day = railway_day(TODAY);
	form.begins = "23:00";
	form.ends = "03:00";
	form.bonds = (struct form_list){ bonds, 2 };
	story_begin(s, s->ada, TODAY);
	end(s, round_record(&s->r.act, &form, &s->recorded, &s->why));
}

static void round_said(struct story *s)
{
	struct round_said form;

	form_clear(&round_step_form, &form);
	round_made(s);
	memcpy(form.round, s->uuid, sizeof form.round);
	story_uuid(s, form.uuid);
	form.step = ROUND_STEP_TAKEN;
	story_begin(s, s->bo, TODAY);
	end(s, round_say(&s->r.act, &form, &s->recorded, &s->why));
}

static void bridged(struct story *s)
{
	struct bridge_new form;

	form_clear(&bridge_form, &form);
	story_uuid(s, form.uuid);
	form.bond_id = 1;
	form.on_day = railway_day(TODAY);
	form.place = "rail to rail";
	story_begin(s, s->bo, TODAY);
	end(s, bridge_record(&s->r.act, &form, &s->recorded, &s->why));
}

static void bridge_off(struct story *s)
{
	struct bridge_off_new form;

	form_clear(&bridge_off_form, &form);
	bridged(s);
	memcpy(form.bridge, s->uuid, sizeof form.bridge);
	story_uuid(s, form.uuid);
	form.off_day = railway_day(TODAY);
	story_begin(s, s->bo, TODAY);
	end(s, bridge_off_record(&s->r.act, &form, &s->recorded, &s->why));
}

static void found(struct story *s)
{
	struct found_new form;

	form_clear(&found_form, &form);
	story_uuid(s, form.uuid);
	form.line = "VAL";
	form.place = "4 m past X1";
	form.kind = BOND_KIND_NOT_KNOWN;
	form.joins = "rail to mast";
	form.seen = "one end loose";
	form.found_day = railway_day(TODAY);
	story_begin(s, s->bo, TODAY);
	end(s, found_record(&s->r.act, &form, &s->recorded, &s->why));
}

static void found_answered(struct story *s)
{
	struct found_answer_new form;

	form_clear(&found_answer_form, &form);
	found(s);
	memcpy(form.found, s->uuid, sizeof form.found);
	story_uuid(s, form.uuid);
	form.bond_id = 1;
	story_begin(s, s->ada, TODAY);
	end(s, found_answer_record(&s->r.act, &form, &s->recorded, &s->why));
}

static void calibrated(struct story *s)
{
	story_begin(s, s->ada, TODAY);
	railway_calibrate(&s->r, 3, 5, "2023-01-01", "2025-01-01");
	story_end(s, true);
}

static void conductor_known(struct story *s)
{
	const struct conductor_new form = { .material = MATERIAL_COPPER, .conductor_class = 2,
		.area_mm2 = 95, .uohm_per_m = 150, .source = "measured" };

	story_begin(s, s->ada, TODAY);
	end(s, conductor_register(&s->r.act, &form, &s->recorded, &s->why));
}

static void profile_known(struct story *s)
{
	const struct profile_new form = profile(30);

	story_begin(s, s->ada, TODAY);
	end(s, profile_register(&s->r.act, &form, &s->recorded, &s->why));
}

static void bond_changed(struct story *s)
{
	struct bond_new form = story_bond_form("X4", "4+500", "2020-03-01");

	form.criticality = CRITICALITY_HIGH;
	story_begin(s, s->ada, TODAY);
	end(s, bond_change(&s->r.act, 4, &form, &s->why));
}

static void line_registered(struct story *s)
{
	const struct line_new form = { "NEW", "New line", NOTATION_KM_M, ELECTRIFICATION_AC };

	story_begin(s, s->ada, TODAY);
	end(s, line_register(&s->r.act, &form, &s->recorded, &s->why));
}

static void track_changed(struct story *s)
{
	const struct track_rail_new form = { .line = "VAL", .track = "Up",
		.rail_profile = "60E1", .rail_between_joints_m = 36, .reason = "Relaid." };

	story_begin(s, s->ada, TODAY);
	end(s, track_rail_put(&s->r.act, &form, &s->recorded, &s->why));
}

static void mapped(struct story *s)
{
	static struct stretch_new stretches[] = { { 0, 100, 40100, 0 } };
	const struct map_new form = { "VAL", NULL, { stretches, 1 } };

	story_begin(s, s->ada, TODAY);
	end(s, map_register(&s->r.act, &form, &s->recorded, &s->why));
}

static void marked(struct story *s)
{
	struct rail_mark_new form;

	form_clear(&rail_mark_form, &form);
	form.of.bond_id = 2;
	form.end = END_A;
	form.kind = MARK_WELD;
	form.offset_mm = 800;
	form.there = 1;
	story_begin(s, s->ada, TODAY);
	end(s, rail_mark_put(&s->r.act, &form, &s->recorded, &s->why));
}

static void rulebook_adopted(struct story *s)
{
	struct rulebook_new form = { .rulebook = rulebook_default(), .reason = "For the test." };

	form.rulebook.from_day = railway_day(TODAY);
	form.rulebook.interval_months[BOND_TRACK_CROSS][CRITICALITY_NORMAL] = 6;
	story_begin(s, s->eva, TODAY);
	end(s, rulebook_adopt(&s->r.act, &form, &s->recorded, &s->why));
}

static void zone_changed(struct story *s)
{
	const struct register_zone form = { .zone = "Asia/Tokyo", .reason = "It is there." };

	story_begin(s, s->ada, TODAY);
	end(s, register_set_zone(&s->r.act, &form, &s->recorded, &s->why));
}

static void (*const change[MADE_FROM_MOST])(struct story *s) = {
	[SENT_INSPECTION] = inspected, [SENT_FAILURE] = failed, [SENT_REPAIR] = repaired,
	[SENT_DEFERRAL] = deferred, [SENT_ATTACHMENT] = attached, [SENT_RULING] = ruled,
	[SENT_RENEWAL] = renewed, [SENT_WITHDRAWAL] = withdrawn, [SENT_IMPORT] = import_withdrawn,
	[SENT_KIT_CHECK] = kit_checked, [SENT_CALIBRATION] = calibrated,
	[SENT_CONDUCTOR] = conductor_known, [SENT_PROFILE] = profile_known,
	[SENT_BOND] = bond_changed, [SENT_LINE] = line_registered, [SENT_TRACK] = track_changed,
	[SENT_MAP] = mapped, [SENT_MARK] = marked,
	[SENT_ROUND] = round_made, [SENT_ROUND_STEP] = round_said, [SENT_BRIDGE] = bridged,
	[SENT_BRIDGE_OFF] = bridge_off, [SENT_PHOTO] = photographed, [SENT_FOUND] = found,
	[SENT_FOUND_ANSWER] = found_answered, [FROM_RULEBOOK] = rulebook_adopted,
	[FROM_ZONE] = zone_changed,
};

/* Each row of each derived table as a text. (Who computed it when is history, and not made again;
 * what many bonds are counted in follows from their states.) */
struct derived_rows {
	struct text row[ROWS_MOST];
	size_t n;
};

static void read_rows(struct story *s, struct derived_rows *to)
{
	static const char *const derived[] = { "SELECT 'state', * FROM bond_state",
		"SELECT 'reading', inspection_id, n, said, hex(figures) FROM reading_state",
		"SELECT 'place', * FROM repeat_place", "SELECT 'failure', * FROM failure_state",
		"SELECT 'cell', * FROM due_cell WHERE bonds <> 0",
		"SELECT 'visits', * FROM visit_count WHERE visits <> 0" };
	struct problem why = { 0 };

	memset(to, 0, sizeof *to);
	for (size_t i = 0; i < sizeof derived / sizeof derived[0]; i++) {
		sqlite3_stmt *row = sql_select(s->r.store, derived[i], NULL, 0, &why);

		while (sql_row(s->r.store, row, &why)) {
			struct text *text = &to->row[to->n++];

			ck_assert_uint_lt(to->n, ROWS_MOST);
			for (int c = 0; c < sqlite3_column_count(row); c++) {
				const char *cell = (const char *)sqlite3_column_text(row, c);

				text_addf(text, "%s|", cell != NULL ? cell : "-");
			}
		}
		ck_assert_msg(why.code == PROBLEM_NONE, "%s", why.detail);
	}
}

static void release_rows(struct derived_rows *rows)
{
	for (size_t i = 0; i < rows->n; i++) {
		text_release(&rows->row[i]);
	}
}

/* How many of these are not among those; the first of them is told. */
static size_t not_among(const struct derived_rows *these, const struct derived_rows *those,
	const char **first)
{
	size_t n = 0;

	for (size_t i = 0; i < these->n; i++) {
		size_t k = 0;

		while (k < those->n && strcmp(these->row[i].data, those->row[k].data) != 0) {
			k++;
		}
		if (k == those->n && n++ == 0) {
			*first = these->row[i].data;
		}
	}
	return n;
}

static void expect_as_rebuilt(struct story *s, int kind)
{
	static struct derived_rows kept, rebuilt;
	const char *first = "";

	read_rows(s, &kept);
	story_begin(s, s->ada, TODAY);
	railway_must(rebuild_all(&s->r.act, NULL, NULL, &s->why), &s->why);
	read_rows(s, &rebuilt);
	ck_assert_msg(not_among(&kept, &rebuilt, &first) == 0, "kind %d: kept %s", kind, first);
	ck_assert_msg(not_among(&rebuilt, &kept, &first) == 0, "kind %d: rebuilt %s", kind, first);
	railway_undo(&s->r);
	release_rows(&kept);
	release_rows(&rebuilt);
}

static int64_t count(struct story *s, const char *sql)
{
	struct problem why = { 0 };
	int64_t n = 0;

	ck_assert_msg(sql_integer(s->r.store, sql, NULL, 0, 0, &n, &why), "%s", why.detail);
	return n;
}

START_TEST(each_is_changed_once_and_all_that_is_made_from_it_is_made_again_and_little_else)
{
	static struct derived_rows before, after;

	for (int kind = 0; kind < MADE_FROM_MOST; kind++) {
		const struct made_from *row = &made_from[kind];
		const char *first = "";
		struct story s;
		size_t made, differ;

		ck_assert_msg((row->tables == NULL) == (change[kind] == NULL),
			"kind %d is changed by no test", kind);
		if (row->tables == NULL) {
			continue;
		}
		make(&s);
		expect_as_rebuilt(&s, kind);
		read_rows(&s, &before);
		change[kind](&s);
		made = s.r.act.n_derived +
			(size_t)count(&s, "SELECT count(*) FROM bond_state WHERE rulebook_version <= 0");
		railway_follow(&s.r, TODAY, 1000);
		expect_as_rebuilt(&s, kind);
		read_rows(&s, &after);
		differ = not_among(&after, &before, &first);
		/* (which bonds another day of an instant moves is not known before: all are made again) */
		ck_assert_msg(kind == FROM_ZONE ? made == BONDS : made <= 10 * differ,
			"kind %d: %zu made again, %zu differ", kind, made, differ);
		ck_assert_msg(differ > 0 || !(row->bonds || row->places || row->lines || row->is_followed ||
			(row->mark != NULL && kind != FROM_ZONE)), "kind %d: nothing came of it", kind);
		release_rows(&before);
		release_rows(&after);
		story_over(&s, TODAY);
	}
}
END_TEST

START_TEST(every_kind_of_entry_is_in_the_table)
{
	for (int kind = 0; kind < sent_noun_words.n; kind++) {
		ck_assert_msg(made_from[kind].tables != NULL, "%s is in no row",
			sent_noun_words.code[kind]);
	}
	ck_assert_int_le(sent_noun_words.n, FROM_RULEBOOK);
}
END_TEST

static bool is_among(const char *const *names, const char *name)
{
	for (; names != NULL && *names != NULL; names++) {
		if (strcmp(*names, name) == 0) {
			return true;
		}
	}
	return false;
}

START_TEST(every_table_of_the_register_is_a_source_or_derived_or_neither)
{
	static const char *const derived[] = { "bond_state", "reading_state", "repeat_place",
		"failure_state", "derived_mark", "due_cell", "visit_count", "verdict_former",
		"grade_former", "better_watch", "bond_coming", "correction_open", "correction_better",
		"line_word", NULL };
	/* people and their devices, how a file was read */
	static const char *const neither[] = { "schema_version", "person", "person_fact", "competence",
		"session_of_person", "second_factor", "recovery_code", "reset_code", "machine_token",
		"access_act", "import_mapping", NULL };
	struct problem why = { 0 };
	struct story s;
	sqlite3_stmt *row;

	story_make(&s);
	row = sql_select(s.r.store, "SELECT name FROM sqlite_schema WHERE type = 'table' "
		"AND name NOT LIKE 'sqlite_%'", NULL, 0, &why);
	while (sql_row(s.r.store, row, &why)) {
		const char *name = (const char *)sqlite3_column_text(row, 0);
		int in = is_among(derived, name) + is_among(neither, name);

		for (int kind = 0; kind < MADE_FROM_MOST; kind++) {
			in += is_among(made_from[kind].tables, name);
		}
		ck_assert_msg(in == 1, "table %s is in %d of them", name, in);
	}
	ck_assert_msg(why.code == PROBLEM_NONE, "%s", why.detail);
	story_over(&s, "2020-01-01");
}
END_TEST

int main(void)
{
	const TTest *const tests[] = {
		each_is_changed_once_and_all_that_is_made_from_it_is_made_again_and_little_else,
		every_kind_of_entry_is_in_the_table,
		every_table_of_the_register_is_a_source_or_derived_or_neither, NULL };

	return case_run("made_from", tests);
}
