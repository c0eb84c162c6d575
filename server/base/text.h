/*
 * A growing buffer of bytes: the one string builder of the program.
 *
 * A zeroed struct is empty and valid. When memory runs out `failed` is set, further calls do
 * nothing, and the owner checks it once at the end. data is NUL-terminated whenever it is not
 * NULL, but may also hold NUL bytes: len is what counts.
 */
#ifndef BASE_TEXT_H
#define BASE_TEXT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

struct text {
	char *data;    /* owned */
	size_t len;    /* bytes, without the closing NUL */
	size_t size;   /* bytes allocated */
	bool failed;
};

void text_release(struct text *t);

/* Empties it and keeps the memory. */
void text_clear(struct text *t);

/* Makes room for `more` further bytes and gives the place to write them; the caller then adds
 * to t->len what it wrote. NULL when memory ran out. */
char *text_grow(struct text *t, size_t more);

/* (here, because a page of a list is some thousand calls of these) */
static inline char *text_room(struct text *t, size_t more)
{
	return t->size - t->len > more && !t->failed ? t->data + t->len : text_grow(t, more);
}

static inline void text_add(struct text *t, const char *bytes, size_t len)
{
	char *to = text_room(t, len);

	if (to != NULL) {
		if (len > 0) {
			memcpy(to, bytes, len);
		}
		to[len] = '\0';
		t->len += len;
	}
}

static inline void text_add_z(struct text *t, const char *z)
{
	text_add(t, z, strlen(z));
}

static inline void text_add_char(struct text *t, char c)
{
	text_add(t, &c, 1);
}

enum { INTEGER_MOST = 20 };
/* Writes the decimal digits, with the sign of what is negative; how many bytes (INTEGER_MOST at
 * most, no NUL). */
size_t integer_write(int64_t value, char *to);
void text_add_integer(struct text *t, int64_t value);
void text_addf(struct text *t, const char *format, ...) __attribute__((format(printf, 2, 3)));

/* The shortest decimal form that reads back to the same double ("0.1", never
 * "0.10000000000000001"); "null" for what is not finite. Always a point, whatever the locale. */
void text_add_real(struct text *t, double value);

/* As a JSON string with its quotes. The bytes must be valid UTF-8; what is not becomes U+FFFD. */
void text_add_json(struct text *t, const char *bytes, size_t len);

/* As a value of a query string: what is not a letter, a digit or one of - _ . is
 * percent-encoded. */
void text_add_query(struct text *t, const char *z);

/* Hands the bytes to the caller, who frees them with free(); t is empty after. */
char *text_detach(struct text *t, size_t *len);

#endif
