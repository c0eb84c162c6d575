/* What crews and planners send under ids of their own: PUT, so that sending twice keeps once. */
#include "api/deed.h"
#include "api/json/judgement_json.h"
#include "api/program.h"
#include "api/rights.h"
#include "api/routes.h"
#include "api/rows.h"
#include "api/views.h"
#include "service/record/attachment.h"
#include "service/record/inspection.h"
#include "service/record/kit_check.h"
#include "service/record/ruling.h"
#include "service/record/withdrawal.h"
#include "service/record/work.h"
#include "store/record/failure.h"
#include "store/record/inspection.h"
#include "store/record/work.h"

static bool inspect(struct act *act, void *form, struct recorded *recorded, struct problems *why)
{
	return inspection_record(act, form, recorded, why);
}

static bool fail(struct act *act, void *form, struct recorded *recorded, struct problems *why)
{
	return failure_record(act, form, 0, recorded, why);
}

static bool mend(struct act *act, void *form, struct recorded *recorded, struct problems *why)
{
	return repair_record(act, form, recorded, why);
}

static bool defer(struct act *act, void *form, struct recorded *recorded, struct problems *why)
{
	return deferral_record(act, form, recorded, why);
}

static bool attach(struct act *act, void *form, struct recorded *recorded, struct problems *why)
{
	return attachment_record(act, form, recorded, why);
}

static bool rule(struct act *act, void *form, struct recorded *recorded, struct problems *why)
{
	return ruling_record(act, form, recorded, why);
}

static bool check_kit(struct act *act, void *form, struct recorded *recorded, struct problems *why)
{
	return kit_check_record(act, form, recorded, why);
}

static bool is_for_engineer(int entry)
{
	return entry == SENT_RULING || entry == SENT_IMPORT ||
		(entry >= SENT_CALIBRATION && entry <= SENT_MARK);
}

/* Who may make an entry may take one of that kind back. */
static bool withdraw(struct act *act, void *form, struct recorded *recorded, struct problems *why)
{
	const struct withdrawal_new *w = form;

	if (is_for_engineer(w->entry) && (act->view->reader.rights & CAN_MANAGE) == 0) {
		return problems_add(why, PROBLEM_RIGHT, "entry", "That is withdrawn by an engineer: %s.",
			sent_noun_words.title[w->entry]);
	}
	if (w->entry == SENT_DEFERRAL && (act->view->reader.rights & CAN_PLAN) == 0) {
		return problems_add(why, PROBLEM_RIGHT, "entry",
			"Your role defers nothing, nor does it withdraw deferrals.");
	}
	if (w->entry == SENT_FOUND_ANSWER && (act->view->reader.rights & CAN_PLAN) == 0) {
		return problems_add(why, PROBLEM_RIGHT, "entry",
			"Which bond a found one is, a planner says and takes back.");
	}
	return withdrawal_record(act, w, recorded, why);
}

static void inspection_put(const struct request *req, struct reply *out)
{
	deed_do_sent(req, out, inspect, json_judged_inspection);
}

static void failure_put(const struct request *req, struct reply *out)
{
	deed_do_sent(req, out, fail, NULL);
}

static void repair_put(const struct request *req, struct reply *out)
{
	deed_do_sent(req, out, mend, NULL);
}

static void deferral_put(const struct request *req, struct reply *out)
{
	deed_do_sent(req, out, defer, NULL);
}

static void attachment_put(const struct request *req, struct reply *out)
{
	deed_do_sent(req, out, attach, json_judged_attachment);
}

static void ruling_put(const struct request *req, struct reply *out)
{
	deed_do_sent(req, out, rule, NULL);
	program_follow_rulebook(req);   /* an import's readings may be evidence now */
}

static void withdrawal_put(const struct request *req, struct reply *out)
{
	deed_do_sent(req, out, withdraw, NULL);
	program_follow_rulebook(req);   /* of an import, what follows is made again */
	program_of(req)->take_imports(program_of(req));   /* or it is withdrawn in pieces */
}

static void kit_check_put(const struct request *req, struct reply *out)
{
	deed_do_sent(req, out, check_kit, NULL);
}

