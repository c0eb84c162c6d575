#include "rules/rulebook.h"

#include "rules/sentence.h"

enum { MONTHS_MOST = 240, DAYS_OF_SHORTEST_MONTH = 28 };

#define CRITICALITY_MEMBER(code_, title_, criticality_) \
	{ .name = code_, .title = title_, .unit = "months", .type = MEMBER_INTEGER, .required = true, \
		.offset = (criticality_) * sizeof(int64_t), .least = 1, .most = MONTHS_MOST }

static const struct member criticality_members[] = {
	CRITICALITY_MEMBER("normal", "Normal", CRITICALITY_NORMAL),
	CRITICALITY_MEMBER("high", "High", CRITICALITY_HIGH),
	CRITICALITY_MEMBER("safety", "Safety", CRITICALITY_SAFETY),
	{ 0 }
};

static const struct form criticality_form = {
	"IntervalsByCriticality", criticality_members, sizeof(int64_t[RULEBOOK_CRITICALITIES])
};

#define KIND_MEMBER(code_, title_, kind_) \
	{ .name = code_, .title = title_, .type = MEMBER_OBJECT, .required = true, \
		.offset = (kind_) * sizeof(int64_t[RULEBOOK_CRITICALITIES]), .form = &criticality_form }

static const struct member kind_members[] = {
	KIND_MEMBER("rail_joint", "Rail joint bond", BOND_RAIL_JOINT),
	KIND_MEMBER("track_cross", "Track-to-track cross bond", BOND_TRACK_CROSS),
	KIND_MEMBER("rail_cross", "Rail-to-rail cross bond", BOND_RAIL_CROSS),
	KIND_MEMBER("structure", "Structure bond", BOND_STRUCTURE),
	KIND_MEMBER("impedance_lead", "Impedance bond lead", BOND_IMPEDANCE_LEAD),
	KIND_MEMBER("feeder_lead", "Return feeder lead", BOND_FEEDER_LEAD),
	KIND_MEMBER("track_circuit_lead", "Track circuit lead", BOND_TRACK_CIRCUIT_LEAD),
	KIND_MEMBER("protective_earth", "Protective earth bond", BOND_PROTECTIVE_EARTH),
	KIND_MEMBER("not_known", "Kind not known", BOND_KIND_NOT_KNOWN),
	{ 0 }
};

static const struct form kind_form = {
	"IntervalsByKind", kind_members, sizeof(int64_t[RULEBOOK_KINDS][RULEBOOK_CRITICALITIES])
};

enum {
	VALUE_FROM_DAY, VALUE_INTERVALS, VALUE_NOTICE, VALUE_GRACE, VALUE_WINDOW, VALUE_PERIOD,
	VALUE_COUNT, VALUE_CLEARANCE, VALUES
};

const struct member rulebook_members[] = {
	[VALUE_FROM_DAY] = { .name = "from_day", .title = "Holds from", .type = MEMBER_DAY,
		.required = true, .offset = offsetof(struct rulebook, from_day) },
	[VALUE_INTERVALS] = { .name = "interval_months", .title = "Months between inspections",
		.type = MEMBER_OBJECT, .required = true,
		.offset = offsetof(struct rulebook, interval_months), .form = &kind_form,
		.help = "For each kind of bond, by criticality; never longer for a higher criticality." },
	[VALUE_NOTICE] = { .name = "notice_days", .title = "Notice before the due day",
		.unit = "days", .type = MEMBER_INTEGER, .required = true,
		.offset = offsetof(struct rulebook, notice_days), .least = 0, .most = 365,
		.help = "A bond is shown as soon due this many days before." },
	[VALUE_GRACE] = { .name = "grace_days", .title = "Grace after the due day",
		.unit = "days", .type = MEMBER_INTEGER, .required = true,
		.offset = offsetof(struct rulebook, grace_days), .least = 0, .most = 365,
		.help = "A bond is overdue on the day after the grace." },
	[VALUE_WINDOW] = { .name = "repeat_window_mm", .title = "Length of a repeat place",
		.unit = "mm", .type = MEMBER_INTEGER, .required = true,
		.offset = offsetof(struct rulebook, repeat_window_mm), .least = 1, .most = 1000000,
		.help = "Failures whose positions differ by no more than this may be one place." },
	[VALUE_PERIOD] = { .name = "repeat_period_months", .title = "Period of a repeat place",
		.unit = "months", .type = MEMBER_INTEGER, .required = true,
		.offset = offsetof(struct rulebook, repeat_period_months), .least = 1, .most = 600,
		.help = "Failures of one place lie within this many months." },
	[VALUE_COUNT] = { .name = "repeat_least_count", .title = "Failures that make a repeat",
		.type = MEMBER_INTEGER, .required = true,
		.offset = offsetof(struct rulebook, repeat_least_count), .least = 2, .most = 100 },
	[VALUE_CLEARANCE] = { .name = "spot_clearance_mm", .title = "Clearance of a spoilt spot",
		.unit = "mm", .type = MEMBER_INTEGER,
		.offset = offsetof(struct rulebook, spot_clearance_mm), .least = 1, .most = 10000,
		.help = "A new attachment stands at least so far from where a former one was." },
	[VALUES] = { 0 }
};

