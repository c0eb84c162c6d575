/*
 * The routes of all lists, made from their descriptions: GET /api/NAME answers a page as JSON,
 * GET /api/NAME.EXTENSION the whole list by each encoder.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "api/program.h"
#include "api/rights.h"
#include "api/routes.h"
#include "api/spool.h"
#include "api/trial.h"
#include "api/views.h"
#include "encode/encode.h"
#include "service/record/spot.h"
#include "service/report/report_rows.h"
#include "store/damage.h"
#include "store/record/bond.h"
#include "store/record/book.h"
#include "store/record/bridge.h"
#include "store/record/found.h"
#include "store/record/calibration.h"
#include "store/record/competence.h"
#include "store/record/correction.h"
#include "store/record/crew_round.h"
#include "store/record/failure.h"
#include "store/record/inspection.h"
#include "store/record/kit_check.h"
#include "store/record/person.h"
#include "store/record/photo.h"
#include "store/record/rail.h"
#include "store/record/renewal.h"
#include "store/record/rulebook.h"
#include "store/record/withdrawal.h"
#include "store/record/work.h"

const struct listed all_lists[] = {
	{ &due_list, CAN_READ },
	{ &bond_list, CAN_READ },
	{ &inspection_list, CAN_READ },
	{ &reading_list, CAN_READ },
	{ &failure_list, CAN_READ },
	{ &repair_list, CAN_READ },
	{ &repeat_list, CAN_READ },
	{ &deferral_list, CAN_READ },
	{ &attachment_list, CAN_READ },
	{ &used_spot_list, CAN_READ },
	{ &renewal_list, CAN_READ },
	{ &line_list, CAN_READ },
	{ &track_list, CAN_READ },
	{ &map_list, CAN_READ },
	{ &instrument_list, CAN_READ },
	{ &calibration_list, CAN_READ },
	{ &kit_list, CAN_READ },
	{ &kit_check_list, CAN_READ },
	{ &kit_service_list, CAN_READ },
	{ &competence_list, CAN_READ },
	{ &round_list, CAN_READ },
	{ &round_bond_list, CAN_READ },
	{ &round_step_list, CAN_READ },
	{ &round_person_list, CAN_READ },
	{ &round_minutes_list, CAN_READ },
	{ &bridge_list, CAN_READ },
	{ &photo_list, CAN_READ },
	{ &found_list, CAN_READ },
	{ &conductor_list, CAN_READ },
	{ &profile_list, CAN_READ },
	{ &rail_mark_list, CAN_READ },
	{ &person_list, CAN_PLAN },
	{ &token_list, CAN_ADMINISTER },
	{ &access_act_list, CAN_ADMINISTER },
	{ &rulebook_list, CAN_READ },
	{ &import_list, CAN_READ },
	{ &ruling_list, CAN_READ },
	{ &better_list, CAN_READ },
	{ &withdrawal_list, CAN_READ },
	{ &recorded_since_list, CAN_READ },
	{ &bond_change_list, CAN_READ },
	{ &mapping_list, CAN_READ },
	{ &bond_state_list, CAN_READ },
	{ &visit_list, CAN_READ },
	{ &odd_list, CAN_READ },
	{ 0 }
};

/* (ROW_USUAL: bytes of a row as JSON, so that a page seldom moves while it grows) */
enum { LISTS_MOST = 48, ENCODERS_MOST = 8, PATTERN_SIZE = 48, ROW_USUAL = 640 };

static bool read_query(const struct request *req, struct list_query *q, struct reply *out)
{
	struct problems why = { 0 };

	if (view_list_query(view_of(req), req->route->list, req->query, req->query_count, q,
		&why) && trial_of_list(req, q, &why)) {
		return true;
	}
	reply_problems(out, &why);
	return false;
}

