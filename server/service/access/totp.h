/* Six figures of a shared key and the time (RFC 6238, with HMAC-SHA-1 and steps of 30 s). */
#ifndef SERVICE_ACCESS_TOTP_H
#define SERVICE_ACCESS_TOTP_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { TOTP_STEP_S = 30, TOTP_DIGITS = 6 };

/* RFC 4226, section 5.3, of the counter `step`. */
uint32_t totp_figures(const unsigned char *key, size_t len, int64_t step, int digits);

/* Are these the figures of now, or of the step before or after, and of one after last_step? Blanks
 * between are passed over. *step is the one that they are of. */
bool totp_fits(const unsigned char *key, size_t len, const char *typed, int64_t now_ms,
	int64_t last_step, int64_t *step);

#endif
