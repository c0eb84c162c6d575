/* A reply on its way to the client: headers, gzip, and the HTTP library's response. */
#ifndef HTTP_SEND_H
#define HTTP_SEND_H

#include "http/request.h"

struct MHD_Connection;

struct send_how {
	const char *id;        /* X-Request-Id */
	unsigned allowed;      /* methods for Allow, a bit 1 << method each; 0: no Allow */
	bool gzip;             /* the client takes it */
	bool close;            /* the connection ends after this reply */
	bool hsts;             /* RFC 6797 */
};

/* Queues the reply and takes everything it owns over, also on failure. bytes is the length of
 * the body. False: the connection must be closed. */
bool reply_send(struct MHD_Connection *link, struct reply *out, const struct send_how *how,
	uint64_t *bytes);

#endif
