#include <string.h>
#include <unistd.h>

#include "http/route.h"

static const char problem_type[] = "application/problem+json";

/* What is said when there is no memory left to say it with. */
static const char no_memory[] =
	"{\"type\":\"/problems/memory\",\"title\":\"Out of memory: please send it again\","
	"\"status\":503,\"detail\":\"The server has no memory left for this: send it again.\"}\n";

/* Drops the body that was, whichever form it had. */
static void drop_body(struct reply *out)
{
	text_release(&out->body);
	if (out->file > 0) {
		close(out->file);
	}
	if (out->file_end != NULL) {
		out->file_end(out->file_arg);
	}
	out->file_end = NULL;
	out->file = -1;
	out->file_len = 0;
	out->fixed = NULL;
	out->fixed_len = 0;
	out->fixed_gzip = false;
}

void reply_release(struct reply *out)
{
	drop_body(out);
	*out = (struct reply){ 0 };
}

/* A refusal carries nothing of the answer that was being made. */
static void begin_problem(struct reply *out, int status)
{
	reply_release(out);
	out->status = status;
	out->type = problem_type;
}

static void end_problem(struct reply *out)
{
	if (out->body.failed) {
		begin_problem(out, problem_kind(PROBLEM_NO_MEMORY)->status);
		out->fixed = no_memory;
		out->fixed_len = sizeof no_memory - 1;
	}
}

void reply_text(struct reply *out, int status, const char *type, struct text *body)
{
	struct text taken = *body;

	*body = (struct text){ 0 };
	drop_body(out);
	out->status = status;
	out->type = type;
	out->body = taken;
	end_problem(out);
}

void reply_json(struct reply *out, int status, struct text *body)
{
	reply_text(out, status, "application/json", body);
}

static void add_string(struct text *to, const char *name, const char *value)
{
	text_addf(to, "\"%s\":", name);
	text_add_json(to, value, strlen(value));
}

static void add_error(struct text *to, const struct problem *one)
{
	text_add_char(to, '{');
	add_string(to, "field", one->field);
	text_add_char(to, ',');
	add_string(to, "detail", one->detail);
	text_add_char(to, '}');
}

static void problem_write(struct reply *out, const struct problem *items, size_t shown,
	size_t count)
{
	const struct problem_kind *kind = problem_kind(items[0].code);
	struct text *to = &out->body;

	begin_problem(out, kind->status);
	text_addf(to, "{\"type\":\"/problems/%s\",", kind->slug);
	add_string(to, "title", kind->title);
	text_addf(to, ",\"status\":%d,", kind->status);
	add_string(to, "detail", items[0].detail);
	if (count > 1 || items[0].field[0] != '\0') {
		text_add_z(to, ",\"errors\":[");
		for (size_t i = 0; i < shown; i++) {
			if (i > 0) {
				text_add_char(to, ',');
			}
			add_error(to, &items[i]);
		}
		text_add_char(to, ']');
	}
	if (count > shown) {
		text_addf(to, ",\"more\":%zu", count - shown);
	}
	text_add_z(to, "}\n");
	end_problem(out);
}

void reply_problem(struct reply *out, const struct problem *why)
{
	problem_write(out, why, 1, 1);
}

void reply_problems(struct reply *out, const struct problems *why)
{
	size_t shown = why->count < PROBLEMS_SHOWN ? why->count : PROBLEMS_SHOWN;

	if (shown == 0) {
		problem_write(out, why->item, 1, 1); /* a bug: told as 500 */
		return;
	}
	problem_write(out, why->item, shown, why->count);
}