static void inspection_get(const struct request *req, struct reply *out)
{
	static const struct rows_more readings = { &entered_reading_list, "inspection",
		"reading_rows" };

	rows_give(req, out, &entered_inspection_list, &readings, 1);
}

static void failure_get(const struct request *req, struct reply *out)
{
	rows_give(req, out, &failure_list, NULL, 0);
}

static void repair_get(const struct request *req, struct reply *out)
{
	rows_give(req, out, &repair_list, NULL, 0);
}

static void deferral_get(const struct request *req, struct reply *out)
{
	rows_give(req, out, &entered_deferral_list, NULL, 0);
}

static void attachment_get(const struct request *req, struct reply *out)
{
	rows_give(req, out, &entered_attachment_list, NULL, 0);
}

static void kit_check_get(const struct request *req, struct reply *out)
{
	rows_give(req, out, &kit_check_list, NULL, 0);
}

static void withdrawal_get(const struct request *req, struct reply *out)
{
	rows_give(req, out, &withdrawal_list, NULL, 0);
}

const struct route record_routes[] = {
	{ METHOD_GET, "/api/inspections/{uuid}", ROUTE_READ, CAN_READ, inspection_get,
	  "An inspection with its readings." },
	{ METHOD_GET, "/api/failures/{uuid}", ROUTE_READ, CAN_READ, failure_get, "A failure." },
	{ METHOD_GET, "/api/repairs/{uuid}", ROUTE_READ, CAN_READ, repair_get, "A repair." },
	{ METHOD_GET, "/api/deferrals/{uuid}", ROUTE_READ, CAN_READ, deferral_get, "A deferral." },
	{ METHOD_GET, "/api/attachments/{uuid}", ROUTE_READ, CAN_READ, attachment_get,
	  "An attachment." },
	{ METHOD_GET, "/api/withdrawals/{uuid}", ROUTE_READ, CAN_READ, withdrawal_get,
	  "A withdrawal: which entry was taken back, by whom and why." },
	{ METHOD_GET, "/api/kit-checks/{uuid}", ROUTE_READ, CAN_READ, kit_check_get,
	  "The check of a kit." },
	{ METHOD_PUT, "/api/kit-checks/{uuid}", ROUTE_WRITE, CAN_INSPECT, kit_check_put,
	  "Records the check of a kit before a shift.", DEED_BODY(&kit_check_form) },
	{ METHOD_PUT, "/api/inspections/{uuid}", ROUTE_WRITE, CAN_INSPECT, inspection_put,
	  "Records an inspection with its readings; the answer says what they are worth.", DEED_BODY(&inspection_form) },
	{ METHOD_PUT, "/api/failures/{uuid}", ROUTE_WRITE, CAN_INSPECT, failure_put,
	  "Records a failure.", DEED_BODY(&failure_form) },
	{ METHOD_PUT, "/api/repairs/{uuid}", ROUTE_WRITE, CAN_INSPECT, repair_put,
	  "Records what made a failure good.", DEED_BODY(&repair_form) },
	{ METHOD_PUT, "/api/deferrals/{uuid}", ROUTE_WRITE, CAN_PLAN, deferral_put,
	  "Defers the inspection of a bond.", DEED_BODY(&deferral_form) },
	{ METHOD_PUT, "/api/attachments/{uuid}", ROUTE_WRITE, CAN_INSPECT, attachment_put,
	  "Records the fixing of an end; the answer says whether it is accepted.", DEED_BODY(&attachment_form) },
	{ METHOD_PUT, "/api/rulings/{uuid}", ROUTE_WRITE, CAN_MANAGE, ruling_put,
	  "Puts an engineer's word on record, with its reason.", DEED_BODY(&ruling_form) },
	{ METHOD_PUT, "/api/withdrawals/{uuid}", ROUTE_WRITE, CAN_INSPECT, withdrawal_put,
	  "Takes an entry back, for a reason: it stays readable and counts for nothing.",
	  DEED_BODY(&withdrawal_form) },
	{ 0 }
};
