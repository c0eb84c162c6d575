/*
 * Which passwords may be chosen: long enough in characters, whatever these are, and not one that
 * lists of leaked passwords would try first. Nothing is asked of kinds of characters, and nothing
 * expires: both lead to worse ones (NIST SP 800-63B, 3.1.1.2, from memory).
 */
#ifndef SERVICE_ACCESS_PASSWORD_H
#define SERVICE_ACCESS_PASSWORD_H

#include <stddef.h>

#include "base/problem.h"

/* Characters, and bytes of UTF-8. */
enum { PASSWORD_LEAST = 10, PASSWORD_MOST_BYTES = 200 };

/*
 * login, name: of the person, in whose password they are no secret.
 *
 * What anybody would guess is taken out: common words, the person's own, digits or marks put for
 * letters (0 for o, @ for a), a run along the alphabet or a keyboard's row, and a character over
 * and over. Fewer than 6 characters left: it is refused. False: *why, at `field`, says why.
 */
bool password_fits(const char *password, const char *login, const char *name, const char *field,
	struct problems *why);

#endif