const struct form rulebook_form = { "Rulebook", rulebook_members, sizeof(struct rulebook) };

static const char *const basis_code[] = { "standard", "common_practice", "example" };
static const char *const basis_title[] = { "standard", "common practice", "example" };
const struct words rulebook_basis_words = { "rulebook_basis", basis_code, basis_title, 3 };

const struct rulebook_value rulebook_values[] = {
	{ &rulebook_members[VALUE_INTERVALS], BASIS_EXAMPLE,
		"Examples only: no standard gives intervals, the railway's engineer sets them from risk "
		"and failure history. A bond of unknown kind has the shortest of each column." },
	{ &rulebook_members[VALUE_NOTICE], BASIS_EXAMPLE,
		"An example: as long as planning a shift and a possession takes." },
	{ &rulebook_members[VALUE_GRACE], BASIS_EXAMPLE,
		"An example: the railway decides how late an inspection may be, 0 for not at all." },
	{ &rulebook_members[VALUE_WINDOW], BASIS_EXAMPLE,
		"An example: 10 m covers the uncertainty of positions as crews note them." },
	{ &rulebook_members[VALUE_PERIOD], BASIS_EXAMPLE,
		"An example: five years, long enough to outlive one replacement of the bond." },
	{ &rulebook_members[VALUE_COUNT], BASIS_COMMON_PRACTICE,
		"Common practice: a second failure at the same place is already worth a look." },
	{ &rulebook_members[VALUE_CLEARANCE], BASIS_EXAMPLE,
		"An example: the steel around a former attachment was heated or drilled, and the railway's "
		"engineer says how far." },
	{ 0 }
};

struct rulebook rulebook_default(void)
{
	struct rulebook rulebook = {
		.version = 1,
		.from_day = -25567,  /* 1900-01-01 */
		.interval_months = {
			[BOND_RAIL_JOINT] = { 12, 6, 3 },
			[BOND_TRACK_CROSS] = { 12, 6, 3 },
			[BOND_RAIL_CROSS] = { 12, 6, 3 },
			[BOND_STRUCTURE] = { 24, 12, 6 },
			[BOND_IMPEDANCE_LEAD] = { 12, 6, 3 },
			[BOND_FEEDER_LEAD] = { 6, 3, 3 },
			[BOND_TRACK_CIRCUIT_LEAD] = { 12, 6, 3 },
			[BOND_PROTECTIVE_EARTH] = { 12, 6, 6 },
			[BOND_KIND_NOT_KNOWN] = { 6, 3, 3 },
		},
		.notice_days = 30,
		.grace_days = 14,
		.repeat_window_mm = 10000,
		.repeat_period_months = 60,
		.repeat_least_count = 2,
		.spot_clearance_mm = 100,
	};

	return rulebook;
}

void rulebook_complete(struct rulebook *rulebook)
{
	if (rulebook->spot_clearance_mm == FORM_NO_INTEGER) {
		rulebook->spot_clearance_mm = rulebook_default().spot_clearance_mm;
	}
}

int64_t rulebook_interval_months(const struct rulebook *rulebook, enum bond_kind kind,
	enum criticality criticality)
{
	int row = (int)kind >= 0 && (int)kind < RULEBOOK_KINDS ? (int)kind : BOND_KIND_NOT_KNOWN;
	int column = (int)criticality >= 0 && (int)criticality < RULEBOOK_CRITICALITIES ?
		(int)criticality : CRITICALITY_SAFETY;

