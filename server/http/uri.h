/*
 * The target of a request line ("/api/bonds?state=due&q=K%20Loop"), decoded once.
 */
#ifndef HTTP_URI_H
#define HTTP_URI_H

#include "http/request.h"

/*
 * Decodes target in place and points path and query of req into it; it must outlive req.
 *
 * In the path %00, %2f and %5c are refused (they would cut or rearrange it), so are control
 * characters, a backslash and the parts "." and "..". In the query "+" is a space. Path and
 * query must be UTF-8; a query name or value must not hold NUL. A value is sent once: of two nobody
 * could say which counts.
 *
 * False: *why is PROBLEM_MALFORMED, of a value sent twice PROBLEM_VALUE, and names the query value
 * at fault.
 */
bool uri_read(char *target, struct request *req, struct problem *why);

#endif
