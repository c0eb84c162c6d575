#include "service/access/totp.h"

#include <gnutls/crypto.h>
#include <gnutls/gnutls.h>

enum { SHA1_BYTES = 20, STEPS_OFF = 1 };

uint32_t totp_figures(const unsigned char *key, size_t len, int64_t step, int digits)
{
	unsigned char counter[8], mac[SHA1_BYTES];
	uint32_t modulus = 1, number;
	unsigned at;

	for (int i = 0; i < 8; i++) {
		counter[i] = (unsigned char)((uint64_t)step >> (56 - 8 * i));
	}
	if (gnutls_hmac_fast(GNUTLS_MAC_SHA1, key, len, counter, sizeof counter, mac) != 0) {
		return UINT32_MAX;   /* (no figures are that) */
	}
	at = mac[SHA1_BYTES - 1] & 15u;
	number = (uint32_t)(mac[at] & 127u) << 24 | (uint32_t)mac[at + 1] << 16 |
		(uint32_t)mac[at + 2] << 8 | mac[at + 3];
	for (int i = 0; i < digits; i++) {
		modulus *= 10;
	}
	return number % modulus;
}

static bool figures_read(const char *typed, uint32_t *to)
{
	int digits = 0;

	*to = 0;
	for (; *typed != '\0'; typed++) {
		if (*typed == ' ') {
			continue;
		}
		if (*typed < '0' || *typed > '9' || ++digits > TOTP_DIGITS) {
			return false;
		}
		*to = *to * 10 + (uint32_t)(*typed - '0');
	}
	return digits == TOTP_DIGITS;
}

bool totp_fits(const unsigned char *key, size_t len, const char *typed, int64_t now_ms,
	int64_t last_step, int64_t *step)
{
	int64_t now = now_ms / 1000 / TOTP_STEP_S;
	uint32_t figures;
	bool fits = false;

	if (!figures_read(typed, &figures)) {
		return false;
	}
	for (int64_t s = now - STEPS_OFF; s <= now + STEPS_OFF; s++) {
		if (s > last_step && totp_figures(key, len, s, TOTP_DIGITS) == figures) {
			*step = s;
			fits = true;
		}
	}
	return fits;
}
