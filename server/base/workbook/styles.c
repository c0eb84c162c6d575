#include "base/workbook/styles.h"

#include <ctype.h>
#include <stdlib.h>
#include <string.h>

#include "base/array.h"

enum { FIRST_OWN = 164 };

/* A format that the workbook brings itself. */
struct own {
	long id;
	struct style style;
};

struct reading {
	struct styles *to;
	struct own *own;
	size_t n_own;
	bool in_cells;
};

/* The letters of a code that stand for something; what is quoted, escaped or in brackets does
 * not. [h], [m] and [s] are elapsed time. */
struct style style_of_code(const char *code)
{
	bool has_day = false, has_time = false, has_elapsed = false, zeros_only = true;
	size_t zeros = 0;

	for (const char *at = code; *at != '\0' && *at != ';'; at++) {
		char c = (char)tolower((unsigned char)*at);

		zeros += c == '0';
		zeros_only = zeros_only && c == '0';
		if (c == '"') {
			at = strchr(at + 1, '"');
		} else if (c == '[') {
			has_elapsed = has_elapsed || strchr("hms", tolower((unsigned char)at[1])) != NULL;
			at = strchr(at + 1, ']');
		} else if (c == '\\' || c == '_' || c == '*') {
			at += at[1] != '\0';
		} else if (strncasecmp(at, "general", 7) == 0) {
			at += 6;
		} else {
			has_day = has_day || c == 'y' || c == 'd';
			has_time = has_time || c == 'h' || c == 's';
			has_day = has_day || (c == 'm' && !has_time && strchr(at, 's') == NULL &&
				strchr(at, 'h') == NULL);
		}
		if (at == NULL) {
			break;
		}
	}
	zeros = zeros_only && zeros > 1 && zeros < 16 ? zeros : 0;
	return (struct style){ has_elapsed ? STYLE_ELAPSED : has_day ? STYLE_DAY : has_time ?
		STYLE_TIME : STYLE_NUMBER, (unsigned char)zeros };
}

/* The formats that every workbook has without saying them. (ECMA-376-1, 18.8.30) */
static struct style built_in(long id)
{
	bool is_day = (id >= 14 && id <= 17) || id == 22 || (id >= 27 && id <= 31) || id == 36 ||
		(id >= 50 && id <= 58);
	bool is_time = (id >= 18 && id <= 21) || (id >= 32 && id <= 35) || id == 45 || id == 47;

	return (struct style){ is_day ? STYLE_DAY : id == 46 ? STYLE_ELAPSED : is_time ? STYLE_TIME :
		STYLE_NUMBER, 0 };
}

static struct style style_of(const struct reading *r, long id)
{
	for (size_t i = 0; i < r->n_own; i++) {
		if (r->own[i].id == id) {
			return r->own[i].style;
		}
	}
	return id < FIRST_OWN ? built_in(id) : (struct style){ STYLE_NUMBER, 0 };
}

static long number_of(const char *text)
{
	return text != NULL ? strtol(text, NULL, 10) : 0;
}

static bool begin(void *app, const char *name, const char **attributes, struct problem *why)
{
	struct reading *r = app;
	const char *local = xml_local(name);
	long id = number_of(xml_attribute(attributes, "numFmtId"));

	if (strcmp(local, "cellXfs") == 0) {
		r->in_cells = true;
	} else if (r->in_cells && strcmp(local, "xf") == 0) {
		if (r->to->count == STYLES || !array_grow((void **)&r->to->style, r->to->count,
			sizeof *r->to->style, NULL)) {
			return problem_set(why, PROBLEM_TOO_LARGE, NULL, "The workbook has more than %d "
				"formats: save the sheet alone, as CSV.", STYLES);
		}
		r->to->style[r->to->count++] = style_of(r, id);
	} else if (strcmp(local, "numFmt") == 0 && xml_attribute(attributes, "formatCode") != NULL) {
		if (r->n_own == STYLES || !array_grow((void **)&r->own, r->n_own, sizeof *r->own, NULL)) {
			return problem_set(why, PROBLEM_TOO_LARGE, NULL, "The workbook has more than %d "
				"formats: save the sheet alone, as CSV.", STYLES);
		}
		r->own[r->n_own++] = (struct own){ id,
			style_of_code(xml_attribute(attributes, "formatCode")) };
	}
	return true;
}

static bool end(void *app, const char *name, struct problem *why)
{
	struct reading *r = app;

	(void)why;
	r->in_cells = r->in_cells && strcmp(xml_local(name), "cellXfs") != 0;
	return true;
}

bool styles_read(struct archive *archive, const char *part, struct styles *styles,
	struct problem *why)
{
	struct reading r = { .to = styles };
	const struct xml_reader reader = { begin, end, NULL, &r };
	bool ok = xml_read(archive, part, &reader, why);

	free(r.own);
	return ok;
}

void styles_release(struct styles *styles)
{
	free(styles->style);
}
