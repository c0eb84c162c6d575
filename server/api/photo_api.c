/*
 * Photos. A picture's file is sent first, under its SHA-256, and may come in several goes: who was
 * cut off, or lost the answer, asks how far it came and sends the rest from there. Then the photo
 * itself, which names its files. Looked at while it comes: what is no picture is not received.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "api/deed.h"
#include "api/json.h"
#include "api/program.h"
#include "api/rights.h"
#include "api/routes.h"
#include "api/rows.h"
#include "api/views.h"
#include "service/record/photo.h"

static bool is_hash(const struct request *req, struct problem *why)
{
	return photo_hash_is(req->params[0]) || problem_set(why, PROBLEM_NOT_FOUND, NULL,
		"The address ends in the file's SHA-256: 64 hexadecimal digits, in lower case.");
}

static void tell(struct reply *out, int status, int64_t received, bool is_whole)
{
	struct text body = { 0 };
	struct json j = json_begin(&body);

	json_integer(&j, "received", received);
	json_flag(&j, "whole", is_whole);
	json_end(&j);
	reply_json(out, status, &body);
}

static void file_get(const struct request *req, struct reply *out)
{
	const char *at = program_of(req)->register_path;
	struct problem why = { 0 };
	int64_t size;

	if (!is_hash(req, &why)) {
		reply_problem(out, &why);
		return;
	}
	size = photo_file_size(at, req->params[0]);
	tell(out, 200, size >= 0 ? size :
		photo_coming_size(at, req->who.person_id, req->params[0]), size >= 0);
}

/* Where in the file the body begins. */
static bool read_from(const struct request *req, size_t *from, struct problem *why)
{
	const char *text = request_query(req, "from");
	char *end = NULL;
	unsigned long value = text != NULL ? strtoul(text, &end, 10) : 0;

	*from = value;
	return text == NULL || (text[0] >= '0' && text[0] <= '9' && *end == '\0' &&
		value <= PICTURE_BYTES_MOST) || problem_set(why, PROBLEM_VALUE, "from",
		"from is a number of bytes, those that have come already.");
}

static bool is_as_said(const struct request *req, const struct picture *picture,
	struct problem *why)
{
	const char *type = picture_media_type(picture->type);
	size_t len = strlen(type);

	return (strncmp(req->content_type, type, len) == 0 && (req->content_type[len] == '\0' ||
		req->content_type[len] == ';' || req->content_type[len] == ' ')) ||
		problem_set(why, PROBLEM_VALUE, NULL, "It is said to be %.40s and is a %s.",
		req->content_type, picture_name(picture->type));
}

static bool file_look(const struct request *req, const char *body, size_t len, struct problem *why)
{
	struct picture picture;

	if (request_query(req, "from") != NULL) {
		return true;   /* (its beginning was looked at when that came) */
	}
	return picture_begins(body, len, &picture, why) &&
		(len < 16 || is_as_said(req, &picture, why));
}

/* What had come before and what comes now. */
static bool join(const struct request *req, const char *body, size_t len, struct text *to,
	struct problem *why)
{
	size_t from;

	if (!is_hash(req, why) || !read_from(req, &from, why)) {
		return false;
	}
	if (from > 0) {
		photo_coming_read(program_of(req)->register_path, req->who.person_id, req->params[0], to);
		if (from > to->len) {
			return problem_set(why, PROBLEM_CONFLICT, "from", "Only %zu bytes of it have come: go "
				"on from there.", to->len);
		}
		to->len = from;
	}
	if (len > PICTURE_BYTES_MOST - from) {
		return problem_set(why, PROBLEM_TOO_LARGE, NULL, "A picture has at most %d bytes here.",
			PICTURE_BYTES_MOST);
	}
	text_add(to, body, len);
	return !to->failed || problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
}

/* On the worker that received it, when its client has gone. Little is not worth a file. */
static void file_cut(const struct request *req, const char *body, size_t len)
{
	enum { LEAST = 16 << 10 };
	struct text bytes = { 0 };
	struct problem why = { 0 };

	if (len >= LEAST && join(req, body, len, &bytes, &why)) {
		photo_coming_keep(program_of(req)->register_path, req->who.person_id, req->params[0],
			&bytes);
	}
	text_release(&bytes);
}

static bool is_whole_and_right(const struct request *req, const struct text *bytes,
	struct problem *why)
{
	char hash[SHA256_TEXT_SIZE];
	struct picture picture;

	photo_hash(bytes->data, bytes->len, hash);
	if (strcmp(hash, req->params[0]) != 0) {
		return problem_set(why, PROBLEM_CONFLICT, NULL, "What came is not the file with that "
			"SHA-256: a byte was lost or changed. Send it again from its beginning.");
	}
	return picture_read(bytes->data, bytes->len, &picture, why) && is_as_said(req, &picture, why);
}

