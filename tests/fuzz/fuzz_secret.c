/* The target of what is typed to come in: figures of a second factor, codes, a chosen password. */
#include <stdlib.h>
#include <string.h>

#include "service/access/code.h"
#include "service/access/password.h"
#include "service/access/totp.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
	static const unsigned char key[20] = "12345678901234567890";
	const struct password_names none = { 0 };
	struct problems why = { 0 };
	char hash[CODE_HASH_SIZE], *text = malloc(size + 1);
	size_t digits = 0, len;
	int64_t step = -1;

	if (text == NULL) {
		return 0;
	}
	memcpy(text, data, size);
	text[size] = '\0';
	len = strlen(text);
	for (size_t i = 0; i < len; i++) {
		digits += text[i] >= '0' && text[i] <= '9';
	}
	if (totp_fits(key, sizeof key, text, INT64_C(59000), 0, &step) && (digits != 6 || step > 2)) {
		abort();
	}
	code_hash(text, hash);
	if (hash[0] != '\0' && len < 24) {
		abort();
	}
	if (password_fits(text, &none, "password", &why) && (len < PASSWORD_LEAST ||
		len > PASSWORD_MOST_BYTES)) {
		abort();
	}
	free(text);
	return 0;
}
