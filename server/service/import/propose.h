/*
 * How a file could be imported: settings with a reason for each, for a person to confirm or change.
 * Nothing here decides.
 */
#ifndef SERVICE_IMPORT_PROPOSE_H
#define SERVICE_IMPORT_PROPOSE_H

#include "base/csv_propose.h"
#include "service/import/heading.h"
#include "service/import/opened.h"
#include "service/import/settings.h"
#include "service/import/shape.h"
#include "service/import/shape_propose.h"

enum { IMPORT_PREVIEW_ROWS = 20 };

struct import_proposal {
	const struct import_kind *kind;
	struct import_settings settings;   /* what was given, and proposals for the rest */
	/* a sentence on each proposal; "" for what was given or cannot be proposed */
	char sheet_why[CSV_WHY_SIZE], separator_why[CSV_WHY_SIZE], encoding_why[CSV_WHY_SIZE],
		decimal_why[CSV_WHY_SIZE], day_order_why[CSV_WHY_SIZE], first_row_why[CSV_WHY_SIZE];
	struct shape_proposal shape;
	size_t n_columns;
	struct import_headings *headings;
	struct csv_cell *preview;          /* n_rows times n_columns */
	size_t n_rows;

	struct import_opened opened;       /* its sheets, when it is a workbook */
	struct form_memory memory;         /* of the above */
	struct text sample;
};

/*
 * given: what was stated already, form_clear'ed when nothing was; its texts outlive the proposal.
 * Columns are proposed when none was given: to each field the column whose heading is its name or
 * its title, a unit beside it or not; to the resistance and the temperature of a reading the only
 * other column that has such a unit. Units are proposed where none was given, from the heading and
 * from the cells, and where these do not agree none is. False: the file cannot be read as stated,
 * or not at all. Release it in any case.
 */
bool import_propose(const struct import_kind *kind, const struct import_settings *given,
	const char *bytes, size_t len, struct import_proposal *to, struct problems *why);
void import_proposal_release(struct import_proposal *proposal);

/* What is to be stated yet: a problem for each. */
void import_proposal_missing(const struct import_proposal *proposal, struct problems *missing);

/* As JSON: {"settings": as import_settings_form, "reasons": {"separator": sentence ...}, "sheets":
 * [name], of a workbook those to be seen, "columns": [heading], "preview": [[cell]], "units": for
 * each column {"µΩ": {"unit": code or null, "why": sentence} ...}, for each unit that the kind's
 * fields have, "missing": [{"field", "detail"}]}: what is to be stated yet. */
void import_proposal_write(const struct import_proposal *proposal, struct text *to);

#endif
