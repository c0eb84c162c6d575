/* The server over https, with a certificate made here. */
#include <curl/curl.h>
#include <gnutls/gnutls.h>
#include <gnutls/x509.h>
#include <stdio.h>
#include <string.h>
#include <time.h>

#include "case.h"
#include "http/served.h"

static struct served s;
static char photo[8 << 20];

static char *pem(const gnutls_datum_t *from)
{
	char *text = malloc(from->size + 1);

	ck_assert_ptr_nonnull(text);
	memcpy(text, from->data, from->size);
	text[from->size] = '\0';
	gnutls_free(from->data);
	return text;
}

/* Self-signed, for an hour. */
static void make_certificate(char **certificate, char **key)
{
	gnutls_x509_privkey_t k;
	gnutls_x509_crt_t c;
	gnutls_datum_t out;

	gnutls_x509_privkey_init(&k);
	ck_assert_int_eq(gnutls_x509_privkey_generate(k, GNUTLS_PK_ECDSA,
		GNUTLS_CURVE_TO_BITS(GNUTLS_ECC_CURVE_SECP256R1), 0), 0);
	gnutls_x509_crt_init(&c);
	gnutls_x509_crt_set_version(c, 3);
	gnutls_x509_crt_set_serial(c, "\1", 1);
	gnutls_x509_crt_set_dn(c, "CN=localhost", NULL);
	gnutls_x509_crt_set_activation_time(c, time(NULL) - 60);
	gnutls_x509_crt_set_expiration_time(c, time(NULL) + 3600);
	gnutls_x509_crt_set_key(c, k);
	ck_assert_int_eq(gnutls_x509_crt_sign2(c, c, k, GNUTLS_DIG_SHA256, 0), 0);
	ck_assert_int_eq(gnutls_x509_crt_export2(c, GNUTLS_X509_FMT_PEM, &out), 0);
	*certificate = pem(&out);
	ck_assert_int_eq(gnutls_x509_privkey_export2(k, GNUTLS_X509_FMT_PEM, &out), 0);
	*key = pem(&out);
	gnutls_x509_crt_deinit(c);
	gnutls_x509_privkey_deinit(k);
}

static size_t take(char *bytes, size_t size, size_t n, void *to)
{
	(void)bytes;
	*(size_t *)to += size * n;
	return size * n;
}

/* The status, 0 when there is no answer. body_len 0: a GET. */
static long fetch(CURL *curl, const char *path, size_t body_len, bool chunked, size_t *got)
{
	struct curl_slist *headers = curl_slist_append(NULL, "Content-Type: image/jpeg");
	char url[100];
	long status = 0;
	CURLcode code;

	snprintf(url, sizeof url, "https://127.0.0.1:%u%s", s.port, path);
	if (chunked) {
		headers = curl_slist_append(headers, "Transfer-Encoding: chunked");
	}
	curl_easy_setopt(curl, CURLOPT_URL, url);
	curl_easy_setopt(curl, CURLOPT_SSL_VERIFYPEER, 0L);
	curl_easy_setopt(curl, CURLOPT_SSL_VERIFYHOST, 0L);
	curl_easy_setopt(curl, CURLOPT_HTTPHEADER, headers);
	curl_easy_setopt(curl, CURLOPT_HTTPGET, 1L);
	curl_easy_setopt(curl, CURLOPT_CUSTOMREQUEST, body_len > 0 ? "PUT" : NULL);
	if (body_len > 0) {
		curl_easy_setopt(curl, CURLOPT_COOKIE, "__Host-session=crew");
		curl_easy_setopt(curl, CURLOPT_POSTFIELDS, photo);
		curl_easy_setopt(curl, CURLOPT_POSTFIELDSIZE, (long)body_len);
	}
	curl_easy_setopt(curl, CURLOPT_WRITEFUNCTION, take);
	curl_easy_setopt(curl, CURLOPT_WRITEDATA, got);
	*got = 0;
	code = curl_easy_perform(curl);
	curl_easy_getinfo(curl, CURLINFO_RESPONSE_CODE, &status);
	curl_slist_free_all(headers);
	return code == CURLE_OK ? status : 0;
}

START_TEST(serves_https_with_tls_1_2_and_1_3_only)
{
	static const struct { long from, to; bool taken; } versions[] = {
		{ CURL_SSLVERSION_TLSv1_3, CURL_SSLVERSION_MAX_TLSv1_3, true },
		{ CURL_SSLVERSION_TLSv1_2, CURL_SSLVERSION_MAX_TLSv1_2, true },
		{ CURL_SSLVERSION_TLSv1_1, CURL_SSLVERSION_MAX_TLSv1_1, false },
		{ CURL_SSLVERSION_TLSv1_0, CURL_SSLVERSION_MAX_TLSv1_0, false },
	};
	char *certificate, *key;
	size_t got = 0;

	make_certificate(&certificate, &key);
	served_start(&s, (struct http_options){ .tls_certificate = certificate, .tls_key = key });
	for (size_t i = 0; i < sizeof versions / sizeof versions[0]; i++) {
		CURL *curl = curl_easy_init();

		curl_easy_setopt(curl, CURLOPT_SSLVERSION, versions[i].from | versions[i].to);
		ck_assert_msg(fetch(curl, "/api/bonds/7", 0, false, &got) == (versions[i].taken ? 200 : 0),
			"row %zu", i);
		curl_easy_cleanup(curl);
	}
	served_stop(&s, 5);
	free(certificate);
	free(key);
}
END_TEST

START_TEST(writes_files_and_refusals_go_over_tls)
{
	char *certificate, *key;
	CURL *curl = curl_easy_init();
	size_t got = 0;

	make_certificate(&certificate, &key);
	served_start(&s, (struct http_options){ .tls_certificate = certificate, .tls_key = key });
	ck_assert_int_eq(fetch(curl, "/api/photo", 2 << 20, false, &got), 201);
	ck_assert_int_eq(fetch(curl, "/api/photo", 2 << 20, true, &got), 201);
	ck_assert_int_eq(fetch(curl, "/api/file/5", 0, false, &got), 200);
	ck_assert_uint_eq(got, 5u << 20);
	ck_assert_int_eq(fetch(curl, "/api/photo", sizeof photo, false, &got), 413);
	ck_assert_int_eq(fetch(curl, "/api/photo", sizeof photo, true, &got), 413);
	ck_assert_uint_gt(got, 0);
	curl_easy_cleanup(curl);
	served_stop(&s, 5);
	free(certificate);
	free(key);
}
END_TEST

START_TEST(says_that_a_certificate_is_wrong)
{
	struct http_options options = { .address = "127.0.0.1", .tls_certificate = "no",
		.tls_key = "no" };
	struct problem why = { 0 };

	ck_assert_ptr_null(http_server_start(&options, NULL, &(struct http_hooks){ 0 }, &why));
	ck_assert_str_eq(why.field, "certificate");
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { serves_https_with_tls_1_2_and_1_3_only,
		writes_files_and_refusals_go_over_tls, says_that_a_certificate_is_wrong, NULL };

	return case_run("tls", tests);
}
