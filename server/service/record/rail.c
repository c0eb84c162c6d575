#include "service/record/rail.h"

#include <math.h>
#include <stddef.h>
#include <stdio.h>
#include <string.h>

#include "derived/judged.h"
#include "derived/made_from.h"
#include "rules/conductor.h"
#include "store/record/rail.h"

#define SOURCE_MEMBERS(holder) \
	{ .name = "source", .title = "Source", .type = MEMBER_TEXT, .required = true, \
	  .offset = offsetof(holder, source), .longest = 200, \
	  .help = "Where the figure stands: a data sheet, a measurement." }, \
	{ .name = "note", .title = "Note", .type = MEMBER_TEXT, .offset = offsetof(holder, note), \
	  .longest = 2000 }

#define OF(field) offsetof(struct conductor_new, field)
static const struct member conductor_members[] = {
	{ .name = "material", .title = "Conductor", .type = MEMBER_WORD, .required = true,
	  .offset = OF(material), .words = &material_words },
	{ .name = "conductor_class", .title = "Class of the conductor (IEC 60228)",
	  .type = MEMBER_INTEGER, .required = true, .offset = OF(conductor_class), .least = 1,
	  .most = 6 },
	{ .name = "area_mm2", .title = "Cross-section of one cable", .unit = "mm²",
	  .type = MEMBER_REAL, .required = true, .offset = OF(area_mm2), .least = 0.5, .most = 2000 },
	{ .name = "uohm_per_m", .title = "Resistance at 20 °C, at most", .unit = "µΩ/m",
	  .type = MEMBER_REAL, .required = true, .offset = OF(uohm_per_m), .least = 1, .most = 100000 },
	SOURCE_MEMBERS(struct conductor_new),
	{ 0 }
};
const struct form conductor_form = { "Conductor", conductor_members,
	sizeof (struct conductor_new) };

#undef OF
#define OF(field) offsetof(struct profile_new, field)
static const struct member profile_members[] = {
	{ .name = "code", .title = "Profile", .type = MEMBER_TEXT, .required = true,
	  .offset = OF(code), .longest = 30 },
	{ .name = "mass_kg_m", .title = "Mass", .unit = "kg/m", .type = MEMBER_REAL,
	  .offset = OF(mass_kg_m), .least = 5, .most = 200 },
	{ .name = "area_cm2", .title = "Area", .unit = "cm²", .type = MEMBER_REAL,
	  .offset = OF(area_cm2), .least = 5, .most = 250 },
	{ .name = "uohm_per_m", .title = "Resistance of one rail", .unit = "µΩ/m",
	  .type = MEMBER_REAL, .required = true, .offset = OF(uohm_per_m), .least = 5, .most = 500 },
	SOURCE_MEMBERS(struct profile_new),
	{ 0 }
};
const struct form profile_form = { "RailProfile", profile_members, sizeof (struct profile_new) };

#undef OF
#define OF(field) offsetof(struct track_rail_new, field)
static const struct member track_rail_members[] = {
	{ .name = "line", .title = "Line", .type = MEMBER_TEXT, .required = true, .offset = OF(line),
	  .longest = 60, .help = "The line's code." },
	{ .name = "track", .title = "Track", .type = MEMBER_TEXT, .required = true,
	  .offset = OF(track), .longest = 60 },
	{ .name = "rail_profile", .title = "Rail profile", .type = MEMBER_TEXT,
	  .offset = OF(rail_profile), .longest = 30, .help = "Left out: not known." },
	{ .name = "rail_between_joints_m", .title = "Rail between two joints", .unit = "m",
	  .type = MEMBER_REAL, .offset = OF(rail_between_joints_m), .least = 1, .most = 2000,
	  .help = "Left out: welded, or not known." },
	{ .name = "reason", .title = "Why it is changed", .type = MEMBER_TEXT, .offset = OF(reason),
	  .longest = 500 },
	{ 0 }
};
const struct form track_rail_form = { "TrackRail", track_rail_members,
	sizeof (struct track_rail_new) };

#undef OF
#define OF(field) offsetof(struct rail_mark_new, field)
static const struct member rail_mark_members[] = {
	BOND_REFERENCE_MEMBERS(struct rail_mark_new),
	{ .name = "end", .title = "End", .type = MEMBER_WORD, .required = true, .offset = OF(end),
	  .words = &bond_end_words },
	{ .name = "kind", .title = "Kind", .type = MEMBER_WORD, .required = true, .offset = OF(kind),
	  .words = &mark_kind_words, .help = "A rail end, a weld or a bolt hole." },
	{ .name = "offset_mm", .title = "Offset along the rail", .unit = "mm", .required = true,
	  .type = MEMBER_INTEGER, .offset = OF(offset_mm), .least = -100000, .most = 100000,
	  .help = "From the end's reference mark, rising with the chainage." },
	{ .name = "there", .title = "Is there", .type = MEMBER_FLAG, .offset = OF(there),
	  .help = "No: it was noted by mistake, or is there no more. Yes when it is left out." },
	{ .name = "note", .title = "Note", .type = MEMBER_TEXT, .offset = OF(note), .longest = 2000 },
	{ 0 }
};
const struct form rail_mark_form = { "RailMark", rail_mark_members,
	sizeof (struct rail_mark_new) };

