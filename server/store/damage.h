/*
 * Which tables of the register are damaged, as far as this process has seen.
 *
 * A damaged page is met by some statements and not by others: of a list of which page 3 cannot be
 * read, pages 1 and 2 and the totals still could be, and would pass for whole. So a table that was
 * found damaged is read and written no more, by any connection: what asks for it fails with
 * PROBLEM_DAMAGED until the register was restored and the program started again.
 */
#ifndef STORE_DAMAGE_H
#define STORE_DAMAGE_H

#include "store/store.h"

struct text;

/* Looks at every table, as SQLite's quick_check does; those that are damaged are known then. Long
 * on a large register: store_interrupt ends it, and without haste it rests most of the time. */
void store_look(struct store *store, bool in_haste);

/* From another thread: what the connection is doing fails, and it is good for nothing more. */
void store_interrupt(struct store *store);

/* Names what is damaged ("reading, bond_state"); false: nothing is known to be. */
bool store_damaged(struct text *names);

/* The same as a problem; true when nothing is known to be damaged. */
bool store_is_sound(struct problem *why);

/* For tests: it is another register from now on. */
void store_damage_forget(void);

#endif
