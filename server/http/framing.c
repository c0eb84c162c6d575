#include "http/framing.h"

#include <stdlib.h>
#include <string.h>
#include <strings.h>

/* The parts of a line: a request line has method, address and version; a header name and value; a
 * chunk's line its size and what else is said of it. */
enum { PART_FIRST, PART_SECOND, PART_THIRD };

enum { CHUNK_DIGITS_MOST = 15, LENGTH_DIGITS_MOST = 18 };

static bool malformed(struct problem *why, const char *sentence)
{
	return problem_set(why, PROBLEM_MALFORMED, NULL, "%s", sentence);
}

/* RFC 9110 section 5.6.2. */
static bool is_token(unsigned char c)
{
	return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == '-' || (c >= '0' && c <= '9') ||
		(c != '\0' && strchr("!#$%&'*+.^_`|~", c) != NULL);
}

static int hexadecimal(unsigned char c)
{
	if (c >= '0' && c <= '9') {
		return c - '0';
	}
	c |= 0x20;
	return c >= 'a' && c <= 'f' ? c - 'a' + 10 : -1;
}

static bool is_shown(unsigned char c)
{
	return c == '\t' || (c >= ' ' && c != 0x7F);
}

static bool keep(struct framing *f, unsigned char c)
{
	if (f->len < FRAMING_LINE - 1) {
		f->kept[f->len] = (char)c;
	}
	f->len++;
	return true;
}

/* ---- one byte of a line ---- */

static const char request_line[] = "The first line of a request is a method, one space, the "
	"address, one space and HTTP/1.1, and has no other space or control character.";

static bool request_byte(struct framing *f, unsigned char c, struct problem *why)
{
	if (c == ' ' && f->len > 0 && f->part < PART_THIRD) {
		f->part++;
		f->len = 0;
		return true;
	}
	return f->part == PART_FIRST ? (is_token(c) ? keep(f, c) : malformed(why, request_line)) :
		c > ' ' && c != 0x7F ? keep(f, c) : malformed(why, request_line);
}

static bool header_byte(struct framing *f, unsigned char c, struct problem *why)
{
	if (f->part == PART_SECOND) {
		return is_shown(c) ? keep(f, c) : malformed(why, "A header has a control character in it.");
	}
	if (c == ':' && f->len > 0) {
		f->part = PART_SECOND;
		return keep(f, c);
	}
	if (c == ' ' || c == '\t') {
		return malformed(why, f->len == 0 ? "A header goes on in the next line: send it in one." :
			"A header has a space in its name.");
	}
	return is_token(c) ? keep(f, c) : malformed(why, "A header is a name, a colon and a value.");
}

static bool chunk_byte(struct framing *f, unsigned char c, struct problem *why)
{
	if (f->part == PART_SECOND) {
		return is_shown(c) || malformed(why, "A chunk has a control character beside its size.");
	}
	if (c == ';' && f->len > 0) {
		f->part = PART_SECOND;
		return true;
	}
	if (hexadecimal(c) < 0 || f->len == CHUNK_DIGITS_MOST) {
		return malformed(why, "A chunk begins with its size in hexadecimal digits.");
	}
	f->left = f->left * 16 + (uint64_t)hexadecimal(c);
	return keep(f, c);
}

/* ---- the end of a line ---- */

static bool end_request_line(struct framing *f, struct problem *why)
{
	f->kept[f->len < FRAMING_LINE ? f->len : FRAMING_LINE - 1] = '\0';
	f->state = FRAMING_HEADERS;
	return (f->part == PART_THIRD && (strcmp(f->kept, "HTTP/1.1") == 0 ||
		strcmp(f->kept, "HTTP/1.0") == 0)) || malformed(why, request_line);
}

/* The value of that header in the line kept, without the spaces around it; NULL: another header. */
static const char *value_of(struct framing *f, const char *name)
{
	size_t skip = strlen(name), len = f->len < FRAMING_LINE ? f->len : FRAMING_LINE - 1;

	if (strncasecmp(f->kept, name, skip) != 0 || f->kept[skip] != ':') {
		return NULL;
	}
	while (f->kept[len - 1] == ' ' || f->kept[len - 1] == '\t') {
		len--;
	}
	f->kept[len] = '\0';
	skip++;
	return f->kept + skip + strspn(f->kept + skip, " \t");
}

static bool take_length(struct framing *f, const char *value, struct problem *why)
{
	size_t digits = strspn(value, "0123456789");

	if (digits == 0 || value[digits] != '\0') {
		return malformed(why, "Content-Length is a number of bytes.");
	}
	if (digits > LENGTH_DIGITS_MOST) {
		return problem_set(why, PROBLEM_TOO_LARGE, NULL, "A body of %s bytes is not taken.", value);
	}
	f->doubtful |= f->has_length || f->is_chunked;
	f->has_length = true;
	f->left = strtoull(value, NULL, 10);
	return true;
}

static bool end_header(struct framing *f, struct problem *why)
{
	const char *value;

	if (f->part != PART_SECOND) {
		return malformed(why, "A header is a name, a colon and a value.");
	}
	f->kept[f->len < FRAMING_LINE ? f->len : FRAMING_LINE - 1] = '\0';
	value = value_of(f, "content-length");
	if (value != NULL) {
		return take_length(f, value, why);
	}
	value = value_of(f, "transfer-encoding");
	if (value != NULL) {
		f->doubtful |= f->has_length || f->is_chunked || strcasecmp(value, "chunked") != 0;
		f->is_chunked = true;
	}
	return true;
}

