#include "base/log.h"

#include <stdarg.h>
#include <unistd.h>

#include "base/clock.h"
#include "base/day.h"
#include "base/text.h"

static enum log_level most = LOG_INFO;

void log_set_level(enum log_level level)
{
	most = level;
}

void log_line(enum log_level level, const char *event, ...)
{
	struct text line = { 0 };
	char now[INSTANT_TEXT_SIZE];
	const char *key;
	va_list pairs;

	if (level > most) {
		return;
	}
	instant_write(clock_now_ms(), now);
	text_addf(&line, "<%d>%s ", (int)level, now);
	text_add_json(&line, event, __builtin_strlen(event));
	va_start(pairs, event);
	while ((key = va_arg(pairs, const char *)) != NULL) {
		const char *value = va_arg(pairs, const char *);

		text_addf(&line, " %s=", key);
		text_add_json(&line, value != NULL ? value : "", value != NULL ? __builtin_strlen(value) : 0);
	}
	va_end(pairs);
	text_add_char(&line, '\n');
	if (!line.failed) {
		/* one write a line, so that lines of several threads do not mix */
		ssize_t ignored = write(STDERR_FILENO, line.data, line.len);

		(void)ignored;
	}
	text_release(&line);
}
