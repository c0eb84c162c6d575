/* What those who sign in are answered with, from whatever route. */
#ifndef API_SIGNED_IN_H
#define API_SIGNED_IN_H

#include "http/request.h"
#include "store/record/person.h"

/* {"person": {...}}: who is signed in, and what they may do. */
void signed_in_person(const struct person *person, unsigned rights, struct text *body);

/* The session's cookie, whose own life is the session's, and the device's, for the next sign-in
 * there and for nothing else. */
void signed_in_cookies(const struct request *req, struct reply *out, const struct person *person,
	const char *token);
void signed_out_cookie(const struct request *req, struct reply *out);

/* Of the device, into size bytes; false: it has none. */
bool device_cookie_of(const struct request *req, char *to, size_t size);

#endif
