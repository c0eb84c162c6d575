/*
 * Decimal numbers as people and spreadsheets write them, read the same in every locale.
 *
 * A sign (+ - or the minus U+2212), digits, at most one decimal mark with digits on at least one
 * side of it, an exponent (E-05). Nothing else: a mark for thousands makes it no number, because
 * 1.234 and 1,234 are then a thousand apart depending on who reads.
 */
#ifndef BASE_DECIMAL_H
#define BASE_DECIMAL_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* decimal is '.' or ','. False when it is not a number, not finite, or over 60 bytes. */
bool decimal_read(const char *text, size_t len, char decimal, double *value);

/* A whole number, also written "3.0" or "2E3"; exact up to 2^63 - 1 when only digits are used.
 * False when it is not whole, or INT64_MIN. */
bool decimal_read_integer(const char *text, size_t len, char decimal, int64_t *value);

/* True when value is whole and small enough (2^53) to be exact as a double. */
bool decimal_is_whole(double value);

#endif
