/* Temporary bridges: put on before a bond is cut or while it is missing, and counted until off. */
#ifndef STORE_RECORD_BRIDGE_H
#define STORE_RECORD_BRIDGE_H

#include "store/lists/list.h"
#include "store/record/record_kind.h"

/* What is sent of one that is on. The bond is named by its number. */
struct bridge_new {
	char uuid[UUID_TEXT_SIZE];       /* from the address */
	int64_t bond_id;
	char round[UUID_TEXT_SIZE];
	int32_t on_day;
	int64_t at_ms;
	const char *place;               /* from where to where */
	const char *note, *put_on_by;
	int sent_from;
};
extern const struct form bridge_form;
extern const struct record_kind bridge_kind;

/* That it was taken off. */
struct bridge_off_new {
	char uuid[UUID_TEXT_SIZE];       /* from the address */
	char bridge[UUID_TEXT_SIZE];
	char round[UUID_TEXT_SIZE];
	int32_t off_day;
	int64_t at_ms;
	const char *note, *taken_off_by;
	int sent_from;
};
extern const struct form bridge_off_form;
extern const struct record_kind bridge_off_kind;

/* When it was put on, and whether it is still on; *on_day DAY_NONE: it was withdrawn. */
bool store_bridge(struct store *store, int64_t id, int32_t *on_day, bool *on, struct problem *why);

/* In SQL: a bridge g is still on, as far as anybody has said. What was withdrawn counts for
 * nothing: one whose taking off was withdrawn is on again. */
#define BRIDGE_ON SQL_STANDS(NOUN_BRIDGE, "g.id") " AND NOT EXISTS (SELECT 1 FROM bridge_off x " \
	"WHERE x.bridge_id = g.id AND " SQL_STANDS(NOUN_BRIDGE_OFF, "x.id") ")"

extern const struct list bridge_list;

#endif
