#include "encode/encode.h"

#include <string.h>

#include "encode/parts.h"

const struct encoder encoders[] = {
	{ "json", "JSON", "application/json", "json", encode_json },
	{ "csv", "CSV", "text/csv; charset=utf-8; header=present", "csv", encode_csv },
	{ 0 }
};

const struct encoder *encoder_find(const char *name)
{
	for (const struct encoder *e = encoders; e->name != NULL; e++) {
		if (strcmp(e->name, name) == 0) {
			return e;
		}
	}
	return NULL;
}