bool conductor_register(struct act *act, const struct conductor_new *form,
	struct recorded *recorded, struct problems *why)
{
	struct own_conductor c = { .material = form->material,
		.conductor_class = form->conductor_class, .area_mm2 = form->area_mm2,
		.uohm_per_m = form->uohm_per_m, .source = form->source, .note = form->note };
	struct problem trouble = { 0 };

	*recorded = (struct recorded){ 0 };
	if (c.conductor_class == 3 || c.conductor_class == 4) {
		return problems_add(why, PROBLEM_VALUE, "conductor_class",
			"IEC 60228 has the classes 1, 2, 5 and 6, not %d.", (int)c.conductor_class);
	}
	if (!store_conductor_kept(act->store, &c, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	recorded->already = c.id != 0;
	if (!recorded->already && (!store_conductor_insert(act->store, &c, &act->origin, &trouble) ||
		!changed_known(act, SENT_CONDUCTOR, &(struct changed_known){ .material = c.material,
		.conductor_class = c.conductor_class, .area_mm2 = c.area_mm2 }, STALE_BY_ENTRY,
		&trouble))) {
		return act_refuse(why, &trouble, NULL);
	}
	recorded->id = c.id;
	return true;
}

bool profile_register(struct act *act, const struct profile_new *form, struct recorded *recorded,
	struct problems *why)
{
	struct own_profile p = { .code = form->code, .mass_kg_m = form->mass_kg_m,
		.area_cm2 = form->area_cm2, .uohm_per_m = form->uohm_per_m, .source = form->source,
		.note = form->note };
	struct problem trouble = { 0 };

	*recorded = (struct recorded){ 0 };
	if (!store_profile_kept(act->store, &p, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	recorded->already = p.id != 0;
	if (!recorded->already && (!store_profile_insert(act->store, &p, &act->origin, &trouble) ||
		!changed_known(act, SENT_PROFILE, NULL, STALE_BY_ENTRY, &trouble))) {
		return act_refuse(why, &trouble, NULL);
	}
	recorded->id = p.id;
	return true;
}

/* A profile that is in a table. */
static bool check_profile(struct act *act, const char *code, struct problems *why)
{
	struct problem trouble = { 0 };
	bool there = false;

	if (code == NULL || rail_find(code) != NULL) {
		return true;
	}
	if (!store_profile_exists(act->store, code, &there, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	return there || problems_add(why, PROBLEM_VALUE, "rail_profile", "The rail profile %.30s stands "
		"in no table: register it first, with its resistance.", code);
}

static bool same_real(double a, double b)
{
	return (isnan(a) && isnan(b)) || a == b;
}

bool track_rail_put(struct act *act, const struct track_rail_new *form, struct recorded *recorded,
	struct problems *why)
{
	struct track_fact fact;
	struct problem trouble = { 0 };
	int64_t line_id, track_id;
	const char *profile = form->rail_profile != NULL ? form->rail_profile : "";

	*recorded = (struct recorded){ 0 };
	if (!refer_line(act, form->line, "line", &line_id, why) ||
		!refer_track(act, line_id, form->track, "track", &track_id, why) ||
		!check_profile(act, form->rail_profile, why)) {
		return false;
	}
	recorded->id = track_id;
	if (!store_track_fact_get(act->store, track_id, &fact, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	recorded->already = strcmp(fact.rail_profile, profile) == 0 &&
		same_real(fact.rail_between_joints_m, form->rail_between_joints_m);
	if (recorded->already) {
		return true;
	}
	snprintf(fact.rail_profile, sizeof fact.rail_profile, "%s", profile);
	fact.rail_between_joints_m = form->rail_between_joints_m;
	fact.reason = form->reason;
	return (store_track_fact_insert(act->store, &fact, &act->origin, &trouble) &&
		changed_known(act, SENT_TRACK, &(struct changed_known){ .id = track_id }, STALE_BY_ENTRY,
		&trouble)) || act_refuse(why, &trouble, NULL);
}

bool rail_mark_put(struct act *act, const struct rail_mark_new *form, struct recorded *recorded,
	struct problems *why)
{
	struct bond bond;
	struct rail_mark_row row = { .bond_end = form->end,
		.mark = { (enum mark_kind)form->kind, form->offset_mm }, .there = form->there != 0,
		.note = form->note };
	struct problem trouble = { 0 };
	bool there;

	*recorded = (struct recorded){ 0 };
	if (form->kind < MARK_RAIL_END) {
		return problems_add(why, PROBLEM_VALUE, "kind", "Where an attachment was is known from its "
			"own record: mark a rail end, a weld or a bolt hole.");
	}
	if (!refer_bond(act, &form->of, &bond, why)) {
		return false;
	}
	if (bond.end[form->end].on != END_ON_RAIL) {
		return problems_add(why, PROBLEM_RULE, "end", "That end of the bond is not on a rail.");
	}
	row.bond_id = bond.id;
	if (!store_rail_mark_kept(act->store, &row, &recorded->id, &there, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	if (recorded->id == 0 && !row.there) {
		return problems_add(why, PROBLEM_VALUE, "there", "No such mark was noted at that end.");
	}
	recorded->already = recorded->id != 0 && there == row.there;
	if (recorded->already) {
		return true;
	}
	if (!store_rail_mark_insert(act->store, &row, &act->origin, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	recorded->id = row.id;
	return true;
}
