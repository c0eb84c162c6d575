/*
 * One line a record to stderr, logfmt, UTC: level, time, what happened, then key=value pairs.
 * Values are quoted and control characters escaped, so nobody can forge a line.
 *
 *     log_line(LOG_ERROR, "commit failed", "cause", sqlite3_errmsg(db), NULL);
 */
#ifndef BASE_LOG_H
#define BASE_LOG_H

enum log_level { LOG_ERROR = 3, LOG_WARNING = 4, LOG_INFO = 6, LOG_DEBUG = 7 };

/* Lines above this level are dropped; LOG_INFO at start. */
void log_set_level(enum log_level level);

/* Pairs of const char * (key, value), ended by NULL. A NULL value is written as "". */
void log_line(enum log_level level, const char *event, ...) __attribute__((sentinel));

#endif
