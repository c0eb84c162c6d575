#include "http/send.h"

#include <microhttpd.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "http/gzip.h"

enum { GZIP_FROM = 1024, GZIP_LEVEL = 1 };

/*
 * On every reply. The policy lets a page load only what this server serves; 'wasm-unsafe-eval'
 * is for rules.wasm and allows no script text. Referrer-Policy is not no-referrer because then a
 * browser sends "Origin: null" with our own forms. OWASP HTTP Headers cheat sheet; the policy's
 * text is ours.
 */
static const struct { const char *name, *value; } always[] = {
	{ "Content-Security-Policy", "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; "
		"style-src 'self'; img-src 'self' blob:; font-src 'self'; connect-src 'self'; "
		"manifest-src 'self'; worker-src 'self'; form-action 'self'; base-uri 'none'; "
		"frame-ancestors 'none'" },
	{ "X-Content-Type-Options", "nosniff" },
	{ "Referrer-Policy", "same-origin" },
	{ "Cross-Origin-Opener-Policy", "same-origin" },
	{ "Cross-Origin-Resource-Policy", "same-origin" },
	{ "Permissions-Policy", "camera=(self), geolocation=(self), microphone=(), payment=(), "
		"usb=()" },
};

/* Of what people sent, in place of the first. */
static const char alone_policy[] = "default-src 'none'; sandbox; frame-ancestors 'none'";

static void set(struct MHD_Response *response, const char *name, const char *value)
{
	if (value != NULL && value[0] != '\0') {
		MHD_add_response_header(response, name, value);
	}
}

static void set_allow(struct MHD_Response *response, unsigned allowed)
{
	static const char *const names[METHODS] = { "GET, HEAD, ", "POST, ", "PUT, ", "DELETE, " };
	char list[64] = "";
	size_t len = 0;

	for (int m = 0; m < METHODS; m++) {
		if ((allowed & 1u << m) != 0) {
			memcpy(list + len, names[m], strlen(names[m]) + 1);
			len += strlen(names[m]);
		}
	}
	memcpy(list + len, "OPTIONS", sizeof "OPTIONS");
	set(response, "Allow", list);
}

static void set_headers(struct MHD_Response *response, const struct reply *out,
	const struct send_how *how)
{
	char retry[16];

	for (size_t i = 0; i < sizeof always / sizeof always[0]; i++) {
		set(response, always[i].name, i == 0 && out->alone ? alone_policy : always[i].value);
	}
	if (how->hsts) {
		set(response, "Strict-Transport-Security", "max-age=31536000");
	}
	set(response, "Cache-Control", out->cache[0] != '\0' ? out->cache : "no-store");
	set(response, "X-Request-Id", how->id);
	set(response, "ETag", out->etag);
	set(response, "Location", out->location);
	set(response, "Link", out->link);
	set(response, "Set-Cookie", out->set_cookie);
	set(response, "Set-Cookie", out->set_cookie_too);
	set(response, "Content-Disposition", out->disposition);
	if (how->allowed != 0) {
		set_allow(response, how->allowed);
	}
	if (out->status == 401) {
		/* RFC 9110 section 15.5.2 asks for a challenge; ours is a cookie */
		set(response, "WWW-Authenticate", "Session");
	}
	if (out->status == 503 || out->status == 429) {
		snprintf(retry, sizeof retry, "%u", out->retry_after_s > 0 ? out->retry_after_s : 2);
		set(response, "Retry-After", retry);
	}
	if (how->close) {
		set(response, "Connection", "close");
	}
}

/* The text packed when that makes it smaller. The strong ETag stays the same for both forms:
 * it names the record's version for If-Match, Vary keeps caches apart, and there are no ranges. */
static bool pack(struct reply *out, const struct send_how *how)
{
	struct text packed = { 0 };

	if (!how->gzip || out->body.len <= GZIP_FROM || !gzip_worth(out->type) ||
		!gzip_pack(out->body.data, out->body.len, GZIP_LEVEL, &packed)) {
		return false;
	}
	if (packed.len >= out->body.len) {
		text_release(&packed);
		return false;
	}
	text_release(&out->body);
	out->body = packed;
	return true;
}

static struct MHD_Response *response_make(struct reply *out, uint64_t *bytes)
{
	static char nothing[1];
	struct MHD_Response *response;

	if (out->file > 0) {
		*bytes = out->file_len;
		response = MHD_create_response_from_fd64(out->file_len, out->file);
		if (response != NULL) {
			out->file = -1; /* the response closes it */
		}
		return response;
	}
	if (out->fixed != NULL) {
		*bytes = out->fixed_len;
		return MHD_create_response_from_buffer(out->fixed_len, (void *)(uintptr_t)out->fixed,
			MHD_RESPMEM_PERSISTENT);
	}
	*bytes = out->body.len;
	if (out->body.len == 0) {
		return MHD_create_response_from_buffer(0, nothing, MHD_RESPMEM_PERSISTENT);
	}
	response = MHD_create_response_from_buffer_with_free_callback(out->body.len, out->body.data,
		free);
	if (response != NULL) {
		out->body = (struct text){ 0 }; /* the response frees it */
	}
	return response;
}

bool reply_send(struct MHD_Connection *link, struct reply *out, const struct send_how *how,
	uint64_t *bytes)
{
	struct MHD_Response *response;
	bool packed = out->file <= 0 && out->fixed == NULL && out->type != NULL && pack(out, how);
	bool ok = false;

	if (out->status == 0) {
		out->status = 204;
	}
	response = response_make(out, bytes);
	if (response != NULL) {
		set_headers(response, out, how);
		if (*bytes > 0 || out->status == 200) {
			set(response, "Content-Type", out->type);
		}
		if (packed || (out->fixed != NULL && out->fixed_gzip)) {
			set(response, "Content-Encoding", "gzip");
		}
		if (out->type != NULL && gzip_worth(out->type)) {
			set(response, "Vary", "Accept-Encoding");
		}
		ok = MHD_queue_response(link, (unsigned)out->status, response) == MHD_YES;
		MHD_destroy_response(response);
	}
	reply_release(out);
	return ok;
}
