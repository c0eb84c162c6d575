/*
 * What went wrong, as a value with one sentence for the person who can act on it.
 *
 * Three kinds are never mixed: refused by a rule (the person can act), failed below us
 * (PROBLEM_STORE, _DAMAGED, _FULL, _NO_MEMORY: logged with the cause, told without it), and a bug
 * (assert). The HTTP status, slug and title of each code stand in one table, http/problem_table.c.
 *
 * The caller owns the struct; nothing in it is freed. A zeroed one is "no problem".
 */
#ifndef BASE_PROBLEM_H
#define BASE_PROBLEM_H

#include <stdbool.h>
#include <stddef.h>

enum problem_code {
	PROBLEM_NONE,
	PROBLEM_MALFORMED,            /* not JSON, not UTF-8, not CSV, not a cursor */
	PROBLEM_VALUE,                /* a member, column or query value is wrong */
	PROBLEM_CHAINAGE_SYNTAX,      /* not written in the line's notation */
	PROBLEM_CHAINAGE_IN_GAP,      /* names both sides of the gap */
	PROBLEM_CHAINAGE_AMBIGUOUS,   /* lists the candidates with their qualifiers */
	PROBLEM_CHAINAGE_OUTSIDE,     /* before the first or after the last stretch of the map */
	PROBLEM_RULE,                 /* well-formed, but a rule of the domain refuses it */
	PROBLEM_CONFLICT,             /* the same id with other content, a label in use */
	PROBLEM_NOT_FOUND,
	PROBLEM_NO_ROUTE,
	PROBLEM_METHOD,               /* known path, other method */
	PROBLEM_METHOD_UNKNOWN,
	PROBLEM_SIGN_IN,              /* nobody is signed in, or name and password do not match */
	PROBLEM_RIGHT,                /* signed in, but the role may not do this */
	PROBLEM_CROSS_SITE,           /* an unsafe request from another site */
	PROBLEM_CHANGED,              /* If-Match names an older version */
	PROBLEM_NEEDS_IF_MATCH,
	PROBLEM_TOO_LARGE,
	PROBLEM_HEAD_LARGE,           /* of a request: its first line and headers */
	PROBLEM_MEDIA_TYPE,
	PROBLEM_TOO_MANY,             /* try again later: limits of rate or of work under way */
	PROBLEM_BUSY,                 /* outcome unknown or not begun: send again */
	PROBLEM_STORE,                /* failed below us: send again */
	PROBLEM_DAMAGED,              /* the register itself: to be restored from a backup */
	PROBLEM_FULL,                 /* no room on the disk: not kept, send again when there is */
	PROBLEM_NO_MEMORY,
	PROBLEM_CODES
};

enum { PROBLEM_FIELD_SIZE = 64, PROBLEM_DETAIL_SIZE = 320 };

struct problem {
	enum problem_code code;
	char field[PROBLEM_FIELD_SIZE];    /* JSON member, column or query name at fault, or "" */
	char detail[PROBLEM_DETAIL_SIZE];  /* one sentence: what is wrong and what would be right */
};

/* Fills *why and returns false, so that a check can end "return problem_set(...)".
 * field may be NULL. Text that does not fit is cut at a character and ends in "...". */
bool problem_set(struct problem *why, enum problem_code code, const char *field,
	const char *format, ...) __attribute__((format(printf, 4, 5)));

/* Every wrong member at once. What does not fit is counted and left out. */
enum { PROBLEMS_SHOWN = 16 };

struct problems {
	size_t count;                      /* of all, also those not kept in item[] */
	struct problem item[PROBLEMS_SHOWN];
};

/* Adds one and returns false. The first one decides the HTTP status. */
bool problems_add(struct problems *all, enum problem_code code, const char *field,
	const char *format, ...) __attribute__((format(printf, 4, 5)));

/* Adds a copy of *one (no-op when it is PROBLEM_NONE); returns false. */
bool problems_take(struct problems *all, const struct problem *one);

/* The code of the first, PROBLEM_NONE when there is none. */
enum problem_code problems_code(const struct problems *all);

#endif
