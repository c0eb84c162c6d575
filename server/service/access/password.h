/*
 * Which passwords may be chosen: long enough in characters, whatever these are, and not one that
 * would be guessed early. Nothing is asked of kinds of characters, and nothing expires: both lead
 * to worse ones (NIST SP 800-63B, 3.1.1.2, from memory).
 *
 * How early is estimated by libzxcvbn: from its lists (the 10,000 passwords that are used most,
 * words, first names and surnames), from dates, runs along the alphabet or a keyboard, repetitions,
 * marks put for letters, and from the names that are no secret here.
 */
#ifndef SERVICE_ACCESS_PASSWORD_H
#define SERVICE_ACCESS_PASSWORD_H

#include "base/problem.h"
#include "base/text.h"
#include "store/store.h"

/* Characters, and bytes of UTF-8. */
enum { PASSWORD_LEAST = 10, PASSWORD_MOST_BYTES = 200 };

/* Names that are no secret: the person's own, the railway's lines', this program's. Small letters,
 * each ended by NUL. Zeroed before; release it after. */
struct password_names {
	struct text words;
	size_t count;
};

/* login, name: of the person whose password it is to be. False: *why. */
bool password_names_read(struct store *store, const char *login, const char *name,
	struct password_names *to, struct problem *why);
void password_names_release(struct password_names *names);

/* False: *why, at `field`, says why not. */
bool password_fits(const char *password, const struct password_names *names, const char *field,
	struct problems *why);

#endif
