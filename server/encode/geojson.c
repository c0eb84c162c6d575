/*
 * Rows as points on a map: RFC 7946, a FeatureCollection. Coordinates are WGS 84, longitude
 * first; every column is a property. Rows that have no coordinates are left out.
 */
#include <math.h>
#include <string.h>

#include "encode/parts.h"

static size_t column_at(const struct table *table, const char *name)
{
	size_t i = 0;

	while (i < table->n_columns && strcmp(table->columns[i].name, name) != 0) {
		i++;
	}
	return i;
}

static bool is_on_earth(const struct cell *longitude, const struct cell *latitude)
{
	return !longitude->is_null && !latitude->is_null && fabs(longitude->real) <= 180 &&
		fabs(latitude->real) <= 90;
}

static void add_feature(const struct json_heads *heads, const struct rows *rows,
	const struct cell *longitude, const struct cell *latitude, struct text *to)
{
	text_add_z(to, "{\"type\":\"Feature\",\"geometry\":{\"type\":\"Point\",\"coordinates\":[");
	text_add_real(to, longitude->real);
	text_add_char(to, ',');
	text_add_real(to, latitude->real);
	text_add_z(to, "]},\"properties\":");
	json_add_row(heads, rows, to);
	text_add_char(to, '}');
}

static bool add_features(struct rows *rows, const struct table *table, struct text *to, int fd,
	struct problem *why)
{
	size_t longitude = column_at(table, "longitude");
	size_t latitude = column_at(table, "latitude");
	struct json_heads heads = { 0 };
	const char *joint = "";
	bool right;

	if (longitude == table->n_columns || latitude == table->n_columns) {
		return problem_set(why, PROBLEM_VALUE, NULL,
			"GeoJSON is made of lists with the columns longitude and latitude only");
	}
	right = rows_start(rows, table, why) &&
		(json_heads_make(&heads, table) || refuse_no_memory(why));
	while (right && rows_next(rows)) {
		if (is_on_earth(&rows->row[longitude], &rows->row[latitude])) {
			text_add_z(to, joint);
			add_feature(&heads, rows, &rows->row[longitude], &rows->row[latitude], to);
			joint = ",\n";
		}
		right = flush_text(to, FLUSH_BYTES, fd, why);
	}
	if (right && rows->failed) {
		right = refuse_cut_short(rows, why);
	}
	json_heads_release(&heads);
	return right;
}

bool encode_geojson(const struct table *table, const struct encode_options *options, int fd,
	size_t *count, struct problem *why)
{
	struct rows rows = { 0 };
	struct text buffer = { 0 };
	bool right;

	(void)options;
	text_add_z(&buffer, "{\"type\":\"FeatureCollection\",\"features\":[");
	right = add_features(&rows, table, &buffer, fd, why);
	if (right) {
		text_add_z(&buffer, "]}\n");
		right = flush_text(&buffer, 0, fd, why);
	}
	*count = rows.count;
	rows_release(&rows);
	text_release(&buffer);
	return right;
}
