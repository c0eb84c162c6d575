/* What those who sign in are answered with, from whatever route. */
#ifndef API_SIGNED_IN_H
#define API_SIGNED_IN_H

#include "http/request.h"
#include "service/access/session.h"
#include "service/access/sign_in.h"

/* {"person": {...}}: who is signed in, and what they may do. */
void signed_in_person(const struct person *person, unsigned rights, struct text *body);

/* Where a session is begun: what the request says of its device. */
struct signed_in_place {
	struct session_place place;              /* points into this */
	char device[DEVICE_NUMBER + 1];
	char token[DEVICE_TOKEN_SIZE];           /* of the device, from now on */
	char former[SESSION_TOKEN_SIZE];
};
void signed_in_place(const struct request *req, const struct person *person,
	struct signed_in_place *to);

/* The session's cookie, whose own life is the session's, and the device's, for the next sign-in
 * there and for nothing else. */
void signed_in_cookies(const struct request *req, struct reply *out, const struct person *person,
	const struct signed_in_place *from, const char *token);
void signed_out_cookie(const struct request *req, struct reply *out);

/* Of the device, into size bytes; false: it has none. */
bool device_cookie_of(const struct request *req, char *to, size_t size);

#endif
