#include "base/problem.h"

#include <stdarg.h>
#include <string.h>

#include "base/utf8.h"

/* What others quote into a sentence may be anything: a detail is always valid text on one line. */
static void scrub(char *text)
{
	size_t len = strlen(text);
	size_t at = 0;

	while (at < len) {
		size_t step = utf8_step(text + at, len - at);

		if (step == 0 || (unsigned char)text[at] < 0x20) {
			text[at] = step == 0 ? '?' : ' ';
			step = 1;
		}
		at += step;
	}
}

static void fill(struct problem *why, enum problem_code code, const char *field,
	const char *format, va_list args) __attribute__((format(printf, 4, 0)));

static void fill(struct problem *why, enum problem_code code, const char *field,
	const char *format, va_list args)
{
	why->code = code;
	text_fit(why->field, sizeof why->field, "%s", field != NULL ? field : "");
	scrub(why->field);
	text_fit_va(why->detail, sizeof why->detail, format, args);
	scrub(why->detail);
}

bool problem_set(struct problem *why, enum problem_code code, const char *field,
	const char *format, ...)
{
	va_list args;

	va_start(args, format);
	fill(why, code, field, format, args);
	va_end(args);
	return false;
}

bool problems_add(struct problems *all, enum problem_code code, const char *field,
	const char *format, ...)
{
	if (all->count < PROBLEMS_SHOWN) {
		va_list args;

		va_start(args, format);
		fill(&all->item[all->count], code, field, format, args);
		va_end(args);
	}
	all->count++;
	return false;
}

bool problems_take(struct problems *all, const struct problem *one)
{
	if (one->code == PROBLEM_NONE) {
		return false;
	}
	if (all->count < PROBLEMS_SHOWN) {
		all->item[all->count] = *one;
	}
	all->count++;
	return false;
}

enum problem_code problems_code(const struct problems *all)
{
	return all->count > 0 ? all->item[0].code : PROBLEM_NONE;
}
