/* UUIDs (RFC 9562) in their 36-character lower-case form, NUL-terminated. */
#ifndef BASE_UUID_H
#define BASE_UUID_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { UUID_TEXT_SIZE = 37 };

/* Accepts any version and either case; writes the lower-case form into to when it is not NULL. */
bool uuid_read(const char *text, size_t len, char to[UUID_TEXT_SIZE]);

/* Version 7 from a time and 10 random bytes. */
void uuid_v7(int64_t unix_ms, const unsigned char random[10], char to[UUID_TEXT_SIZE]);

/* Version 8 from 16 bytes of a hash: the same content gives the same id. */
void uuid_v8(const unsigned char hash[16], char to[UUID_TEXT_SIZE]);

#endif
