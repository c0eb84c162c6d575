/*
 * Any settings and any file through the importer, into a register in memory that is rolled back:
 * the first line names the kind, the second has the settings as JSON, the rest is the file.
 */
#include <assert.h>
#include <sodium.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/log.h"
#include "base/utf8.h"
#include "derived/derived.h"
#include "service/access/person.h"
#include "service/import/import.h"
#include "service/import/propose.h"
#include "service/record/bond.h"
#include "service/record/line.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

enum { TODAY = 19844 /* 2024-05-01 */ };

static struct store *store;
static struct view view;
static int64_t engineer_id;

static void must(bool ok)
{
	if (!ok) {
		abort();
	}
}

static void begin(struct act *act)
{
	static const struct origin origin = { .now_ms = INT64_C(86400000) * TODAY };
	struct problems why = { 0 };
	struct problem one = { 0 };

	view = (struct view){ .store = store, .today = TODAY };
	must(store_begin(store, &one) && act_begin(act, &view, &origin, &why));
}

/* Lines VAL and H, track Up, bond J1, an engineer. */
static void make_register(void)
{
	const struct line_new lines[] = { { "VAL", "Vale line", NOTATION_KM_M, ELECTRIFICATION_AC },
		{ "H", "Hill line", NOTATION_HM_M, ELECTRIFICATION_DC } };
	const struct track_new track = { "VAL", "Up", NULL, NULL };
	const struct person_new engineer = { "ada", "Ada Marsh", ROLE_MANAGER, 1 };
	struct bond_new bond;
	struct problems why = { 0 };
	struct problem one = { 0 };
	struct recorded recorded;
	struct act act;

	log_set_level(LOG_ERROR);
	must(sodium_init() >= 0);
	store = store_open(":memory:", STORE_MAKE, &one);
	must(store != NULL);
	form_clear(&bond_form, &bond);
	bond.line = "VAL";
	bond.label = "J1";
	bond.kind = BOND_RAIL_JOINT;
	bond.a.chainage = "1+200";
	begin(&act);
	must(line_register(&act, &lines[0], &recorded, &why) &&
		line_register(&act, &lines[1], &recorded, &why) &&
		track_register(&act, &track, &recorded, &why) &&
		bond_register(&act, &bond, &recorded, &why) &&
		person_register(&act, &engineer, "", &recorded, &why) && derived_end(&act, &why));
	engineer_id = recorded.id;
	act_release(&act);
	view_release(&view);
	must(store_commit(store, &one));
}

static void check_sentence(const char *text)
{
	assert(utf8_valid(text, strlen(text)));
}

static void import(const struct import_kind *kind, const struct import_settings *settings,
	const char *bytes, size_t len)
{
	const struct import_request request = { kind, settings, "file.csv", bytes, len, false, { 0 },
		engineer_id };
	struct import_result result;
	struct problems why = { 0 };
	struct act act;
	bool ok;

	begin(&act);
	ok = import_run(&act, &request, &result, &why);
	assert(ok == (why.count == 0));
	assert(!ok || result.rows == result.added + result.already + result.left_out + result.wrong);
	assert(problems_code(&why) != PROBLEM_STORE);
	for (size_t i = 0; i < why.count && i < PROBLEMS_SHOWN; i++) {
		check_sentence(why.item[i].detail);
	}
	for (size_t i = 0; i < result.n_wrongs; i++) {
		check_sentence(result.wrongs[i].value);
		check_sentence(result.wrongs[i].reason);
		assert(result.wrongs[i].reason[0] != '\0' && result.wrongs[i].row > 0);
	}
	for (size_t i = 0; ok && i < result.n_findings; i++) {
		check_sentence(result.findings[i].sentence);
		assert(result.findings[i].count > 0);
	}
	if (ok && import_keeps(&request, &result)) {
		assert(derived_end(&act, &why));
	}
	import_result_release(&result);
	act_release(&act);
	view_release(&view);
	store_rollback(store);
}

static void propose(const struct import_kind *kind, const struct import_settings *settings,
	const char *bytes, size_t len)
{
	static struct import_proposal proposal;
	struct problems why = { 0 };
	struct text json = { 0 };

	if (import_propose(kind, settings, bytes, len, &proposal, &why)) {
		import_proposal_write(&proposal, &json);
		assert(utf8_valid(json.data, json.len));
	}
	text_release(&json);
	import_proposal_release(&proposal);
}

/* What was read, written, and read again is the same. */
static void check_written(const struct import_settings *settings)
{
	struct import_settings again;
	struct form_memory memory = { 0 };
	struct problems why = { 0 };
	struct text one = { 0 }, two = { 0 };

	form_write(&import_settings_form, settings, &one);
	must(form_from_json(&import_settings_form, one.data, one.len, &again, &memory, &why));
	form_write(&import_settings_form, &again, &two);
	assert(one.len == two.len && memcmp(one.data, two.data, one.len) == 0);
	text_release(&one);
	text_release(&two);
	form_memory_release(&memory);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
	const char *bytes = (const char *)data, *end = bytes + size;
	const char *kind_end = size > 0 ? memchr(bytes, '\n', size) : NULL, *json_end;
	const struct import_kind *kind;
	struct import_settings settings;
	struct form_memory memory = { 0 };
	struct problems why = { 0 };
	char name[16];

	if (kind_end == NULL || (size_t)(kind_end - bytes) >= sizeof name) {
		return 0;
	}
	if (store == NULL) {
		make_register();
	}
	snprintf(name, sizeof name, "%.*s", (int)(kind_end - bytes), bytes);
	kind = import_kind_find(name);
	kind_end++;
	json_end = kind_end < end ? memchr(kind_end, '\n', (size_t)(end - kind_end)) : NULL;
	if (kind == NULL || json_end == NULL) {
		return 0;
	}
	if (form_from_json(&import_settings_form, kind_end, (size_t)(json_end - kind_end), &settings,
		&memory, &why)) {
		check_written(&settings);
		import(kind, &settings, json_end + 1, (size_t)(end - json_end - 1));
		propose(kind, &settings, json_end + 1, (size_t)(end - json_end - 1));
	}
	form_memory_release(&memory);
	return 0;
}
