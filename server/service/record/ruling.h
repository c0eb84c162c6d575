/*
 * An engineer's word on record, with its reason:
 *
 *   clears_over          what was over of a bond and quantity may be taken as cleared by a later
 *                        reading within of the same attachments, though no work was recorded
 *   accepts_attachment   an attachment that the rules do not accept
 *   confirms_correction  a correction that made a grade better and waits: it counts now
 *   states_meter         what the readings of an import that name no instrument were measured with:
 *                        its expanded uncertainty, k = 2. The newest counts
 *   states_rows          what a row of an import of inspections meant that has no word for each
 *                        end: its visits are complete by it, or done in part (outcome_as_meant,
 *                        rules/terms.h). The newest counts
 */
#ifndef SERVICE_RECORD_RULING_H
#define SERVICE_RECORD_RULING_H

#include "service/record/refer.h"
#include "store/record/correction.h"

struct ruling_new {
	char uuid[UUID_TEXT_SIZE];       /* from the address */
	int kind;
	struct bond_reference of;        /* clears_over */
	int quantity;
	int entry;                       /* enum sent_noun, and id, of what is accepted or confirmed */
	char entry_id[UUID_TEXT_SIZE];
	int64_t import_id;               /* states_meter */
	double percent, uohm;
	int row_meant;                   /* states_rows, of import_id */
	const char *reason;
};
extern const struct form ruling_form;

bool ruling_record(struct act *act, const struct ruling_new *form, struct recorded *recorded,
	struct problems *why);

#endif