static void file_put(const struct request *req, struct reply *out)
{
	struct program *program = program_of(req);
	const char *sha256 = req->params[0];
	struct text bytes = { 0 };
	struct problem why = { 0 };
	bool there, ok = join(req, req->body, req->body_len, &bytes, &why);

	there = ok && photo_file_size(program->register_path, sha256) >= 0;
	if (ok && !there) {
		bool right = is_whole_and_right(req, &bytes, &why);

		ok = right && photo_room_take(program->photo_room, req->who.person_id, (int64_t)bytes.len,
			req->now_ms, &why) &&
			photo_file_keep(program->register_path, sha256, bytes.data, bytes.len, &why);
		if (ok || !right) {
			photo_coming_forget(program->register_path, req->who.person_id, sha256);
		}
	}
	if (ok) {
		photo_file_touch(program->register_path, sha256);
		tell(out, there ? 200 : 201, photo_file_size(program->register_path, sha256), true);
	} else {
		reply_problem(out, &why);
	}
	text_release(&bytes);
}

/* ---- photos ---- */

static bool record(struct act *act, void *form, struct recorded *recorded, struct problems *why)
{
	return photo_record(act, form, recorded, why);
}

static void photo_prepare(struct request *req, struct reply *out)
{
	struct problems why = { 0 };

	deed_prepare(req, out);
	if (req->prepared != NULL &&
		!photo_look(program_of(req)->register_path, deed_form(req), &why)) {
		reply_problems(out, &why);
	}
}

static void photo_put(const struct request *req, struct reply *out)
{
	deed_do_sent(req, out, record, NULL);
}

static void photo_get(const struct request *req, struct reply *out)
{
	rows_give(req, out, &photo_list, NULL, 0);
}

/* Asked anew each time: what was withdrawn, or is missing here, is not to be shown from a cache. */
static void give(const struct request *req, struct reply *out, const struct photo_shown *shown,
	struct text *bytes)
{
	snprintf(out->etag, sizeof out->etag, "\"%s\"", shown->sha256);
	snprintf(out->cache, sizeof out->cache, "private, no-cache");
	snprintf(out->disposition, sizeof out->disposition, "inline; filename=\"photo.%s\"",
		picture_media_type(shown->type) + sizeof "image/" - 1);
	out->alone = true;
	if (request_not_modified(req, out->etag)) {
		out->status = 304;
	} else {
		reply_text(out, 200, picture_media_type(shown->type), bytes);
	}
}

static void show(const struct request *req, struct reply *out, bool small)
{
	struct photo_shown shown;
	struct text bytes = { 0 };
	struct problem why = { 0 };
	bool ok = store_photo_shown(view_of(req)->store, req->params[0], small, &shown, &why);

	if (ok && shown.is_withdrawn) {
		ok = problem_set(&why, PROBLEM_NOT_FOUND, NULL, "This photo was withdrawn from sight: %s",
			shown.reason);
	}
	ok = ok && photo_file_read(program_of(req)->register_path, shown.sha256, &bytes, &why);
	if (ok) {
		give(req, out, &shown, &bytes);
	} else {
		reply_problem(out, &why);
	}
	text_release(&bytes);
}

static void picture_get(const struct request *req, struct reply *out)
{
	show(req, out, false);
}

static void small_get(const struct request *req, struct reply *out)
{
	show(req, out, true);
}

const struct route photo_routes[] = {
	{ METHOD_GET, "/api/photo-files/{sha256}", ROUTE_READ, CAN_INSPECT, file_get,
	  "How much of a picture's file has come: received, in bytes, and whether that is the whole." },
	{ METHOD_PUT, "/api/photo-files/{sha256}", ROUTE_READ, CAN_INSPECT, file_put,
	  "A picture's file, or what of it is missing (from=BYTES): a JPEG, PNG or WebP of at most "
	  "1600 pixels a side, the picture alone.",
	  .body_most = PICTURE_BYTES_MOST, .body_type = "image/*", .look = file_look, .cut = file_cut },
	{ METHOD_GET, "/api/photos/{uuid}", ROUTE_READ, CAN_READ, photo_get, "A photo." },
	{ METHOD_GET, "/api/photos/{uuid}/picture", ROUTE_READ, CAN_READ, picture_get,
	  "Its picture." },
	{ METHOD_GET, "/api/photos/{uuid}/small", ROUTE_READ, CAN_READ, small_get,
	  "Its picture, small." },
	{ METHOD_PUT, "/api/photos/{uuid}", ROUTE_WRITE, CAN_INSPECT, photo_put,
	  "Records a photo whose files have come.", .body = &photo_form, .prepare = photo_prepare,
	  .forget = deed_forget },
	{ 0 }
};
