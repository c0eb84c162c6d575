/* A proposal as JSON. */
#include <string.h>

#include "service/import/propose_columns.h"
#include "service/import/unit.h"

static void write_cells(const struct csv_cell *cells, size_t n, struct text *to)
{
	text_add_char(to, '[');
	for (size_t i = 0; i < n; i++) {
		text_add_z(to, i > 0 ? "," : "");
		text_add_json(to, cells[i].text, cells[i].len);
	}
	text_add_char(to, ']');
}

static void write_reasons(const struct import_proposal *p, struct text *to)
{
	const struct { const char *name, *why; } reasons[] = {
		{ "sheet", p->sheet_why }, { "separator", p->separator_why },
		{ "encoding", p->encoding_why }, { "decimal", p->decimal_why },
		{ "day_order", p->day_order_why },
		{ "first_row", p->first_row_why }, { "begins_row", p->shape.begins_why },
		{ "ends_row", p->shape.ends_why } };
	const char *joint = "";

	for (size_t i = 0; i < sizeof reasons / sizeof reasons[0]; i++) {
		if (reasons[i].why[0] != '\0') {
			text_addf(to, "%s\"%s\":", joint, reasons[i].name);
			text_add_json(to, reasons[i].why, strlen(reasons[i].why));
			joint = ",";
		}
	}
}

/* What a column seems to be in, for each unit that a field may have. */
static void write_column_units(const struct import_proposal *p, const struct import_fields *fields,
	size_t column, struct text *to)
{
	const char *joint = "{";

	for (const struct member *m = fields->form.members; m->name != NULL; m++) {
		bool is_first = units_of(m) != NULL;
		const char *code;
		char why[CSV_WHY_SIZE];

		for (const struct member *before = fields->form.members; is_first && before < m; before++) {
			is_first = strcmp(unit_family(before), unit_family(m)) != 0;
		}
		if (is_first) {
			code = import_unit_like(p, m, column, why);
			text_addf(to, "%s\"%s\":{\"unit\":", joint, unit_family(m));
			text_addf(to, code != NULL ? "\"%s\"" : "null%.0s", code != NULL ? code : "");
			text_add_z(to, ",\"why\":");
			text_add_json(to, why, strlen(why));
			text_add_char(to, '}');
			joint = ",";
		}
	}
	text_add_z(to, joint[0] == '{' ? "{}" : "}");
}

static void write_sheets(const struct import_proposal *p, struct text *to)
{
	const char *joint = ",\"sheets\":[";

	for (size_t i = 0; i < p->opened.sheets.count; i++) {
		const struct workbook_sheet *one = &p->opened.sheets.sheet[i];

		if (!one->is_hidden) {
			text_add_z(to, joint);
			text_add_json(to, one->name, strlen(one->name));
			joint = ",";
		}
	}
	text_add_z(to, joint[1] != '\0' ? "" : "]");
}

static void write_units(const struct import_proposal *p, struct text *to)
{
	struct import_fields fields;

	import_kind_fields(p->kind, &fields);
	text_add_z(to, ",\"units\":[");
	for (size_t i = 0; i < p->n_columns; i++) {
		text_add_z(to, i > 0 ? "," : "");
		write_column_units(p, &fields, i, to);
	}
	text_add_char(to, ']');
}

void import_proposal_write(const struct import_proposal *p, struct text *to)
{
	struct problems missing = { 0 };

	text_add_z(to, "{\"settings\":");
	form_write(&import_settings_form, &p->settings, to);
	text_add_z(to, ",\"reasons\":{");
	write_reasons(p, to);
	text_add_char(to, '}');
	write_sheets(p, to);
	text_add_z(to, ",\"columns\":");
	write_cells(p->headings->name, p->n_columns, to);
	text_add_z(to, ",\"preview\":[");
	for (size_t i = 0; i < p->n_rows; i++) {
		text_add_z(to, i > 0 ? "," : "");
		write_cells(p->preview + i * p->n_columns, p->n_columns, to);
	}
	text_add_char(to, ']');
	write_units(p, to);
	text_add_z(to, ",\"missing\":[");
	import_proposal_missing(p, &missing);
	for (size_t i = 0; i < missing.count && i < PROBLEMS_SHOWN; i++) {
		text_addf(to, "%s{\"field\":\"%s\",\"detail\":", i > 0 ? "," : "", missing.item[i].field);
		text_add_json(to, missing.item[i].detail, strlen(missing.item[i].detail));
		text_add_char(to, '}');
	}
	text_add_z(to, "]}");
}
