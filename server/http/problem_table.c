#include "http/route.h"

static const struct problem_kind kinds[PROBLEM_CODES] = {
	[PROBLEM_NONE] = { 500, "none", "No problem" },
	[PROBLEM_MALFORMED] = { 400, "malformed", "The request cannot be read" },
	[PROBLEM_VALUE] = { 422, "value", "A value is wrong" },
	[PROBLEM_CHAINAGE_SYNTAX] = { 422, "chainage-syntax", "Not a chainage of this line" },
	[PROBLEM_CHAINAGE_IN_GAP] = { 422, "chainage-in-gap", "This chainage does not exist" },
	[PROBLEM_CHAINAGE_AMBIGUOUS] = { 422, "chainage-ambiguous", "This chainage exists twice" },
	[PROBLEM_CHAINAGE_OUTSIDE] = { 422, "chainage-outside", "This chainage is not on the line" },
	[PROBLEM_RULE] = { 422, "rule", "A rule refuses this" },
	[PROBLEM_CONFLICT] = { 409, "conflict", "It contradicts what is registered" },
	[PROBLEM_NOT_FOUND] = { 404, "not-found", "There is no such record" },
	[PROBLEM_NO_ROUTE] = { 404, "no-page", "There is nothing at this address" },
	[PROBLEM_METHOD] = { 405, "method", "Not possible at this address" },
	[PROBLEM_METHOD_UNKNOWN] = { 501, "method-unknown", "This method is not known" },
	[PROBLEM_SIGN_IN] = { 401, "sign-in", "Please sign in" },
	[PROBLEM_RIGHT] = { 403, "right", "Your role may not do this" },
	[PROBLEM_CROSS_SITE] = { 403, "cross-site", "Refused: it came from another site" },
	[PROBLEM_CHANGED] = { 412, "changed", "Somebody has changed it meanwhile" },
	[PROBLEM_NEEDS_IF_MATCH] = { 428, "needs-if-match", "Say which version you are changing" },
	[PROBLEM_TOO_LARGE] = { 413, "too-large", "Too large" },
	[PROBLEM_HEAD_LARGE] = { 431, "head-too-large", "The headers are too large" },
	[PROBLEM_MEDIA_TYPE] = { 415, "media-type", "Not a form of data taken here" },
	[PROBLEM_TOO_MANY] = { 429, "too-many", "Too many at once" },
	[PROBLEM_BUSY] = { 503, "busy", "Not now: please send it again" },
	[PROBLEM_STORE] = { 500, "store", "It may not have been saved: please send it again" },
	[PROBLEM_DAMAGED] = { 503, "damaged", "The register is damaged" },
	[PROBLEM_FULL] = { 503, "disk-full", "The disk is full: please send it again when there is room" },
	[PROBLEM_NO_MEMORY] = { 503, "memory", "Out of memory: please send it again" },
};

const struct problem_kind *problem_kind(enum problem_code code)
{
	return &kinds[code < PROBLEM_CODES ? code : PROBLEM_STORE];
}
