#include "service/import/opened.h"

#include <string.h>

#include "base/utf8.h"

/* "Bonds, Failures and 3 more" */
static void list_names(const struct workbook_sheets *sheets, struct text *to)
{
	enum { SHOWN = 8 };
	size_t shown = 0;

	for (size_t i = 0; i < sheets->count; i++) {
		const struct workbook_sheet *one = &sheets->sheet[i];

		if (!one->is_hidden && shown++ < SHOWN) {
			text_addf(to, "%s%.*s", shown > 1 ? ", " : "",
				(int)utf8_fit(one->name, strlen(one->name), 30), one->name);
		}
	}
	if (shown > SHOWN) {
		text_addf(to, " and %zu more", shown - SHOWN);
	}
}

static bool ask_sheet(const struct workbook_sheets *sheets, const char *named, struct problems *why)
{
	struct text names = { 0 };

	list_names(sheets, &names);
	if (named != NULL) {
		problems_add(why, PROBLEM_VALUE, "sheet", "The workbook has no sheet %.60s; it has %s.",
			named, names.failed || names.len == 0 ? "others" : names.data);
	} else {
		problems_add(why, PROBLEM_VALUE, "sheet", "The workbook has several sheets: say which one "
			"(sheet): %s.", names.failed || names.len == 0 ? "by its name" : names.data);
	}
	text_release(&names);
	return false;
}

/* By its name, or the only one that is to be seen; SIZE_MAX: it is to be chosen. */
static size_t choose_sheet(const struct workbook_sheets *sheets, const char *named, bool proposing)
{
	size_t first = SIZE_MAX, shown = 0;

	for (size_t i = 0; i < sheets->count; i++) {
		const struct workbook_sheet *one = &sheets->sheet[i];

		if (named != NULL && strcmp(one->name, named) == 0) {
			return i;
		}
		first = first == SIZE_MAX && !one->is_hidden ? i : first;
		shown += !one->is_hidden;
	}
	return named != NULL || (shown > 1 && !proposing) ? SIZE_MAX : first != SIZE_MAX ? first : 0;
}

static bool open_workbook(const char *bytes, size_t len, bool proposing,
	struct import_settings *settings, struct import_opened *to, struct problems *why)
{
	const struct form_reading reading = import_reading(settings);
	const struct workbook_writing writing = { reading.decimal, reading.day_format };
	struct problem one = { 0 };
	size_t sheet;

	if (!workbook_list(bytes, len, &to->sheets, &one)) {
		return problems_take(why, &one);
	}
	sheet = choose_sheet(&to->sheets, settings->sheet, proposing);
	if (sheet == SIZE_MAX) {
		return ask_sheet(&to->sheets, settings->sheet, why);
	}
	if (!workbook_rows(bytes, len, sheet, &writing, &to->rows, &one)) {
		return problems_take(why, &one);
	}
	settings->sheet = to->sheets.sheet[sheet].name;
	settings->separator = SEPARATOR_COMMA;
	return to->rows.len > 0 || problems_add(why, PROBLEM_MALFORMED, "sheet",
		"The sheet %.60s is empty: choose another.", settings->sheet);
}

bool import_open(const char *bytes, size_t len, bool proposing, struct import_settings *settings,
	struct import_opened *to, struct problems *why)
{
	struct problem one = { 0 };
	bool ok = true;

	*to = (struct import_opened){ .bytes = bytes, .len = len,
		.is_utf16 = charset_is_utf16(bytes, len) };
	if (workbook_is(bytes, len)) {
		ok = open_workbook(bytes, len, proposing, settings, to, why);
	} else if (to->is_utf16) {
		ok = charset_utf16_to_utf8(bytes, len, &to->rows, &one) || problems_take(why, &one);
	} else {
		return true;
	}
	settings->encoding = CHARSET_UTF_8;
	to->bytes = to->rows.data != NULL ? to->rows.data : "";
	to->len = to->rows.len;
	return ok;
}

void import_opened_release(struct import_opened *opened)
{
	text_release(&opened->rows);
	workbook_sheets_release(&opened->sheets);
}
