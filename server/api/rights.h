/* What each role may do: bits of a route's right (http/request.h), made here and nowhere else. */
#ifndef API_RIGHTS_H
#define API_RIGHTS_H

#include "http/request.h"
#include "rules/terms.h"

enum {
	CAN_READ = 1 << 1,
	CAN_INSPECT = 1 << 2,     /* record inspections, failures, repairs, attachments */
	CAN_PLAN = 1 << 3,        /* defer, register and change bonds, import */
	CAN_MANAGE = 1 << 4,      /* lines, maps, instruments, kits, the rulebook */
	CAN_ADMINISTER = 1 << 5   /* people */
};

unsigned rights_of_role(enum role role);

/* The words of the rights that are set, for pages: {"read", "inspect"}. */
extern const char *const right_words[];   /* of bit 1, 2 ... ended by NULL */

#endif
