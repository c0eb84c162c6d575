/* A row of bond_state, for the files of store/ that read it. */
#ifndef STORE_RECORD_BOND_ROW_H
#define STORE_RECORD_BOND_ROW_H

#include "store/record/bond.h"
#include "store/sql.h"

#define BOND_STATE_COLUMNS "s.version, s.chainage, s.last_inspection_day, s.due_day, " \
	"s.soon_from_day, s.overdue_from_day, s.due_basis, s.deferred_to_day, s.deferral_id, " \
	"s.failures_open, s.rulebook_version, s.grade, s.reasons, s.evidence_until_day, " \
	"s.worst_quantity, s.worst_verdict, s.limit_ppm, s.crosses_day, s.early_day, s.act_since_day, s.line_id, " \
	"s.kind, s.criticality, s.surveyed, s.asked, s.inspect_day, s.mend_day, " \
	"s.commissioning_day, s.lacks_since_day, s.wants_reading, s.ever_proved, s.is_watched, " \
	"s.judged_again, s.notice_days, s.own_months, s.edition, s.odd, s.visits"
enum { BOND_STATE_VISITS = 37 };   /* which of them is no part of bond_state_read */

/* Every bond as it was said last, also one that was withdrawn, which has no state: for an entry that
 * is asked for by its id, since what was recorded stays readable. */
#define BOND_STATED(column) "(SELECT k." column " FROM bond_state k WHERE k.bond_id = v.bond_id)"
#define EVERY_BOND "(SELECT v.bond_id, v.version, v.kind, v.label, v.line_id, " \
	BOND_STATED("chainage") " AS chainage, " BOND_STATED("deferral_id") " AS deferral_id " \
	"FROM bond_fact v WHERE v.version = (SELECT max(n.version) FROM bond_fact n " \
	"WHERE n.bond_id = v.bond_id))"

/* The columns above; row[0] is the first. */
void bond_state_read(sqlite3_value **row, struct bond_state *to);

#endif
