/*
 * Codes that are shown once and typed once, perhaps from paper: 120 random bits as 24 letters and
 * figures of base32 (RFC 4648), in groups of four. So many bits are kept as a plain hash.
 */
#ifndef SERVICE_ACCESS_CODE_H
#define SERVICE_ACCESS_CODE_H

#include <stdbool.h>
#include <stddef.h>

enum { CODE_BYTES = 15, CODE_SIZE = 30, CODE_HASH_SIZE = 65 };

/* Makes one, and its hash. */
void code_make(char code[CODE_SIZE], char hash[CODE_HASH_SIZE]);

/* The hash of what was typed: in either case, with or without its hyphens and blanks. Anything
 * else than a code has "". */
void code_hash(const char *typed, char hash[CODE_HASH_SIZE]);

/* Of any secret text. */
void secret_hash(const char *text, char hash[CODE_HASH_SIZE]);

/* Into size bytes, in groups of four with `joint` between; whole groups of five bytes alone. */
void base32_write(const unsigned char *bytes, size_t len, char joint, char *to, size_t size);

#endif
