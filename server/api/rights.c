#include "api/rights.h"

enum { PERSON = CAN_READ | CAN_OWN };

static const unsigned rights[] = {
	[ROLE_VIEWER] = PERSON,
	[ROLE_CREW] = PERSON | CAN_INSPECT,
	[ROLE_PLANNER] = PERSON | CAN_INSPECT | CAN_PLAN,
	[ROLE_MANAGER] = PERSON | CAN_INSPECT | CAN_PLAN | CAN_MANAGE | CAN_METER,
	[ROLE_ADMINISTRATOR] = PERSON | CAN_INSPECT | CAN_PLAN | CAN_MANAGE | CAN_METER |
		CAN_ADMINISTER,
};

const char *const right_words[] = { "read", "inspect", "plan", "manage", "administer", "own",
	"meter", NULL };

unsigned rights_of_role(enum role role)
{
	return role <= ROLE_ADMINISTRATOR ? rights[role] : RIGHT_NOBODY;
}

unsigned rights_of_scope(enum token_scope scope)
{
	return scope == TOKEN_READ ? CAN_READ : scope == TOKEN_METRICS ? CAN_METER : RIGHT_NOBODY;
}
