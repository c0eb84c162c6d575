/* The API description, made from the route, list and form tables, so that it cannot be wrong. */
#ifndef API_DESCRIBE_H
#define API_DESCRIBE_H

#include "http/route.h"

/* Adds an OpenAPI 3.1 document of every route below /api (and the health addresses). */
void describe_api(const struct route *const *tables, struct text *to);

#endif
