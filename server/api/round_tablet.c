#include "api/round_tablet.h"

#include <stdio.h>
#include <stdlib.h>

#include "api/json.h"
#include "api/json/rail_json.h"
#include "api/rows.h"
#include "api/views.h"
#include "service/report/tablet.h"
#include "store/record/bridge.h"
#include "store/record/competence.h"
#include "store/record/crew_round.h"
#include "store/record/failure.h"
#include "store/record/inspection.h"
#include "store/record/kit_check.h"
#include "store/record/work.h"

enum { HISTORY_MONTHS = 36, CHECKS_DAYS = 30, ROWS_MOST = 1000 };

/* Rows as a member of an open object, and beside it whether there may be more. */
static bool add_rows(const struct request *req, const char *member, const struct list *list,
	const struct query_pair *pairs, size_t count, struct json *to, struct problem *why)
{
	char cut[32];
	size_t rows;
	bool ok;

	json_name(to, member);
	text_add_char(to->to, '[');
	ok = rows_add_by(view_of(req), list, pairs, count, to->to, &rows, why);
	text_add_char(to->to, ']');
	if (rows >= ROWS_MOST) {
		snprintf(cut, sizeof cut, "%s_cut", member);
		json_flag(to, cut, true);
	}
	return ok;
}

/* The members of one bond that are rows of lists. */
static bool add_history(const struct request *req, const char *bond, struct json *to,
	struct problem *why)
{
	static const struct {
		const char *member;
		const struct list *list;
		const char *name, *value;    /* another pair; NULL value: three years back */
	} parts[] = {
		{ "inspections", &inspection_list, "from", NULL },
		{ "readings", &reading_list, "from", NULL },
		{ "failures", &failure_list, "from", NULL },
		{ "failures_open", &failure_list, "open", "yes" },
		{ "attachments", &attachment_list, "limit", "1000" },
		{ "bridges", &bridge_list, "limit", "1000" },
	};
	char from[DAY_TEXT_SIZE];
	bool ok = true;

	day_write(day_add_months(view_of(req)->today, -HISTORY_MONTHS), from);
	for (size_t i = 0; ok && i < sizeof parts / sizeof parts[0]; i++) {
		const char *value = parts[i].value != NULL ? parts[i].value : from;
		const struct query_pair pairs[] = { { "bond", bond }, { parts[i].name, value },
			{ "limit", "1000" } };

		ok = add_rows(req, parts[i].member, parts[i].list, pairs,
			parts[i].list == &attachment_list || parts[i].list == &bridge_list ? 2 : 3, to, why);
	}
	return ok;
}

/* The instruments are the same for all bonds: the first gives them. */
static bool add_bond(const struct request *req, int64_t bond_id, struct text *meters,
	struct text *to, struct problem *why)
{
	struct form_memory memory = { 0 };
	struct tablet_known known;
	struct json j = json_begin(to);
	char bond[24];
	bool ok = tablet_take_along(view_of(req), bond_id, &known, &memory, why);

	if (ok) {
		if (meters->len == 0) {
			tablet_write_meters(&known, meters);
		}
		known.instruments.count = 0;
		json_integer(&j, "bond_id", bond_id);
		json_name(&j, "known");
		form_write(&tablet_known_form, &known, to);
		json_name(&j, "rail");
		snprintf(bond, sizeof bond, "%lld", (long long)bond_id);
		ok = json_rail(view_of(req), bond_id, to, why) && add_history(req, bond, &j, why);
	}
	json_end(&j);
	form_memory_release(&memory);
	return ok;
}

static bool add_bonds(const struct request *req, const int64_t *bonds, size_t count,
	struct json *to, struct problem *why)
{
	struct text meters = { 0 };
	bool ok = true;

	json_name(to, "bonds");
	text_add_char(to->to, '[');
	for (size_t i = 0; ok && i < count; i++) {
		text_add_z(to->to, i > 0 ? "," : "");
		ok = add_bond(req, bonds[i], &meters, to->to, why);
	}
	text_add_char(to->to, ']');
	json_name(to, "meters");
	text_add_z(to->to, count > 0 && meters.len > 0 ? "" : "[]");
	text_add(to->to, meters.data, meters.len);
	text_release(&meters);
	return ok;
}

/* What belongs to the crew and its things. */
static bool add_crew(const struct request *req, struct json *to, struct problem *why)
{
	const struct query_pair round[] = { { "round", req->params[0] }, { "limit", "1000" } };
	const struct query_pair all[] = { { "limit", "1000" } };
	char from[DAY_TEXT_SIZE];

	day_write(view_of(req)->today - CHECKS_DAYS, from);
	const struct query_pair checks[] = { { "from", from }, { "limit", "1000" } };

	return add_rows(req, "steps", &round_step_list, round, 2, to, why) &&
		add_rows(req, "persons", &round_person_list, round, 2, to, why) &&
		add_rows(req, "competences", &competence_list, round, 2, to, why) &&
		add_rows(req, "kits", &kit_list, all, 1, to, why) &&
		add_rows(req, "kit_checks", &kit_check_list, checks, 2, to, why) &&
		add_rows(req, "instruments", &instrument_list, all, 1, to, why);
}

static bool add_bridges(const struct request *req, int64_t round_id, struct json *to,
	struct problem *why)
{
	char number[24];
	const struct query_pair pairs[] = { { "on", "yes" }, { "near_round", number },
		{ "limit", "1000" } };

	snprintf(number, sizeof number, "%lld", (long long)round_id);
	return add_rows(req, "bridges", &bridge_list, pairs, 3, to, why);
}

static bool add_round(const struct request *req, struct json *to, int64_t *round_id,
	struct problem *why)
{
	const struct query_pair round[] = { { "round", req->params[0] }, { "limit", "1000" } };
	struct sent sent;

	json_day(to, "today", view_of(req)->today);
	json_instant(to, "made_at", req->now_ms);
	json_name(to, "round");
	if (!store_sent_find(view_of(req)->store, SENT_ROUND, req->params[0], &sent, why) ||
		!rows_open(view_of(req), &round_list, req->params[0], to->to, why)) {
		return false;
	}
	text_add_char(to->to, '}');
	*round_id = sent.id;
	return add_rows(req, "bond_rows", &round_bond_list, round, 2, to, why);
}

static bool add_rulebook(const struct request *req, struct json *to, struct problem *why)
{
	const struct rulebook *rulebook = view_rulebook(view_of(req), why);

	if (rulebook == NULL) {
		return false;
	}
	json_name(to, "rulebook");
	form_write(&rulebook_form, rulebook, to->to);
	return true;
}

void round_tablet_get(const struct request *req, struct reply *out)
{
	struct problem why = { 0 };
	struct text body = { 0 };
	struct json j = json_begin(&body);
	int64_t *bonds = NULL;
	int64_t round_id = 0;
	size_t count = 0;
	bool ok = add_round(req, &j, &round_id, &why) && add_crew(req, &j, &why) &&
		add_bridges(req, round_id, &j, &why) && add_rulebook(req, &j, &why) &&
		store_round_bonds(view_of(req)->store, round_id, &bonds, &count, &why) &&
		add_bonds(req, bonds, count, &j, &why);

	free(bonds);
	json_end(&j);
	if (ok) {
		reply_json(out, 200, &body);
	} else {
		text_release(&body);
		reply_problem(out, &why);
	}
}
