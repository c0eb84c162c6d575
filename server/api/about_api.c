/* What the API is, what its words are, and how the program is. */
#include <inttypes.h>
#include <string.h>
#include <sys/stat.h>

#include "api/describe.h"
#include "api/json.h"
#include "api/program.h"
#include "api/rights.h"
#include "api/routes.h"
#include "api/views.h"
#include "rules/crew_round.h"
#include "rules/end_words.h"
#include "rules/judge/acceptance.h"
#include "rules/judge/grade.h"
#include "rules/judge/judge.h"
#include "rules/judge/working.h"
#include "rules/odd.h"
#include "rules/plausible.h"
#include "rules/renewal.h"
#include "rules/report.h"
#include "rules/spot.h"
#include "rules/statistics/trend.h"
#include "rules/uncertainty.h"
#include "service/backup/keep.h"
#include "store/damage.h"
#include "store/record/bond.h"
#include "store/record/book.h"
#include "store/record/correction.h"
#include "store/record/kit_check.h"

static const struct words *const all_words[] = { &notation_words, &electrification_words,
	&rail_words, &bond_kind_words, &criticality_words, &bond_status_words, &material_words,
	&bond_end_words, &end_on_words, &rail_face_words, &attach_method_words, &purpose_words,
	&seen_words, &outcome_words, &quantity_words, &reading_method_words, &failure_mode_words,
	&due_state_words, &due_what_words, &due_basis_words, &reading_remark_words, &role_words,
	&timely_words, &odd_words, &severity_words, &rulebook_basis_words, &grade_words,
	&grade_reason_words, &verdict_words, &limit_kind_words, &meter_standing_words,
	&acceptance_check_words, &accepted_words, &mark_kind_words, &joint_side_words,
	&spot_is_words, &spot_unknown_words, &renewed_rails_words, &renewal_answer_words,
	&working_step_words, &sent_from_words, &as_found_words, &figure_kind_words, &trend_rise_words,
	&ends_differ_words, &probed_words, &surroundings_words, &proof_words, &judge_status_words,
	&asked_words, &ruling_kind_words, &sent_noun_words, &kit_found_words,
	&round_work_words, &round_step_words, &round_state_words, &round_bond_state_words,
	&import_standing_words, &token_scope_words, &access_what_words };

static void words_get(const struct request *req, struct reply *out)
{
	struct text body = { 0 };

	(void)req;
	for (size_t w = 0; w < sizeof all_words / sizeof all_words[0]; w++) {
		text_addf(&body, "%s\"%s\":[", w == 0 ? "{" : "],", all_words[w]->name);
		for (int i = 0; i < all_words[w]->n; i++) {
			struct json j;

			text_add_z(&body, i > 0 ? "," : "");
			j = json_begin(&body);
			json_text(&j, "code", all_words[w]->code[i]);
			json_text(&j, "title", all_words[w]->title[i]);
			json_end(&j);
		}
	}
	text_add_z(&body, "]}");
	reply_json(out, 200, &body);
}

static void description_get(const struct request *req, struct reply *out)
{
	struct text body = { 0 };

	(void)req;
	describe_api(all_routes(), &body);
	reply_json(out, 200, &body);
}

static void live_get(const struct request *req, struct reply *out)
{
	struct text body = { 0 };

	(void)req;
	text_add_z(&body, "alive\n");
	reply_text(out, 200, "text/plain; charset=utf-8", &body);
}

static bool is_ready(const struct request *req, struct problem *why)
{
	if (atomic_load(&program_of(req)->stopping)) {
		return problem_set(why, PROBLEM_BUSY, NULL, "The server is stopping.");
	}
	if (writer_is_full(program_of(req)->writer)) {
		return problem_set(why, PROBLEM_FULL, NULL,
			"The disk of the register is full: nothing more can be kept until there is room.");
	}
	return store_is_sound(why) && lists_can_be_read(view_of(req)->store, view_of(req)->today, why);
}

static int64_t backup_ms(const struct request *req)
{
	return backup_noted_ms(program_of(req)->register_path);
}

