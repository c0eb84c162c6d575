/* One name=value of a query string: percent-decoded, NUL-terminated, valid UTF-8. */
#ifndef BASE_QUERY_H
#define BASE_QUERY_H

struct query_pair {
	const char *name;
	const char *value;
};

#endif
