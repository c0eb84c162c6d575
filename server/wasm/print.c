/*
 * The two printing functions that base/problem.c calls, for rules.wasm: those of the C library
 * would make it import files and clocks. Only the conversions that the sentences of the rules use:
 * %s %.*s %d %u %zu %ld %lld and %%. Any other is a bug, and stops the module, which the case files
 * would show. Held to the C library's by tests/rules/test_print.c.
 */
#include <limits.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

int vsnprintf(char *to, size_t size, const char *format, va_list args);
int snprintf(char *to, size_t size, const char *format, ...);

struct out { char *to; size_t size, len; };

static void put(struct out *o, const char *bytes, size_t len)
{
	for (size_t i = 0; i < len; i++, o->len++) {
		if (o->len + 1 < o->size) {
			o->to[o->len] = bytes[i];
		}
	}
}

static void put_integer(struct out *o, uint64_t rest, int is_negative)
{
	char digits[20];
	size_t at = sizeof digits;

	do {
		digits[--at] = (char)('0' + rest % 10);
		rest /= 10;
	} while (rest > 0);
	put(o, "-", is_negative ? 1 : 0);
	put(o, digits + at, sizeof digits - at);
}

static void put_signed(struct out *o, int64_t value)
{
	put_integer(o, value < 0 ? 0 - (uint64_t)value : (uint64_t)value, value < 0);
}

/* True when the format goes on with these bytes, which are then passed over. */
static int takes(const char **format, const char *conversion)
{
	size_t len = strlen(conversion);

	if (strncmp(*format, conversion, len) != 0) {
		return 0;
	}
	*format += len;
	return 1;
}

int vsnprintf(char *to, size_t size, const char *format, va_list args)
{
	struct out o = { to, size, 0 };

	while (*format != '\0') {
		if (*format != '%') {
			put(&o, format++, 1);
		} else if (takes(&format, "%%")) {
			put(&o, "%", 1);
		} else if (takes(&format, "%s")) {
			const char *text = va_arg(args, const char *);
			put(&o, text, strlen(text));
		} else if (takes(&format, "%.*s")) {
			int most = va_arg(args, int);
			const char *text = va_arg(args, const char *);
			put(&o, text, strnlen(text, most < 0 ? SIZE_MAX : (size_t)most));
		} else if (takes(&format, "%d")) {
			put_signed(&o, va_arg(args, int));
		} else if (takes(&format, "%u")) {
			put_integer(&o, va_arg(args, unsigned), 0);
		} else if (takes(&format, "%zu")) {
			put_integer(&o, va_arg(args, size_t), 0);
		} else if (takes(&format, "%ld")) {
			put_signed(&o, va_arg(args, long));
		} else if (takes(&format, "%lld")) {
			put_signed(&o, va_arg(args, long long));
		} else {
			__builtin_trap();
		}
	}
	if (size > 0) {
		to[o.len < size ? o.len : size - 1] = '\0';
	}
	return o.len > INT_MAX ? -1 : (int)o.len;
}

int snprintf(char *to, size_t size, const char *format, ...)
{
	va_list args;
	int len;

	va_start(args, format);
	len = vsnprintf(to, size, format, args);
	va_end(args);
	return len;
}
