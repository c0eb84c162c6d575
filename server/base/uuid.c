#include "base/uuid.h"

#include <string.h>

static void write_bytes(const unsigned char bytes[16], char to[UUID_TEXT_SIZE])
{
	static const char hex[] = "0123456789abcdef";
	size_t at = 0;

	for (size_t i = 0; i < 16; i++) {
		if (i == 4 || i == 6 || i == 8 || i == 10) {
			to[at++] = '-';
		}
		to[at++] = hex[bytes[i] >> 4];
		to[at++] = hex[bytes[i] & 15];
	}
	to[at] = '\0';
}

static void set_version(unsigned char bytes[16], unsigned char version)
{
	bytes[6] = (unsigned char)((bytes[6] & 0x0F) | version << 4);
	bytes[8] = (unsigned char)((bytes[8] & 0x3F) | 0x80);
}

bool uuid_read(const char *text, size_t len, char to[UUID_TEXT_SIZE])
{
	if (len != UUID_TEXT_SIZE - 1) {
		return false;
	}
	for (size_t i = 0; i < len; i++) {
		bool dash = i == 8 || i == 13 || i == 18 || i == 23;
		char c = text[i];
		bool upper = c >= 'A' && c <= 'F';
		bool hex = (c >= '0' && c <= '9') || (c >= 'a' && c <= 'f') || upper;

		if (dash ? c != '-' : !hex) {
			return false;
		}
		if (to != NULL) {
			to[i] = (char)(upper ? c + ('a' - 'A') : c);
		}
	}
	if (to != NULL) {
		to[len] = '\0';
	}
	return true;
}

void uuid_v7(int64_t unix_ms, const unsigned char random[10], char to[UUID_TEXT_SIZE])
{
	unsigned char bytes[16];

	for (int i = 0; i < 6; i++) {
		bytes[i] = (unsigned char)(unix_ms >> (40 - 8 * i));
	}
	memcpy(bytes + 6, random, 10);
	set_version(bytes, 7);
	write_bytes(bytes, to);
}

void uuid_v8(const unsigned char hash[16], char to[UUID_TEXT_SIZE])
{
	unsigned char bytes[16];

	memcpy(bytes, hash, 16);
	set_version(bytes, 8);
	write_bytes(bytes, to);
}
