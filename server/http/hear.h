/*
 * What a connection's client says passes through here before the HTTP library has it.
 *
 * The library reads with recv(2), or gnutls_record_recv with TLS, and shows no raw bytes. Both
 * are defined in hear.c: the program's own come before those of the libraries, at the library's
 * calls too. For what is no connection of ours they do nothing more. A request whose head did not
 * come this way is not taken (exchange_read_head), so another version of the library that reads
 * in another way is found at once.
 */
#ifndef HTTP_HEAR_H
#define HTTP_HEAR_H

#include "http/connection.h"

/* From here until hear_end the connection's bytes are read by its framing. session: of TLS, or
 * NULL. False: the descriptor is too large a number. */
bool hear_begin(struct connection *c, void *session);
void hear_end(struct connection *c);

#endif
