#include "rules/crew_round.h"

#include <string.h>

static const char *const work_code[] = { "inspect", "mend" };
static const char *const work_title[] = { "for inspecting", "for mending" };
const struct words round_work_words = { "round_work", work_code, work_title, 2 };

static const char *const step_code[] = { "taken", "begun", "done", "withdrawn", "wish" };
static const char *const step_title[] = { "taken", "begun", "done", "withdrawn",
	"newer wish of the planner" };
const struct words round_step_words = { "round_step", step_code, step_title, 5 };

static const char *const state_code[] = { "planned", "taken", "under_way", "done", "withdrawn" };
static const char *const state_title[] = { "planned", "taken", "under way", "done", "withdrawn" };
const struct words round_state_words = { "round_state", state_code, state_title, 5 };

static const char *const bond_code[] = { "open", "done", "partly", "not_reached" };
static const char *const bond_title[] = { "open", "done", "done in part", "not reached" };
const struct words round_bond_state_words = { "round_bond_state", bond_code, bond_title, 4 };

enum round_state round_state(const struct round_facts *facts)
{
	if (facts->done) {
		return ROUND_DONE;
	}
	if (facts->withdrawn) {
		return ROUND_WITHDRAWN;
	}
	if (facts->begun || facts->recorded) {
		return ROUND_UNDER_WAY;
	}
	return facts->taken ? ROUND_TAKEN : ROUND_PLANNED;
}

enum round_bond_state round_bond_state(enum round_work work, const struct round_bond_facts *facts)
{
	bool done = work == ROUND_MEND ? facts->repaired || facts->proved : facts->complete;

	if (done) {
		return ROUND_BOND_DONE;
	}
	if (facts->complete || facts->partly || facts->repaired) {
		return ROUND_BOND_PARTLY;
	}
	return facts->not_reached ? ROUND_BOND_NOT_REACHED : ROUND_BOND_OPEN;
}

static bool is_digit(char c)
{
	return c >= '0' && c <= '9';
}

int round_time(const char *text)
{
	int hours, minutes;

	if (strlen(text) != ROUND_TIME_LENGTH || text[2] != ':' || !is_digit(text[0]) ||
		!is_digit(text[1]) || !is_digit(text[3]) || !is_digit(text[4])) {
		return -1;
	}
	hours = (text[0] - '0') * 10 + text[1] - '0';
	minutes = (text[3] - '0') * 10 + text[4] - '0';
	return hours < 24 && minutes < 60 ? hours * 60 + minutes : -1;
}

int round_shift_minutes(int begins, int ends)
{
	return ends >= begins ? ends - begins : ends + 24 * 60 - begins;
}

int round_usual_minutes(enum round_work work)
{
	return work == ROUND_MEND ? 30 : 4;
}