static void end_request(struct framing *f)
{
	*f = (struct framing){ .heads = f->heads };
}

static void end_head(struct framing *f)
{
	f->heads++;
	f->head_bytes = f->lines = 0;
	if (f->doubtful) {
		f->state = FRAMING_LAST;   /* the guard refuses it, whatever comes behind */
	} else if (f->is_chunked) {
		f->state = FRAMING_CHUNK_LINE;
		f->left = 0;
	} else if (f->left > 0) {
		f->state = FRAMING_BODY;
	} else {
		end_request(f);
	}
}

static bool end_chunk_line(struct framing *f, struct problem *why)
{
	if (f->len == 0) {
		return malformed(why, "A chunk begins with its size in hexadecimal digits.");
	}
	f->state = f->left > 0 ? FRAMING_CHUNK : FRAMING_TRAILERS;
	return true;
}

static bool end_line(struct framing *f, struct problem *why)
{
	bool empty = f->len == 0 && f->part == PART_FIRST;
	bool ok = true;

	f->lines++;
	if (f->state == FRAMING_REQUEST_LINE) {
		ok = end_request_line(f, why);
	} else if (f->state == FRAMING_HEADERS && empty) {
		end_head(f);
	} else if (f->state == FRAMING_HEADERS) {
		ok = end_header(f, why);
	} else if (f->state == FRAMING_CHUNK_LINE) {
		ok = end_chunk_line(f, why);
	} else if (f->state == FRAMING_CHUNK_END) {
		f->state = FRAMING_CHUNK_LINE;
		f->left = 0;
	} else if (empty) {
		end_request(f);   /* after the trailers */
	}
	f->len = 0;
	f->part = PART_FIRST;
	return ok;
}

static bool line_byte(struct framing *f, unsigned char c, struct problem *why)
{
	if (f->carriage != (c == '\n')) {
		return malformed(why, "A line ends with a carriage return and a line feed, never with one of "
			"them alone.");
	}
	f->carriage = c == '\r';
	if (c == '\r') {
		return true;
	}
	if (c == '\n') {
		return end_line(f, why);
	}
	switch (f->state) {
	case FRAMING_REQUEST_LINE:
		return request_byte(f, c, why);
	case FRAMING_CHUNK_LINE:
		return chunk_byte(f, c, why);
	case FRAMING_CHUNK_END:
		return malformed(why, "A chunk is longer than its size.");
	default:
		return header_byte(f, c, why);
	}
}

/* A head has an end; so have the lines around chunks, which begin anew with each. */
static bool count_head(struct framing *f, struct problem *why)
{
	f->head_bytes = f->state == FRAMING_CHUNK_END ? 0 : f->head_bytes + 1;
	f->lines = f->state == FRAMING_CHUNK_END ? 0 : f->lines;
	return (f->head_bytes <= FRAMING_HEAD_MOST && f->lines <= FRAMING_LINES_MOST) ||
		problem_set(why, PROBLEM_HEAD_LARGE, NULL, "The headers are too large: at most %d bytes in "
			"%d lines are taken.", FRAMING_HEAD_MOST, FRAMING_LINES_MOST);
}

/* The bytes of a header's name or value that need no thought, which are most of all, at once; how
 * many they are. */
static size_t keep_plain(struct framing *f, const char *bytes, size_t len)
{
	size_t n = 0, kept = f->len < FRAMING_LINE - 1 ? FRAMING_LINE - 1 - f->len : 0;

	if (f->state != FRAMING_HEADERS || f->carriage) {
		return 0;
	}
	len = len < FRAMING_HEAD_MOST - f->head_bytes ? len : FRAMING_HEAD_MOST - f->head_bytes;
	if (f->part == PART_SECOND) {
		while (n < len && is_shown((unsigned char)bytes[n])) {
			n++;
		}
	} else {
		while (n < len && is_token((unsigned char)bytes[n])) {
			n++;
		}
	}
	memcpy(f->kept + (FRAMING_LINE - 1 - kept), bytes, n < kept ? n : kept);
	f->len += n;
	f->head_bytes += n;
	return n;
}

/* Skips what is left of the body or chunk; how many bytes that is here. */
static size_t skip(struct framing *f, size_t len)
{
	size_t skipped = f->left < len ? (size_t)f->left : len;

	f->left -= skipped;
	if (f->left == 0 && f->state == FRAMING_BODY) {
		end_request(f);
	} else if (f->left == 0) {
		f->state = FRAMING_CHUNK_END;
	}
	return skipped;
}

bool framing_read(struct framing *f, const char *bytes, size_t len, size_t *whole,
	struct problem *why)
{
	size_t at = 0, plain;

	*whole = 0;
	while (at < len && f->state != FRAMING_LAST) {
		if (f->state == FRAMING_BODY || f->state == FRAMING_CHUNK) {
			at += skip(f, len - at);
		} else if ((plain = keep_plain(f, bytes + at, len - at)) > 0) {
			at += plain;
		} else if (!count_head(f, why) || !line_byte(f, (unsigned char)bytes[at++], why)) {
			return false;
		}
		if (f->state == FRAMING_REQUEST_LINE && f->head_bytes == 0) {
			*whole = at;
		}
	}
	return true;
}
