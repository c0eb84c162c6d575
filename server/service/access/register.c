#include "service/access/register.h"

#include <stdio.h>
#include <string.h>

#include "base/clock.h"
#include "derived/made_from.h"
#include "store/record/bond.h"
#include "store/setting.h"

static const struct member members[] = {
	{ .name = "zone", .title = "Time zone", .type = MEMBER_TEXT, .required = true,
	  .offset = offsetof(struct register_zone, zone), .longest = ZONE_NAME_SIZE - 1,
	  .help = "Its name in the zone database, like Europe/Vilnius." },
	{ .name = "reason", .title = "Why it is changed", .type = MEMBER_TEXT,
	  .offset = offsetof(struct register_zone, reason), .longest = 500 },
	{ 0 }
};
const struct form register_zone_form = { "RegisterZone", members, sizeof (struct register_zone) };

static bool read_began(struct store *store, int32_t *day, struct problem *why)
{
	char text[SETTING_VALUE_SIZE];
	int64_t made_ms;

	if (!store_setting_get(store, SETTING_BEGAN_DAY, text, why) ||
		!store_made_at(store, &made_ms, why)) {
		return false;
	}
	if (!day_read(text, strlen(text), day)) {
		*day = clock_day_of(made_ms);
	}
	return true;
}

static bool read_zone(struct store *store, char zone[ZONE_NAME_SIZE], struct problem *why)
{
	char text[SETTING_VALUE_SIZE];
	bool ok = store_setting_get(store, SETTING_ZONE, text, why);

	snprintf(zone, ZONE_NAME_SIZE, "%.*s", ZONE_NAME_SIZE - 1, ok ? text : "");
	return ok;
}

bool register_facts(struct store *store, struct register_facts *to, struct problem *why)
{
	*to = (struct register_facts){ .began_day = DAY_NONE };
	zone_machine(to->machine_zone);
	return read_zone(store, to->zone, why) && read_began(store, &to->began_day, why);
}

bool register_clock(struct store *store, struct problem *why)
{
	char zone[ZONE_NAME_SIZE];

	if (!read_zone(store, zone, why)) {
		return false;
	}
	return zone_use(zone, why) || problem_set(why, PROBLEM_RULE, NULL, "This register is in the "
		"time zone %s, which this machine's zone database does not have: install that (the package "
		"tzdata).", zone);
}

bool register_begin(struct act *act, const char *zone, int32_t began_day, struct problems *why)
{
	struct problem trouble = { 0 };
	char began[DAY_TEXT_SIZE];
	int32_t today;

	if (!zone_use(zone, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	today = clock_day_of(act->origin.now_ms);
	if (began_day > today) {
		return problems_add(why, PROBLEM_VALUE, "began", "A register cannot begin in days to come: give "
			"the first day from which it was kept, or leave it out for today.");
	}
	day_write(began_day != DAY_NONE ? began_day : today, began);
	return (store_setting_put(act->store, SETTING_ZONE, zone, NULL, &act->origin, &trouble) &&
		store_setting_put(act->store, SETTING_BEGAN_DAY, began, NULL, &act->origin, &trouble)) ||
		act_refuse(why, &trouble, NULL);
}

bool register_set_zone(struct act *act, const struct register_zone *form,
	struct recorded *recorded, struct problems *why)
{
	struct problem trouble = { 0 };
	char kept[ZONE_NAME_SIZE];

	*recorded = (struct recorded){ 0 };
	if (!zone_check(form->zone, "zone", &trouble) || !read_zone(act->store, kept, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	recorded->already = strcmp(kept, form->zone) == 0;
	if (recorded->already) {
		return true;
	}
	if (kept[0] != '\0' && form->reason == NULL) {
		return problems_add(why, PROBLEM_VALUE, "reason", "This register is in the time zone %s: "
			"say why that is to be another.", kept);
	}
	return (store_setting_put(act->store, SETTING_ZONE, form->zone, form->reason, &act->origin,
		&trouble) && changed_known(act, FROM_ZONE, NULL, STALE_BY_ENTRY, &trouble)) ||
		act_refuse(why, &trouble, NULL);
}
