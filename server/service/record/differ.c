#include "service/record/differ.h"

#include <stdio.h>
#include <string.h>

#include "base/day.h"
#include "base/form_value.h"
#include "base/utf8.h"

static size_t size_of(const struct member *m)
{
	switch (m->type) {
	case MEMBER_TEXT:
		return sizeof (const char *);
	case MEMBER_INTEGER:
	case MEMBER_INSTANT:
		return sizeof (int64_t);
	case MEMBER_REAL:
		return sizeof (double);
	case MEMBER_DAY:
		return sizeof (int32_t);
	case MEMBER_FLAG:
	case MEMBER_WORD:
		return sizeof (int);
	default:
		return 0;                        /* no single value */
	}
}

static bool same(const struct member *m, const void *a, const void *b)
{
	if (form_is_absent(m, a) || form_is_absent(m, b)) {
		return form_is_absent(m, a) && form_is_absent(m, b);
	}
	if (m->type == MEMBER_TEXT) {
		return strcmp(*FORM_FIELD_READ(char *, m, a), *FORM_FIELD_READ(char *, m, b)) == 0;
	}
	if (m->type == MEMBER_REAL) {
		double x = *FORM_FIELD_READ(double, m, a), y = *FORM_FIELD_READ(double, m, b);

		return x <= y && x >= y;
	}
	return memcmp(FORM_FIELD_READ(char, m, a), FORM_FIELD_READ(char, m, b), size_of(m)) == 0;
}

static void write_value(const struct member *m, const void *from, char to[DIFFER_VALUE_SIZE])
{
	char text[DIFFER_VALUE_SIZE] = "not known";

	if (!form_is_absent(m, from)) {
		switch (m->type) {
		case MEMBER_TEXT:
			text_fit(text, sizeof text, "%s", *FORM_FIELD_READ(char *, m, from));
			break;
		case MEMBER_INTEGER:
			snprintf(text, sizeof text, "%lld", (long long)*FORM_FIELD_READ(int64_t, m, from));
			break;
		case MEMBER_INSTANT:
			instant_write(*FORM_FIELD_READ(int64_t, m, from), text);
			break;
		case MEMBER_REAL:
			snprintf(text, sizeof text, "%.10g%s%s", *FORM_FIELD_READ(double, m, from),
				m->unit != NULL ? " " : "", m->unit != NULL ? m->unit : "");
			break;
		case MEMBER_DAY:
			day_write(*FORM_FIELD_READ(int32_t, m, from), text);
			break;
		case MEMBER_FLAG:
			text_fit(text, sizeof text, "%s", *FORM_FIELD_READ(int, m, from) == 1 ? "yes" : "no");
			break;
		default:
			text_fit(text, sizeof text, "%s", m->words->title[*FORM_FIELD_READ(int, m, from)]);
		}
	}
	memcpy(to, text, sizeof text);
}

static bool is_among(const char *const *names, const char *name)
{
	for (size_t i = 0; names[i] != NULL; i++) {
		if (strcmp(names[i], name) == 0) {
			return true;
		}
	}
	return false;
}

bool differ_add(const struct member *member, const char *title, const char *known,
	const char *said, size_t item, struct differences *to)
{
	struct difference *d = &to->all[to->count];

	if (to->count == DIFFER_MOST) {
		return false;
	}
	to->count++;
	*d = (struct difference){ .member = member, .item = item };
	text_fit(d->title, sizeof d->title, "%s", title);
	text_fit(d->known, sizeof d->known, "%s", known);
	text_fit(d->said, sizeof d->said, "%s", said);
	return true;
}

bool differ(const struct form *form, const char *const *without, const void *known,
	const void *said, const char *of, size_t item, struct differences *to)
{
	bool ok = true;

	for (const struct member *m = form->members; ok && m->name != NULL; m++) {
		char title[DIFFER_VALUE_SIZE], is[DIFFER_VALUE_SIZE], would_be[DIFFER_VALUE_SIZE];

		if (size_of(m) == 0 || is_among(without, m->name) || form_is_absent(m, said) ||
			same(m, known, said)) {
			continue;
		}
		text_fit(title, sizeof title, "%s%s%s", of, of[0] != '\0' ? ": " : "", m->title);
		write_value(m, known, is);
		write_value(m, said, would_be);
		ok = differ_add(m, title, is, would_be, item, to);
	}
	return ok;
}

void differ_take(const struct member *m, const void *from, void *to)
{
	memcpy(FORM_FIELD(char, m, to), FORM_FIELD_READ(char, m, from), size_of(m));
}
