/* Deferrals, attachments, instruments, kits. Texts in the structs are borrowed. */
#ifndef STORE_RECORD_WORK_H
#define STORE_RECORD_WORK_H

#include "rules/uncertainty.h"
#include "store/record/line.h"
#include "store/record/sent.h"

/* In SQL: the day on which a renewal of the rail took the end off to which the attachment a had
 * been made before; NULL: none did. */
#define ATTACHMENT_ENDED_DAY "(SELECT min(x.ended_day) FROM attachment_end x " \
	"JOIN renewal y ON y.id = x.renewal_id WHERE x.bond_id = a.bond_id " \
	"AND x.bond_end = a.bond_end AND a.made_day < x.ended_day AND y.withdrawn = 0 " \
	"AND NOT EXISTS (SELECT 1 FROM renewal z WHERE z.replaces_id = y.id))"

/* The bond and the end of a kept attachment; 0 and -1: there is none. */
bool store_attachment_end(struct store *store, int64_t id, int64_t *bond_id, int *bond_end,
	struct problem *why);

/* The live attachment of an end: the newest that no other replaces, if no renewal of the rail ended
 * it. *id 0: none. */
struct attachment_live {
	int64_t id;
	char uuid[UUID_TEXT_SIZE];
	int32_t made_day;
	enum attach_method method;
	char person[128], kit[64], batch[64];   /* "" when not recorded */
	char entered_by[128];               /* "": from the command line */
	int64_t entered_at_ms;
	int64_t offset_mm;                  /* FORM_NO_INTEGER: not recorded */
};
bool store_attachment_live(struct store *store, int64_t bond_id, enum bond_end end,
	struct attachment_live *to, struct problem *why);

struct instrument {
	int64_t id;
	const char *serial, *name;
};
struct calibration_row {
	int64_t instrument_id;
	int32_t calibrated_day, due_day;
	double uncertainty_percent, uncertainty_uohm;   /* as entered, of the figure_kind */
	enum as_found as_found;
	enum figure_kind figure_kind;
};
bool store_instrument_insert(struct store *store, struct instrument *instrument,
	const struct origin *origin, struct problem *why);
bool store_calibration_insert(struct store *store, const struct calibration_row *calibration,
	const struct origin *origin, struct problem *why);
bool store_instrument_find(struct store *store, const char *serial, int64_t *id,
	struct problem *why);

/* The first day of which readings with the instrument may be worth something else once the
 * calibration is inserted: its own, or that of the one before, when it finds the instrument out of
 * its limits or comes before or instead of one that is on record. */
bool store_calibration_reach(struct store *store, const struct calibration_row *calibration,
	int32_t *from_day, struct problem *why);

/* What it can do, as in struct meter (rules/uncertainty.h); 0: not stated. */
bool store_instrument_methods(struct store *store, int64_t instrument_id, int64_t *methods,
	struct problem *why);
bool store_instrument_methods_put(struct store *store, int64_t instrument_id, int64_t methods,
	const struct origin *origin, struct problem *why);

struct kit {
	int64_t id;
	const char *code, *name;
};
bool store_kit_insert(struct store *store, struct kit *kit, const struct origin *origin,
	struct problem *why);
bool store_kit_find(struct store *store, const char *code, int64_t *id, struct problem *why);

/* True in *there when one with the same content is kept, and is the one of its day that counts. */
bool store_calibration_kept(struct store *store, const struct calibration_row *calibration,
	bool *there, struct problem *why);
bool store_instrument_kept(struct store *store, const struct instrument *instrument, bool *there,
	struct problem *why);
bool store_kit_kept(struct store *store, const struct kit *kit, bool *there, struct problem *why);

/* True in *there when a record of that number is kept. */
bool store_instrument_exists(struct store *store, int64_t id, bool *there, struct problem *why);
bool store_kit_exists(struct store *store, int64_t id, bool *there, struct problem *why);

extern const struct list deferral_list;
extern const struct list attachment_list;
/* The same of every bond, also of one that was withdrawn: what was recorded stays readable. */
extern const struct list entered_deferral_list;
extern const struct list entered_attachment_list;
extern const struct list instrument_list;
extern const struct list kit_list;

#endif