	return rulebook->interval_months[row][column];
}

static bool within(const struct member *member, int64_t value)
{
	return value >= (int64_t)member->least && value <= (int64_t)member->most;
}

static void refuse_bounds(const struct member *member, const char *field, struct problems *why)
{
	problems_add(why, PROBLEM_VALUE, field, "%s must be a whole number from %lld to %lld%s%s.",
		member->title, (long long)member->least, (long long)member->most,
		member->unit != NULL ? " " : "", member->unit != NULL ? member->unit : "");
}

static void check_intervals(const struct rulebook *rulebook, struct problems *why)
{
	for (int kind = 0; kind < RULEBOOK_KINDS; kind++) {
		const int64_t *months = rulebook->interval_months[kind];

		for (int i = 0; i < RULEBOOK_CRITICALITIES; i++) {
			const struct member *of = &criticality_members[i];
			char field[PROBLEM_FIELD_SIZE];
			struct sentence s;

			sentence_begin(&s, field, sizeof field);
			sentence_add(&s, "interval_months.");
			sentence_add(&s, kind_members[kind].name);
			sentence_add(&s, ".");
			sentence_add(&s, of->name);
			if (!within(of, months[i])) {
				problems_add(why, PROBLEM_VALUE, field, "The interval for a %s (%s) must be "
					"from 1 to %d whole months.", bond_kind_words.title[kind], of->name,
					MONTHS_MOST);
			} else if (i > 0 && within(of, months[i - 1]) && months[i] > months[i - 1]) {
				problems_add(why, PROBLEM_VALUE, field, "A %s of criticality %s cannot have a "
					"longer interval (%lld months) than one of criticality %s (%lld months).",
					bond_kind_words.title[kind], of->name, (long long)months[i],
					criticality_members[i - 1].name, (long long)months[i - 1]);
			}
		}
	}
}

static int64_t shortest_interval(const struct rulebook *rulebook)
{
	int64_t shortest = MONTHS_MOST;

	for (int kind = 0; kind < RULEBOOK_KINDS; kind++) {
		for (int i = 0; i < RULEBOOK_CRITICALITIES; i++) {
			int64_t months = rulebook->interval_months[kind][i];

			shortest = months < shortest ? months : shortest;
		}
	}
	return shortest;
}

static void check_days(const struct rulebook *rulebook, int value, int64_t days,
	struct problems *why)
{
	const struct member *member = &rulebook_members[value];
	int64_t shortest = shortest_interval(rulebook);

	if (!within(member, days)) {
		refuse_bounds(member, member->name, why);
	} else if (shortest >= 1 && days >= shortest * DAYS_OF_SHORTEST_MONTH) {
		problems_add(why, PROBLEM_VALUE, member->name, "%s of %lld days is as long as the "
			"shortest interval (%lld %s): it must be less than %lld days.", member->title,
			(long long)days, (long long)shortest, shortest == 1 ? "month" : "months",
			(long long)(shortest * DAYS_OF_SHORTEST_MONTH));
	}
}

bool rulebook_check(const struct rulebook *rulebook, struct problems *why)
{
	size_t before = why->count;
	const struct { int value; int64_t is; } plain[] = {
		{ VALUE_WINDOW, rulebook->repeat_window_mm },
		{ VALUE_PERIOD, rulebook->repeat_period_months },
		{ VALUE_COUNT, rulebook->repeat_least_count },
		{ VALUE_CLEARANCE, rulebook->spot_clearance_mm },
	};

	if (rulebook->from_day == DAY_NONE) {
		problems_add(why, PROBLEM_VALUE, "from_day", "A rulebook needs the day from which it holds.");
	}
	check_intervals(rulebook, why);
	check_days(rulebook, VALUE_NOTICE, rulebook->notice_days, why);
	check_days(rulebook, VALUE_GRACE, rulebook->grace_days, why);
	for (size_t i = 0; i < sizeof plain / sizeof plain[0]; i++) {
		const struct member *member = &rulebook_members[plain[i].value];

		if (!within(member, plain[i].is)) {
			refuse_bounds(member, member->name, why);
		}
	}
	return why->count == before;
}
