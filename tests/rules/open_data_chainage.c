/*
 * Reads every published place of a real railway on maps made from its published pieces of line.
 * The data are not part of this project: their folder is named by the environment variable
 * BONDBOOK_OPEN_DATA, and without it this program is skipped (exit code 77). It needs
 * de_streckensegmente.csv and de_betriebsstellen.csv, Deutsche Bahn AG, CC BY 4.0, columns as
 * published.
 *
 * A line has a map for each track: pieces of direction 0 belong to all, 1 and 2 to one. Places of
 * direction 0 are looked for on every map of the line.
 *
 *     open_data_chainage [-v]    -v prints each place that is refused or ambiguous
 */
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "rules/place/chainage.h"

enum { SKIPPED = 77, LINE_SIZE = 1024, FIELDS_MOST = 12, ROWS_MOST = 10000, TOLERANCE_MM = 60000 };

struct piece {
	int line;
	int track;                  /* 0: both together */
	struct line_segment segment;
};

struct tally {
	size_t maps, bad_maps, ends, ends_refused;
	size_t places, read, ambiguous, refused, not_written_back, no_map;
	bool verbose;
};

static struct piece pieces[ROWS_MOST];
static size_t n_pieces;

/* Splits a CSV line in place; fields may be quoted, quotes in them are doubled. */
static size_t split(char *line, char *field[FIELDS_MOST])
{
	size_t n = 0;

	line[strcspn(line, "\r\n")] = '\0';
	for (bool is_last = false; n < FIELDS_MOST && !is_last;) {
		bool quoted = *line == '"';
		char *to = quoted ? ++line : line;
		char *from = line;

		field[n++] = to;
		while (*from != '\0' && (quoted || *from != ',')) {
			if (quoted && *from == '"' && *++from != '"') {
				break;
			}
			*to++ = *from++;
		}
		is_last = *from != ',';
		line = from + 1;
		*to = '\0';
	}
	return n;
}

static FILE *open_data(const char *folder, const char *name)
{
	char path[4096];
	char header[LINE_SIZE];
	FILE *file;

	snprintf(path, sizeof path, "%s/%s", folder, name);
	file = fopen(path, "r");
	if (file == NULL || fgets(header, sizeof header, file) == NULL) {
		fprintf(stderr, "cannot read %s\n", path);
		exit(EXIT_FAILURE);
	}
	return file;
}

static int compare_pieces(const void *a, const void *b)
{
	const struct piece *p = a, *q = b;
	int order = p->line - q->line;

	order = order != 0 ? order : chainage_compare(&p->segment.from, &q->segment.from);
	order = order != 0 ? order : chainage_compare(&p->segment.to, &q->segment.to);
	return order != 0 ? order : p->track - q->track;
}

/* The jump is in a piece when it starts at the piece's start or ends at its end. */
static bool is_jump(const char *at_start, const char *at_end)
{
	return strstr(at_start, "anfang") != NULL || strstr(at_start, "ankommend") != NULL ||
		strstr(at_end, "ende") != NULL || strstr(at_end, "abgehend") != NULL;
}

static void read_pieces(const char *folder)
{
	FILE *file = open_data(folder, "de_streckensegmente.csv");
	char line[LINE_SIZE];
	char *f[FIELDS_MOST];

	while (fgets(line, sizeof line, file) != NULL && n_pieces < ROWS_MOST) {
		struct piece *p = &pieces[n_pieces];
		struct problem why = { 0 };

		if (split(line, f) < 11) {
			continue;
		}
		p->line = (int)strtol(f[0], NULL, 10);
		p->track = (int)strtol(f[1], NULL, 10);
		p->segment.length_mm = strtol(f[2], NULL, 10) * 1000;
		p->segment.is_jump = is_jump(f[9], f[10]);
		if (!chainage_parse(f[5], strlen(f[5]), NOTATION_HM_M, &p->segment.from, &why) ||
			!chainage_parse(f[6], strlen(f[6]), NOTATION_HM_M, &p->segment.to, &why)) {
			printf("line %d: %s\n", p->line, why.detail);
			continue;
		}
		n_pieces++;
	}
	fclose(file);
	qsort(pieces, n_pieces, sizeof pieces[0], compare_pieces);
}

/* The map of a track (1 or 2), or of the pieces that both share when there are no others. */
static size_t make_map(int line, int track, struct map_stretch *to, struct problem *why)
{
	static struct line_segment segments[ROWS_MOST];
	size_t n = 0;

	for (size_t i = 0; i < n_pieces; i++) {
		if (pieces[i].line == line && (pieces[i].track == 0 || pieces[i].track == track)) {
			segments[n++] = pieces[i].segment;
		}
	}
	return n == 0 ? 0 :
		line_map_from_segments(segments, n, NOTATION_HM_M, TOLERANCE_MM, to, why);
}

static bool reads_back(const struct line_map *map, int64_t distance_mm)
{
	char text[CHAINAGE_TEXT_SIZE];
	struct problem why;
	int64_t mm = INT64_MIN;
	size_t len = chainage_write(distance_mm, map, text, sizeof text);

	return chainage_read(text, len, map, &mm, &why) && mm == distance_mm;
}

