#include "encode/encode.h"

#include <string.h>

#include "encode/parts.h"

const struct encoder encoders[] = {
	{ "json", "JSON", "application/json", "json", encode_json },
	{ "csv", "CSV", "text/csv; charset=utf-8; header=present", "csv", encode_csv },
	{ "xlsx", "XLSX", "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet", "xlsx",
	  encode_xlsx },
	{ "geojson", "GeoJSON", "application/geo+json", "geojson", encode_geojson,
	  { "longitude", "latitude" } },
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
