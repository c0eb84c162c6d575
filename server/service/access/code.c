#include "service/access/code.h"

#include <assert.h>
#include <sodium.h>
#include <string.h>

static const char letters[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZ234567";

enum { LETTERS = CODE_BYTES * 8 / 5, GROUP = 4 };

void base32_write(const unsigned char *bytes, size_t len, char joint, char *to, size_t size)
{
	size_t at = 0, shown = 0;

	assert(len % 5 == 0 && size > len * 8 / 5 + (len * 8 / 5 - 1) / GROUP);
	for (size_t i = 0; i < len * 8; i += 5) {
		unsigned two = (unsigned)bytes[i / 8] << 8 | (i / 8 + 1 < len ? bytes[i / 8 + 1] : 0u);

		if (joint != '\0' && shown > 0 && shown % GROUP == 0) {
			to[at++] = joint;
		}
		to[at++] = letters[two >> (11 - i % 8) & 31u];
		shown++;
	}
	to[at] = '\0';
}

void secret_hash(const char *text, char hash[CODE_HASH_SIZE])
{
	unsigned char bytes[32];

	crypto_generichash(bytes, sizeof bytes, (const unsigned char *)text, strlen(text), NULL, 0);
	sodium_bin2hex(hash, CODE_HASH_SIZE, bytes, sizeof bytes);
}

void code_make(char code[CODE_SIZE], char hash[CODE_HASH_SIZE])
{
	unsigned char bytes[CODE_BYTES];

	randombytes_buf(bytes, sizeof bytes);
	base32_write(bytes, sizeof bytes, '-', code, CODE_SIZE);
	code_hash(code, hash);
}

void code_hash(const char *typed, char hash[CODE_HASH_SIZE])
{
	char plain[LETTERS + 1];
	size_t len = 0;

	hash[0] = '\0';
	for (; *typed != '\0'; typed++) {
		char c = *typed >= 'a' && *typed <= 'z' ? (char)(*typed - ('a' - 'A')) : *typed;

		if (c == ' ' || c == '-') {
			continue;
		}
		if (len == LETTERS || strchr(letters, c) == NULL) {
			return;
		}
		plain[len++] = c;
	}
	plain[len] = '\0';
	if (len == LETTERS) {
		secret_hash(plain, hash);
	}
}