/* (an old backup is for people to mend: it makes no server unready) */
static void add_backup(const struct request *req, struct text *to)
{
	int64_t made_ms = backup_ms(req);
	char made[INSTANT_TEXT_SIZE];

	if (made_ms == 0) {
		text_add_z(to, "no backup is noted\n");
		return;
	}
	instant_write(made_ms, made);
	text_addf(to, "last backup %s\n", made);
}

static void backup_get(const struct request *req, struct reply *out)
{
	int64_t made_ms = backup_ms(req);
	struct text body = { 0 };
	struct json j = json_begin(&body);
	char made[INSTANT_TEXT_SIZE];

	if (made_ms != 0) {
		instant_write(made_ms, made);
	}
	json_text(&j, "made_at", made_ms != 0 ? made : NULL);
	json_end(&j);
	reply_json(out, 200, &body);
}

/* Ready: nothing is being shut down, what is recorded can be kept, and what is asked can be
 * read. */
static void ready_get(const struct request *req, struct reply *out)
{
	struct problem why = { 0 };
	struct text body = { 0 };

	if (is_ready(req, &why)) {
		text_add_z(&body, "ready\n");
		add_backup(req, &body);
		reply_text(out, 200, "text/plain; charset=utf-8", &body);
		return;
	}
	reply_problem(out, &why);
}

static void metric(struct text *to, const char *name, const char *type, const char *help,
	uint64_t value)
{
	text_addf(to, "# HELP bondbook_%s %s\n# TYPE bondbook_%s %s\nbondbook_%s %" PRIu64 "\n", name,
		help, name, type, name, value);
}

static void metrics_get(const struct request *req, struct reply *out)
{
	struct writer_counts w;
	struct http_counts h;
	struct text body = { 0 };

	writer_counts(program_of(req)->writer, &w);
	program_of(req)->http_counts(program_of(req), &h);
	metric(&body, "requests_total", "counter", "Requests answered.", h.requests);
	text_add_z(&body, "# HELP bondbook_responses_total Answers by class of status.\n"
		"# TYPE bondbook_responses_total counter\n");
	for (int i = 1; i < 6; i++) {
		text_addf(&body, "bondbook_responses_total{class=\"%dxx\"} %" PRIu64 "\n", i, h.by_class[i]);
	}
	metric(&body, "connections", "gauge", "Connections open now.", h.connections_now);
	metric(&body, "requests_waiting", "gauge", "Requests waiting for the writer or a job now.",
		h.suspended_now);
	metric(&body, "writes_total", "counter", "Writing requests run.", w.jobs);
	metric(&body, "commits_total", "counter", "Transactions on disk.", w.commits);
	metric(&body, "commits_failed_total", "counter", "Transactions lost.", w.failed_commits);
	metric(&body, "backup_made_seconds", "gauge",
		"When the last backup was made, in seconds since 1970; 0: none is noted.",
		(uint64_t)backup_ms(req) / 1000);
	metric(&body, "write_queue", "gauge", "Writing requests waiting now.", w.waiting);
	reply_text(out, 200, "text/plain; version=0.0.4; charset=utf-8", &body);
}

const struct route about_routes[] = {
	{ METHOD_GET, "/api", ROUTE_PLAIN, RIGHT_ANYONE, description_get,
	  "This description (OpenAPI 3.1)." },
	{ METHOD_GET, "/api/words", ROUTE_READ, CAN_READ, words_get,
	  "The words of every enumeration, with their titles." },
	{ METHOD_GET, "/livez", ROUTE_PLAIN, RIGHT_ANYONE, live_get, "The process runs." },
	{ METHOD_GET, "/readyz", ROUTE_READ, RIGHT_ANYONE, ready_get, "The register can be read and written." },
	{ METHOD_GET, "/api/backup", ROUTE_READ, CAN_ADMINISTER, backup_get,
	  "When the last backup was made; null: none is noted." },
	{ METHOD_GET, "/metrics", ROUTE_READ, CAN_METER, metrics_get,
	  "Counters in the Prometheus text format." },
	{ 0 }
};
