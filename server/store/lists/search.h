/*
 * What a person looks for by the beginning of a word: rows to show, with where each leads. Small
 * on purpose: SEARCH_ROWS of each kind, the nearest first.
 *
 * Letters are compared as typed and in capitals (labels), or without regard to capitals a to z
 * (names and codes).
 */
#ifndef STORE_LISTS_SEARCH_H
#define STORE_LISTS_SEARCH_H

#include "store/record/bond.h"
#include "store/record/person.h"

enum { SEARCH_ROWS = 8, SEARCH_TEXT_SIZE = 101 };

struct found_bond {
	int64_t id;
	int64_t distance_mm;
	char label[BOND_LABEL_SIZE];
	char line[LINE_CODE_SIZE];
	char track[LINE_CODE_SIZE];       /* "": not stated */
	char chainage[CHAINAGE_SIZE];
	enum bond_kind kind;
	enum bond_status status;
	int rail;                         /* -1: not stated */
	char structure[BOND_STRUCTURE_SIZE];   /* the mast or equipment that it was found by; "" */
};

struct found_line {
	struct line line;
	int64_t bonds;
};

struct found_person {
	int64_t id;
	char name[PERSON_NAME_SIZE];
	char login[PERSON_LOGIN_SIZE];
	enum role role;
	bool active;
};

struct found_instrument {
	int64_t id;
	char serial[64];
	char name[128];
	int32_t due_day;                  /* of its calibration; DAY_NONE: never calibrated */
};

/* Bonds of all lines whose label begins with the text, in the order of labels. Each of these fills
 * up to SEARCH_ROWS rows. */
bool store_search_bonds(struct store *store, const char *text, struct found_bond *to,
	size_t *count, struct problem *why);

/* Bonds by their label or by the mast or equipment at one of their ends, whose number is parted in
 * another way than it is typed: "sb40/08" is "SB 40 08", "mast 18/04" the mast "18-04". */
bool store_search_numbers(struct store *store, const char *text, struct found_bond *to,
	size_t *count, struct problem *why);

/* The nearest bonds of a line from a place on (after), or before it, the nearest first. */
bool store_search_near(struct store *store, int64_t line_id, int64_t distance_mm, bool after,
	size_t most, struct found_bond *to, size_t *count, struct problem *why);

/* Lines whose code begins with the text; with names, also those with a word of the name that
 * does. */
bool store_search_lines(struct store *store, const char *text, bool names,
	struct found_line *to, size_t *count, struct problem *why);

/* A word of the name begins with the text, or the sign-in name does. */
bool store_search_people(struct store *store, const char *text, struct found_person *to,
	size_t *count, struct problem *why);

/* The serial number, or a word of the name, begins with the text. */
bool store_search_instruments(struct store *store, const char *text,
	struct found_instrument *to, size_t *count, struct problem *why);

#endif
