/*
 * What may be sent: a body of the API or a row of an imported file, described once as a table.
 *
 * From the table come decoding (of a JSON object, or of text cells), a problem that names every
 * wrong member at once, and the API description. Values land in a plain C struct through the
 * offset of each member. What was not sent is left at its "absent" value:
 *
 *   type             field in the struct         absent
 *   MEMBER_TEXT      const char *                NULL
 *   MEMBER_INTEGER   int64_t                     FORM_NO_INTEGER
 *   MEMBER_REAL      double                      NAN
 *   MEMBER_FLAG      int                         -1
 *   MEMBER_DAY       int32_t                     DAY_NONE
 *   MEMBER_INSTANT   int64_t, UTC milliseconds   FORM_NO_INTEGER
 *   MEMBER_WORD      int (index into words)      -1
 *   MEMBER_UUID      char[UUID_TEXT_SIZE]        ""
 *   MEMBER_OBJECT    the struct of its form      all its members absent
 *   MEMBER_LIST      struct form_list            count 0
 *
 * Text and lists are owned by the struct form_memory of the decoding and valid until its release.
 * An unknown member is refused. JSON null means absent. A number may be sent as 3 or as 3.0.
 * Text loses the white space around it and is absent when nothing is left; a line ends in LF;
 * control characters other than that and the tab are refused.
 */
#ifndef BASE_FORM_H
#define BASE_FORM_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/day.h"
#include "base/problem.h"
#include "base/table.h"
#include "base/text.h"
#include "base/uuid.h"

#define FORM_NO_INTEGER INT64_MIN

enum member_type {
	MEMBER_TEXT, MEMBER_INTEGER, MEMBER_REAL, MEMBER_FLAG, MEMBER_DAY, MEMBER_WORD,
	MEMBER_UUID, MEMBER_OBJECT, MEMBER_LIST, MEMBER_INSTANT
};

struct form;

struct member {
	const char *name;             /* JSON member, and the column a mapping maps to */
	const char *title;            /* for people: "Cross-section" */
	const char *unit;             /* NULL when there is none */
	enum member_type type;
	bool required;
	size_t offset;                /* offsetof(struct ..., field) */
	double least, most;           /* of a number, inclusive; both 0: no bounds; INFINITY: open */
	size_t longest;               /* of a text, bytes, or items of a list; 0: 200 */
	size_t characters;            /* of a text that is limited so, longest four times that; 0 */
	const struct words *words;    /* MEMBER_WORD */
	const struct form *form;      /* MEMBER_OBJECT, MEMBER_LIST (the form of one item; when its
	                                 only member is named "", the items are bare values) */
	const char *help;             /* one sentence, NULL when the title says it all */
	/* what a person who has a file before him calls it, a heading: then sentences name it so, and
	 * words by their titles; NULL: by its name, and words by their codes */
	const char *shown;
	/* of the record's table, which keeps it as it was sent; NULL: it is no value of its own there,
	 * or somebody works out what is kept */
	const char *column;
};

struct form {
	const char *name;             /* in the API description: "Inspection" */
	const struct member *members; /* ended by a member whose name is NULL */
	size_t size;                  /* sizeof the struct */
};

struct form_list {
	void *items;                  /* count structs of the item's form, side by side */
	size_t count;
};

/* Memory of one decoding; zeroed at first, released by the caller when done with the struct. */
struct form_memory {
	struct form_block *blocks;
};

void form_memory_release(struct form_memory *memory);
/* Hands what `from` has over to `to`; from is empty after. */
void form_memory_join(struct form_memory *to, struct form_memory *from);
void *form_alloc(struct form_memory *memory, size_t size);   /* zeroed; NULL: out of memory */

/* Sets every member of the struct at `to` to its absent value. */
void form_clear(const struct form *form, void *to);

/* How to read the cells of a file. */
struct form_reading {
	enum day_format day_format;
	char decimal;                 /* '.' or ',': the decimal mark of numbers */
};

/*
 * Decodes a JSON text (UTF-8, an object) into the struct at `to`, which is cleared first.
 * Limits: depth 8, duplicate keys refused, len is the caller's business.
 * False: *why names every wrong, unknown or missing member ("readings[2].current_a" for members
 * within); code PROBLEM_VALUE, or PROBLEM_MALFORMED when it is no JSON object at all.
 */
bool form_from_json(const struct form *form, const char *json, size_t len, void *to,
	struct form_memory *memory, struct problems *why);

/*
 * The same of what was kept, perhaps by an older or a newer program: nothing is required, what is
 * not known is passed over, and a number that was within bounds then is within them now. `lacks`
 * receives a `const char *` for each single value that the text does not even name, by its path
 * ("limits.structure.joint_percent"); null names one. Those of lists are not told.
 */
bool form_from_kept(const struct form *form, const char *json, size_t len, void *to,
	struct form_memory *memory, struct form_list *lacks, struct problems *why);

/*
 * Decodes one text value into its member, as a file's cell has it: white space around is dropped,
 * so is the apostrophe before a text that would be a formula (base/guard.h); an empty cell is
 * absent, words match by code or title, numbers use the reading's decimal mark (never one for
 * thousands), flags are yes/no, true/false, 1/0. The cell need not be valid UTF-8 (then it is
 * refused). MEMBER_OBJECT and MEMBER_LIST are refused.
 * False: *why has the member's name as field and the offending value in the sentence.
 */
bool form_from_cell(const struct member *member, const char *cell, size_t len,
	const struct form_reading *reading, void *to, struct form_memory *memory,
	struct problem *why);

/* Adds a problem for each required member that is absent, for a struct filled from cells; a member
 * that *why already names is not named again. True when it adds none. */
bool form_check_required(const struct form *form, const void *from, struct problems *why);

/* True when the member's field in the struct at `from` has its absent value. */
bool form_is_absent(const struct member *member, const void *from);

/* The member of a name, NULL when there is none. */
const struct member *form_member(const struct form *form, const char *name);

/* What a list says of the column that keeps it; of a single value. */
struct column form_column(const struct member *member);

/* Adds the struct as JSON, members in the order of the table, absent ones left out: the same
 * content always gives the same text. */
void form_write(const struct form *form, const void *from, struct text *to);

/* The same with every absent single value as null: a text that names all that there is. */
void form_write_whole(const struct form *form, const void *from, struct text *to);

/* Adds the JSON Schema (2020-12) of the form: {"type":"object","properties":{...}}. */
void form_schema(const struct form *form, struct text *to);

#endif
