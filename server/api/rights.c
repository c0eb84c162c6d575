#include "api/rights.h"

static const unsigned rights[] = {
	[ROLE_VIEWER] = CAN_READ,
	[ROLE_CREW] = CAN_READ | CAN_INSPECT,
	[ROLE_PLANNER] = CAN_READ | CAN_INSPECT | CAN_PLAN,
	[ROLE_MANAGER] = CAN_READ | CAN_INSPECT | CAN_PLAN | CAN_MANAGE,
	[ROLE_ADMINISTRATOR] = CAN_READ | CAN_INSPECT | CAN_PLAN | CAN_MANAGE | CAN_ADMINISTER,
};

const char *const right_words[] = { "read", "inspect", "plan", "manage", "administer", NULL };

unsigned rights_of_role(enum role role)
{
	return role <= ROLE_ADMINISTRATOR ? rights[role] : RIGHT_NOBODY;
}