/* The same address with another cursor, as RFC 8288 has it. */
static void link_next(const struct request *req, const char *cursor, struct reply *out)
{
	struct text link = { 0 };
	const char *joint = "?";

	text_addf(&link, "<%s", req->path);
	for (size_t i = 0; i < req->query_count; i++) {
		if (strcmp(req->query[i].name, "after") == 0) {
			continue;
		}
		text_addf(&link, "%s%s=", joint, req->query[i].name);
		text_add_query(&link, req->query[i].value);
		joint = "&";
	}
	text_addf(&link, "%safter=%s>; rel=\"next\"", joint, cursor);
	if (!link.failed && link.len < sizeof out->link) {
		memcpy(out->link, link.data, link.len + 1);
	}
	text_release(&link);
}

static bool add_totals(const struct request *req, const struct list_query *q, struct text *body,
	struct problem *why)
{
	int64_t totals[LIST_TOTALS];

	if (q->list->n_totals == 0) {
		return true;
	}
	if (!list_totals(view_of(req)->store, q, totals, why)) {
		return false;
	}
	for (size_t i = 0; i < q->list->n_totals; i++) {
		text_add_z(body, i == 0 ? ",\"totals\":{\"" : ",\"");
		text_add_z(body, q->list->totals[i].name);
		text_add(body, "\":", 2);
		text_add_integer(body, totals[i]);
	}
	text_add_char(body, '}');
	return true;
}

/* Writes the page; what is read is closed before the answer is made. */
static bool write_page(const struct request *req, const struct list_query *q, struct text *body,
	struct reply *out, struct problem *why)
{
	struct table table;
	char cursor[700];
	size_t rows;
	struct list_run *run = list_open(view_of(req)->store, q, &table, why);
	bool ok, more;

	text_room(body, q->limit * ROW_USUAL);
	text_add_z(body, "{\"rows\":[");
	ok = run != NULL && encode_json_rows(&table, body, &rows, why);
	more = ok && list_next_page(run, cursor, sizeof cursor);
	list_close(run);
	if (more) {
		text_addf(body, "],\"next\":\"%s\"", cursor);
		link_next(req, cursor, out);
	} else {
		text_add_z(body, "],\"next\":null");
	}
	ok = ok && add_totals(req, q, body, why);
	text_add_char(body, '}');
	return ok;
}

/* An encoder knows only that the rows ended early. */
static void refuse_list(struct problem *why, struct reply *out)
{
	struct problem damage = { 0 };

	reply_problem(out, why->code == PROBLEM_STORE && !store_is_sound(&damage) ? &damage : why);
}

static bool can_be_read(struct store *store, const struct list *list, int32_t today,
	struct problem *why)
{
	const struct list_query q = { .list = list, .sort = &list->sorts[0], .today = today, .limit = 1 };
	struct text dropped = { 0 };
	struct table table;
	size_t rows;
	struct list_run *run = list_open(store, &q, &table, why);
	bool ok = run != NULL && encode_json_rows(&table, &dropped, &rows, why);

	list_close(run);
	text_release(&dropped);
	return ok;
}

bool lists_can_be_read(struct store *store, int32_t today, struct problem *why)
{
	bool ok = true;

	for (const struct listed *l = all_lists; ok && l->list != NULL; l++) {
		ok = l->list->computed != NULL || l->list->is_slow || !list_needs_nothing(l->list) ||
			can_be_read(store, l->list, today, why);
	}
	return ok;
}

static void list_page(const struct request *req, struct reply *out)
{
	struct list_query q;
	struct text body = { 0 };
	struct problem why = { 0 };

	if (!read_query(req, &q, out)) {
		return;
	}
	if (write_page(req, &q, &body, out, &why)) {
		reply_json(out, 200, &body);
	} else {
		text_release(&body);
		refuse_list(&why, out);
	}
}

static const struct encoder *encoder_of(const char *path)
{
	const char *dot = strrchr(path, '.');

	for (const struct encoder *e = encoders; e->name != NULL; e++) {
		if (dot != NULL && strcmp(dot + 1, e->extension) == 0) {
			return e;
		}
	}
	return NULL;
}

enum { ROWS_BETWEEN_LOOKS = 256 };

/* A table whose file is looked after while it grows. */
struct spooled {
	struct table table;
	struct spool *spool;
	size_t rows;
	struct problem why;
};