static void look_up(char **f, int track, const struct line_map *map, struct tally *t)
{
	struct problem why = { 0 };
	int64_t mm = 0;

	if (chainage_read(f[3], strlen(f[3]), map, &mm, &why)) {
		t->read++;
		t->not_written_back += !reads_back(map, mm);
		return;
	}
	if (why.code == PROBLEM_CHAINAGE_AMBIGUOUS) {
		t->ambiguous++;
	} else {
		t->refused++;
	}
	if (t->verbose) {
		printf("line %s track %d, %s: %s\n", f[0], track, f[4], why.detail);
	}
}

/* The ends of the pieces that a map was made from are on it. */
static void read_ends(int line, int track, const struct line_map *map, struct tally *t)
{
	for (size_t i = 0; i < n_pieces; i++) {
		const struct piece *p = &pieces[i];
		const struct chainage *ends[] = { &p->segment.from, &p->segment.to };

		for (int e = 0; e < 2 && p->line == line && (p->track == 0 || p->track == track); e++) {
			char text[CHAINAGE_TEXT_SIZE];
			int64_t mm;

			t->ends++;
			if (chainage_places(ends[e], map, &mm, 1) == 0) {
				t->ends_refused++;
				chainage_write_label(ends[e], NOTATION_HM_M, text, sizeof text);
				if (t->verbose) {
					printf("line %d track %d: the end of a piece, %s, is not on the map\n",
						line, track, text);
				}
			}
		}
	}
}

static void read_places(const char *folder, struct tally *t)
{
	static struct map_stretch stretches[3][LINE_MAP_ROOM(ROWS_MOST)];
	struct line_map map[3];
	FILE *file = open_data(folder, "de_betriebsstellen.csv");
	char text[LINE_SIZE];
	char *f[FIELDS_MOST];
	int line = -1;

	while (fgets(text, sizeof text, file) != NULL) {
		if (split(text, f) < 9) {
			continue;
		}
		t->places++;
		for (int track = 1; track <= 2 && line != (int)strtol(f[0], NULL, 10); track++) {
			struct problem why = { 0 };
			size_t count = make_map((int)strtol(f[0], NULL, 10), track, stretches[track], &why);

			map[track] = (struct line_map){ NOTATION_HM_M, stretches[track], count };
			t->maps += count > 0;
			t->bad_maps += why.code != PROBLEM_NONE;
			if (why.code != PROBLEM_NONE) {
				printf("line %s track %d: %s\n", f[0], track, why.detail);
			}
			read_ends((int)strtol(f[0], NULL, 10), track, &map[track], t);
		}
		line = (int)strtol(f[0], NULL, 10);
		for (int track = 1; track <= 2; track++) {
			if (map[track].count == 0) {
				t->no_map++;
			} else {
				look_up(f, track, &map[track], t);
			}
		}
	}
	fclose(file);
}

/* The worked example of the data's description: metres along track 1 from 0,0 + 0, posts taken as
 * exact. */
static int check_example(void)
{
	static const struct { const char *text; int64_t metres; } example[] = {
		{ "1,0 + 0", 1000 }, { "1,0 + 2230", 3230 }, { "1,1 + 47", 3450 }, { "3,2 + 30", 5533 } };
	static struct map_stretch stretches[LINE_MAP_ROOM(ROWS_MOST)];
	struct problem why = { 0 };
	struct line_map map = { NOTATION_HM_M, stretches, 0 };
	int failed = 0;

	map.count = make_map(1760, 1, stretches, &why);
	for (size_t i = 0; i < sizeof example / sizeof example[0]; i++) {
		int64_t mm = INT64_MIN;

		if (map.count == 0 ||
			!chainage_read(example[i].text, strlen(example[i].text), &map, &mm, &why) ||
			mm != example[i].metres * 1000) {
			printf("line 1760: %s is at %" PRId64 " mm, not %" PRId64 " m %s\n", example[i].text,
				mm, example[i].metres, why.detail);
			failed = 1;
		}
	}
	return failed;
}

int main(int argc, char *argv[])
{
	const char *folder = getenv("BONDBOOK_OPEN_DATA");
	struct tally t = { .verbose = argc > 1 && strcmp(argv[1], "-v") == 0 };
	int failed;

	if (folder == NULL || folder[0] == '\0') {
		puts("skipped: BONDBOOK_OPEN_DATA does not name the folder of the open data");
		return SKIPPED;
	}
	read_pieces(folder);
	failed = check_example();
	read_places(folder, &t);
	puts("Data: Deutsche Bahn AG, CC BY 4.0");
	printf("%zu pieces of line, %zu maps (%zu refused), %zu of the pieces' %zu ends not on them\n",
		n_pieces, t.maps, t.bad_maps, t.ends_refused, t.ends);
	printf("%zu places, looked for on each of two tracks:\n%zu read, %zu ambiguous, %zu refused,"
		" %zu on a line without pieces, %zu not written back\n", t.places, t.read, t.ambiguous, t.refused,
		t.no_map, t.not_written_back);
	return failed || t.not_written_back > 0 || t.bad_maps > 0 || t.ends_refused > 0;
}
