/*
 * The certificate that the server shows. It can be replaced while connections are open and being
 * made: each handshake takes the one that is there when it begins.
 *
 * One for the whole program: the library asks for it by a function without an argument
 * (MHD_OPTION_HTTPS_CERT_CALLBACK2).
 */
#ifndef HTTP_CERTIFICATE_H
#define HTTP_CERTIFICATE_H

#include <gnutls/abstract.h>
#include <gnutls/gnutls.h>

#include "base/problem.h"

/* PEM texts of the certificate, with its chain, and of its key, which must belong together. False:
 * *why says what is wrong, and what was shown before is shown still. */
bool certificate_set(const char *chain_pem, const char *key_pem, struct problem *why);

/* When no server shows it any more. */
void certificate_forget(void);

/* gnutls_certificate_retrieve_function3. */
int certificate_give(gnutls_session_t session, const struct gnutls_cert_retr_st *info,
	gnutls_pcert_st **chain, unsigned *chain_length, gnutls_ocsp_data_st **ocsp,
	unsigned *ocsp_length, gnutls_privkey_t *key, unsigned *flags);

#endif