static bool next_spooled(void *source, struct cell *row, bool *failed)
{
	struct spooled *s = source;

	if (++s->rows % ROWS_BETWEEN_LOOKS == 0 && !spool_grown(s->spool, NULL, &s->why)) {
		*failed = true;
		return false;
	}
	return s->table.next(s->table.source, row, failed);
}

/* Spools the whole list; its length, or 0. */
static size_t write_file(const struct request *req, const struct list_query *q,
	const struct encoder *encoder, struct spool *spool, struct problem *why)
{
	const struct encode_options options = { .title = q->list->title, .byte_order_mark = true };
	struct spooled s = { .spool = spool };
	struct list_run *run = list_open(view_of(req)->store, q, &s.table, why);
	const struct table table = { s.table.columns, s.table.n_columns, next_spooled, &s };
	size_t rows, size = 0;
	bool ok = run != NULL && encoder->encode(&table, &options, spool_file(spool), &rows, why) &&
		spool_grown(spool, &size, why);

	list_close(run);
	if (s.why.code != PROBLEM_NONE) {
		*why = s.why;
	}
	return ok ? size : 0;
}

static void make_file(const struct request *req, const struct list_query *q,
	const struct encoder *encoder, struct reply *out, struct problem *why)
{
	struct spool *spool = spool_open(program_of(req)->spools, req->who.person_id, why);

	if (spool == NULL) {
		return;
	}
	out->file = spool_file(spool);
	out->file_end = spool_end;
	out->file_arg = spool;
	out->file_len = write_file(req, q, encoder, spool, why);
}

static void list_file(const struct request *req, struct reply *out)
{
	const struct encoder *encoder = encoder_of(req->path);
	struct list_query q;
	struct problem why = { 0 };

	if (!read_query(req, &q, out)) {
		return;
	}
	q.limit = 0;
	make_file(req, &q, encoder, out, &why);
	if (why.code != PROBLEM_NONE) {
		refuse_list(&why, out);
	} else {
		out->status = 200;
		out->type = encoder->media_type;
		snprintf(out->disposition, sizeof out->disposition, "attachment; filename=\"%s.%s\"",
			q.list->name, encoder->extension);
	}
}

static bool has_column(const struct list *list, const char *name)
{
	for (size_t i = 0; i < list->n_columns; i++) {
		if (!list->columns[i].hidden && strcmp(list_column_shown(&list->columns[i]).name, name) == 0) {
			return true;
		}
	}
	return false;
}

static bool has_file(const struct list *list, const struct encoder *encoder)
{
	bool has = strcmp(encoder->name, "json") != 0;   /* JSON is the page's */

	for (size_t i = 0; i < sizeof encoder->needs / sizeof encoder->needs[0]; i++) {
		has = has && (encoder->needs[i] == NULL || has_column(list, encoder->needs[i]));
	}
	return has;
}

const struct route *list_routes(void)
{
	static struct route routes[LISTS_MOST * (1 + ENCODERS_MOST) + 1];
	static char patterns[LISTS_MOST * (1 + ENCODERS_MOST)][PATTERN_SIZE];
	size_t n = 0;

	for (const struct listed *l = all_lists; l->list != NULL; l++) {
		snprintf(patterns[n], PATTERN_SIZE, "/api/%s", l->list->name);
		routes[n] = (struct route){ METHOD_GET, patterns[n],
			l->list->is_slow ? ROUTE_LONG : ROUTE_READ, l->right, list_page, l->list->summary,
			.list = l->list };
		n++;
		for (const struct encoder *e = encoders; e->name != NULL; e++) {
			if (!has_file(l->list, e)) {
				continue;
			}
			snprintf(patterns[n], PATTERN_SIZE, "/api/%s.%s", l->list->name, e->extension);
			routes[n] = (struct route){ METHOD_GET, patterns[n], ROUTE_LONG, l->right, list_file,
				l->list->summary, .list = l->list };
			n++;
		}
	}
	return routes;
}
