/* What each role may do: bits of a route's right (http/request.h), made here and nowhere else. */
#ifndef API_RIGHTS_H
#define API_RIGHTS_H

#include "http/request.h"
#include "rules/terms.h"
#include "store/record/secret.h"

enum {
	CAN_READ = 1 << 1,
	CAN_INSPECT = 1 << 2,     /* record inspections, failures, repairs, attachments */
	CAN_PLAN = 1 << 3,        /* defer, register and change bonds, import */
	CAN_MANAGE = 1 << 4,      /* lines, maps, instruments, kits, the rulebook */
	CAN_ADMINISTER = 1 << 5,  /* people */
	CAN_OWN = 1 << 6,         /* whoever is signed in: their sessions, password, second factor */
	CAN_METER = 1 << 7        /* the counters of the program */
};

unsigned rights_of_role(enum role role);
unsigned rights_of_scope(enum token_scope scope);

/* Those of who lacks a second factor that is required of them. */
enum { RIGHTS_LACKING = CAN_OWN };

/* The words of the rights that are set, for pages: {"read", "inspect"}. */
extern const char *const right_words[];   /* of bit 1, 2 ... ended by NULL */

#endif
