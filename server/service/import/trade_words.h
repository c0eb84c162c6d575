/*
 * What the trade calls the register's fields, in several languages. A table, for headings that have
 * no field's own name. Internal to the proposer.
 *
 * A heading is compared word by word, in small plain letters: "Câble n°" is "cable n", "Länge" and
 * "LAENGE" are the same.
 */
#ifndef SERVICE_IMPORT_TRADE_WORDS_H
#define SERVICE_IMPORT_TRADE_WORDS_H

#include <stdbool.h>
#include <stddef.h>

/* How well a heading names a field: 0 not at all; 100 and more: it is one of its names as a whole;
 * less: a name stands in it, the longer the better. */
int trade_word_score(const char *field, const char *heading, size_t len);

/* A heading for the part of a line that has a counting of its own, beside the line's code. */
#define TRADE_SECTION "(section)"

/* The letters without their marks, words parted by single spaces; to holds size bytes. */
void trade_fold(const char *text, size_t len, char *to, size_t size);

#endif
