/* The listening socket. */
#ifndef HTTP_LISTEN_H
#define HTTP_LISTEN_H

#include "base/problem.h"

/* Opens and listens; port gets the number that was given when it was 0. -1: *why says why not. */
int listen_open(const char *address, unsigned *port, struct problem *why);

#endif
