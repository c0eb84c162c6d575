#include "rules/tablet/tablet.h"

#include <string.h>

const struct tablet_rule *const tablet_rules[] = { &tablet_chainage, &tablet_reading,
	&tablet_meter, &tablet_grade, &tablet_due, &tablet_spot, &tablet_acceptance };
const size_t tablet_rules_count = sizeof tablet_rules / sizeof tablet_rules[0];

const struct tablet_rule *tablet_find(const char *name)
{
	for (size_t i = 0; i < tablet_rules_count; i++) {
		if (strcmp(tablet_rules[i]->name, name) == 0) {
			return tablet_rules[i];
		}
	}
	return NULL;
}

void tablet_ask(const struct tablet_rule *rule, const struct rulebook *rulebook, const void *in,
	void *out)
{
	form_clear(rule->out, out);
	rule->answer(rulebook, in, out);
}
