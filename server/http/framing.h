/*
 * Where requests begin and end in the bytes of a connection, read strictly (RFC 9112), before the
 * HTTP library sees them. The library takes heads that another program in front of it would read
 * as something else (a bare line feed, NUL, a line that goes on in the next); what passes here can
 * be read in one way only. No socket and no HTTP library here.
 */
#ifndef HTTP_FRAMING_H
#define HTTP_FRAMING_H

#include <stdint.h>

#include "base/problem.h"

enum { FRAMING_LINE = 64, FRAMING_HEAD_MOST = 24 << 10, FRAMING_LINES_MOST = 100 };

/* Zeroed at first. */
struct framing {
	enum {
		FRAMING_REQUEST_LINE, FRAMING_HEADERS, FRAMING_BODY,
		FRAMING_CHUNK_LINE, FRAMING_CHUNK, FRAMING_CHUNK_END, FRAMING_TRAILERS,
		FRAMING_LAST    /* no request can follow: http refuses this one and closes */
	} state;
	int part;                  /* of the line: see framing.c */
	char kept[FRAMING_LINE];   /* the beginning of the part under way; of a header, of the line */
	size_t len;                /* of all of it */
	bool carriage;             /* the byte before was the line's CR */
	size_t head_bytes, lines;
	uint64_t left;             /* bytes of the body, or of the chunk */
	bool has_length, is_chunked, doubtful;
	uint64_t heads;            /* that were read to their end */
};

/*
 * Reads on. False: *why says what is wrong: PROBLEM_MALFORMED, PROBLEM_TOO_LARGE (a length beyond
 * 18 digits), or PROBLEM_HEAD_LARGE. *whole is how many of the bytes belong to requests that are
 * whole, so that these can be answered and nothing behind them is read.
 */
bool framing_read(struct framing *f, const char *bytes, size_t len, size_t *whole,
	struct problem *why);

#endif
