#include "http/certificate.h"

#include <gnutls/x509.h>
#include <stdatomic.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "base/clock.h"
#include "base/log.h"

enum { CHAIN_MOST = 10, KEY_ID_BYTES = 64 };

struct certificate {
	gnutls_pcert_st chain[CHAIN_MOST];
	unsigned length;
	gnutls_privkey_t key;
	/* handshakes may still be at it: kept until the program stops (it is replaced a few times a
	 * year) */
	struct certificate *before;
};

static _Atomic(struct certificate *) shown;

static void release(struct certificate *c)
{
	for (unsigned i = 0; i < c->length; i++) {
		gnutls_pcert_deinit(&c->chain[i]);
	}
	if (c->key != NULL) {
		gnutls_privkey_deinit(c->key);
	}
	free(c);
}

static gnutls_datum_t datum(const char *pem)
{
	return (gnutls_datum_t){ (unsigned char *)(uintptr_t)pem, (unsigned)strlen(pem) };
}

static bool read_chain(struct certificate *c, const char *pem, struct problem *why)
{
	const gnutls_datum_t text = datum(pem);
	unsigned length = CHAIN_MOST;
	int code = gnutls_pcert_list_import_x509_raw(c->chain, &length, &text, GNUTLS_X509_FMT_PEM, 0);

	if (code < 0) {
		return problem_set(why, PROBLEM_VALUE, "certificate",
			"The certificate cannot be read: %s. It must be PEM text, the server's own first and "
			"its chain after it, at most %d in all.",
			gnutls_strerror(code), CHAIN_MOST);
	}
	c->length = length;
	return true;
}

static bool read_key(struct certificate *c, const char *pem, struct problem *why)
{
	const gnutls_datum_t text = datum(pem);
	int code = gnutls_privkey_init(&c->key);

	code = code < 0 ? code : gnutls_privkey_import_x509_raw(c->key, &text, GNUTLS_X509_FMT_PEM,
		NULL, 0);
	return code >= 0 || problem_set(why, PROBLEM_VALUE, "key",
		"The key of the certificate cannot be read: %s. It must be PEM text without a password.",
		gnutls_strerror(code));
}

static bool belong_together(const struct certificate *c, struct problem *why)
{
	unsigned char of_chain[KEY_ID_BYTES], of_key[KEY_ID_BYTES];
	size_t chain_len = sizeof of_chain, key_len = sizeof of_key;
	gnutls_pubkey_t own = NULL;
	bool same = gnutls_pubkey_init(&own) >= 0 &&
		gnutls_pubkey_import_privkey(own, c->key, 0, 0) >= 0 &&
		gnutls_pubkey_get_key_id(own, GNUTLS_KEYID_USE_SHA256, of_key, &key_len) >= 0 &&
		gnutls_pubkey_get_key_id(c->chain[0].pubkey, GNUTLS_KEYID_USE_SHA256, of_chain,
		&chain_len) >= 0 && key_len == chain_len && memcmp(of_key, of_chain, key_len) == 0;

	if (own != NULL) {
		gnutls_pubkey_deinit(own);
	}
	return same || problem_set(why, PROBLEM_VALUE, "key",
		"The key is not that of the certificate.");
}

/* (shown all the same: a person can look at the browser's warning, and nobody at a server that does
 * not start) */
static void warn_of_end(const struct certificate *c)
{
	gnutls_x509_crt_t first;
	time_t end;

	if (gnutls_x509_crt_init(&first) < 0) {
		return;
	}
	if (gnutls_x509_crt_import(first, &c->chain[0].cert, GNUTLS_X509_FMT_DER) >= 0) {
		end = gnutls_x509_crt_get_expiration_time(first);
		if (end != (time_t)-1 && end < clock_now_ms() / 1000) {
			log_line(LOG_WARNING, "the certificate has expired: browsers will refuse it", NULL);
		}
	}
	gnutls_x509_crt_deinit(first);
}

bool certificate_set(const char *chain_pem, const char *key_pem, struct problem *why)
{
	struct certificate *c = calloc(1, sizeof *c);

	if (c == NULL) {
		return problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	}
	if (!read_chain(c, chain_pem, why) || !read_key(c, key_pem, why) || !belong_together(c, why)) {
		release(c);
		return false;
	}
	warn_of_end(c);
	c->before = atomic_load(&shown);
	atomic_store(&shown, c);
	return true;
}

void certificate_forget(void)
{
	struct certificate *c = atomic_exchange(&shown, NULL);

	while (c != NULL) {
		struct certificate *before = c->before;

		release(c);
		c = before;
	}
}

int certificate_give(gnutls_session_t session, const struct gnutls_cert_retr_st *info,
	gnutls_pcert_st **chain, unsigned *chain_length, gnutls_ocsp_data_st **ocsp,
	unsigned *ocsp_length, gnutls_privkey_t *key, unsigned *flags)
{
	struct certificate *c = atomic_load(&shown);

	(void)session;
	(void)info;
	(void)ocsp;
	(void)flags;                  /* (nothing is the library's to free) */
	if (c == NULL) {
		return -1;
	}
	*chain = c->chain;
	*chain_length = c->length;
	*ocsp_length = 0;
	*key = c->key;
	return 0;
}
