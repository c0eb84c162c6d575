#include "rules/renewal.h"

static const char *const rails_code[] = { "left", "right", "both" };
static const char *const rails_title[] = { "left rail", "right rail", "both rails" };
const struct words renewed_rails_words = { "renewed_rails", rails_code, rails_title, 3 };

static const char *const answer_code[] = {
	"none", "attached", "removed", "outside", "rail_not_stated"
};
static const char *const answer_title[] = {
	"no answer yet: not attached", "attached to the new rail", "removed",
	"attached beyond the stretch: look whether that is so",
	"its rail is not stated: look whether it was there"
};
const struct words renewal_answer_words = { "renewal_answer", answer_code, answer_title, 5 };

bool renewal_is_open(enum renewal_answer answer)
{
	return answer != ANSWER_ATTACHED && answer != ANSWER_REMOVED;
}
