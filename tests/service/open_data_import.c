/*
 * Real files through the importer, with the mappings that lie beside this file. The data are not
 * part of this project: their folder is named by BONDBOOK_OPEN_DATA; without it this is skipped
 * (exit code 77). The counts expected here were counted in the files without this program: rows,
 * rows that stand there twice, distinct lines and events, mileposts that are no plain number; the
 * places refused are those of rules/open_data_chainage.c.
 *
 *     open_data_import FOLDER_OF_MAPPINGS
 *
 * A US place is named by railroad, division or subdivision, and the letters before its milepost.
 * When the form changed from division to subdivision a place changed its name with it, so its
 * failures before and after that are counted apart here.
 */
#include <stdio.h>

#include "case.h"
#include "rules/place/chainage.h"
#include "service/import/file.h"
#include "service/import/propose.h"
#include "service/importing.h"

static const char *mappings;

static char *read_bytes(const char *folder, const char *name, size_t *len)
{
	char path[4096];
	char *bytes;
	struct problem why = { 0 };

	snprintf(path, sizeof path, "%s/%s", folder, name);
	ck_assert_msg(import_file_read(path, IMPORT_FILE_BYTES, &bytes, len, &why), "%s", why.detail);
	return bytes;
}

static void tell(const char *kind, const char *file, const struct import_result *r, bool dry_run)
{
	printf("%s from %s: %zu rows, %zu %s, %zu there already (%zu repeat a row), %zu left out, "
		"%zu wrong\n", kind, file, r->rows, r->added, dry_run ? "would be new" : "new", r->already,
		r->repeated, r->left_out, r->wrong);
	for (size_t i = 0; i < r->n_reasons; i++) {
		printf("  %zu with %s: %s\n", r->reasons[i].count, r->reasons[i].column,
			r->reasons[i].example);
	}
}

struct expected {
	size_t rows, added, already, left_out, wrong;
};

/* One import with a mapping file.. */
static void take(struct railway *r, struct importing *i, const char *kind, const char *file,
	const char *mapping, bool dry_run, const struct expected *e)
{
	struct problems why = { 0 };
	size_t len, json_len;
	char *json = read_bytes(mappings, mapping, &json_len);
	char *bytes = read_bytes(getenv("BONDBOOK_OPEN_DATA"), file, &len);
	const struct import_result *got = &i->result;

	memset(i, 0, sizeof *i);
	railway_must(form_from_json(&import_settings_form, json, json_len, &i->settings, &i->memory,
		&why), &why);
	i->settings.leave_wrong_out = 1;
	railway_must(importing_bytes(r, i, kind, bytes, len, dry_run), &i->why);
	tell(kind, file, got, dry_run);
	ck_assert_uint_eq(got->rows, e->rows);
	ck_assert_uint_eq(got->added, e->added);
	ck_assert_uint_eq(got->already, e->already);
	ck_assert_uint_eq(got->left_out, e->left_out);
	ck_assert_uint_eq(got->wrong, e->wrong);
	free(json);
	free(bytes);
}

/* The same when only the counts matter. */
static void take_all(struct railway *r, const char *kind, const char *file, const char *mapping,
	bool dry_run, struct expected e)
{
	struct importing i;

	take(r, &i, kind, file, mapping, dry_run, &e);
	importing_release(&i);
}

/* Where a chainage lies on a track's map, or on the line's. */
static int64_t place(struct railway *r, const char *line, const char *track, const char *chainage)
{
	struct problem why = { 0 };
	const struct line_map *map;
	int64_t line_id, track_id = 0, mm = INT64_MIN;

	ck_assert(store_line_find(r->store, line, &line_id, &why) && line_id != 0);
	if (track != NULL) {
		ck_assert(store_track_find(r->store, line_id, track, &track_id, &why) && track_id != 0);
	}
	map = store_map_get(r->store, line_id, track_id, &why);
	ck_assert_msg(map != NULL && chainage_read(chainage, strlen(chainage), map, &mm, &why), "%s",
		why.detail);
	return mm;
}

/* 5,108 places: the same 5 over-counted ones and the one before its line that reading each on
 * each track refuses (rules/open_data_chainage.c: 11 of 10,216, a place on two tracks twice); 23
 * rows stand in the file twice. */
START_TEST(german_lines_have_a_map_for_each_track_and_their_places_are_read)
{
	static const char segments[] = "de_streckensegmente.csv";
	struct railway r;

	puts("Data: Deutsche Bahn AG, CC BY 4.0");
	railway_make(&r, "2024-01-01");
	take_all(&r, "lines", segments, "de_lines.json", false,
		(struct expected){ 8567, 856, 7711, 0, 0 });
	take_all(&r, "maps", segments, "de_maps.json", false,
		(struct expected){ 8567, 8567, 0, 0, 0 });
	take_all(&r, "maps", segments, "de_maps.json", false,
		(struct expected){ 8567, 0, 8567, 0, 0 });
	take_all(&r, "bonds", "de_betriebsstellen.csv", "de_places.json", true,
		(struct expected){ 5108, 5079, 23, 0, 6 });
	/* the worked example of the data's description, posts taken as exact */
	ck_assert_int_eq(place(&r, "1760", "1", "1,0 + 0"), 1000000);
	ck_assert_int_eq(place(&r, "1760", "1", "1,0 + 2230"), 3230000);
	ck_assert_int_eq(place(&r, "1760", "1", "1,1 + 47"), 3450000);
	ck_assert_int_eq(place(&r, "1760", "1", "3,2 + 30"), 5533000);
	railway_remove(&r);
}
END_TEST

/* As proposed, with what a person says: the kind of all bonds, and which columns of numbers are not
 * wanted. */
static void take_proposed(struct railway *r, const char *kind, const char *file,
	const char *const *not_wanted, size_t n_not_wanted, bool dry_run, struct expected e)
{
	static struct import_proposal proposal;
	struct import_settings none;
	struct import_column columns[IMPORT_FIELDS];
	struct import_left_out left_out[8];
	struct importing i = { 0 };
	struct problems why = { 0 };
	size_t len, n;
	char *bytes = read_bytes(getenv("BONDBOOK_OPEN_DATA"), file, &len);

	form_clear(&import_settings_form, &none);
	railway_must(import_propose(import_kind_find(kind), &none, bytes, len, &proposal, &why), &why);
	i.settings = proposal.settings;
	i.settings.leave_wrong_out = 1;
	n = i.settings.columns.count;
	memcpy(columns, i.settings.columns.items, n * sizeof columns[0]);
	if (strcmp(kind, "bonds") == 0) {
		columns[n++] = (struct import_column){ .field = "kind", .constant = "structure" };
	}
	for (size_t k = 0; k < n_not_wanted; k++) {
		left_out[k].column = not_wanted[k];
	}
	i.settings.columns = (struct form_list){ columns, n };
	i.settings.left_out = (struct form_list){ left_out, n_not_wanted };
	railway_must(importing_bytes(r, &i, kind, bytes, len, dry_run), &i.why);
	tell(kind, file, &i.result, dry_run);
	ck_assert_uint_eq(i.result.rows, e.rows);
	ck_assert_uint_eq(i.result.added, e.added);
	ck_assert_uint_eq(i.result.already, e.already);
	ck_assert_uint_eq(i.result.wrong, e.wrong);
	import_result_release(&i.result);
	import_proposal_release(&proposal);
	free(bytes);
}

/* The counts are those of the mappings that were written by hand; the maps take one of these. The
 * coordinates of stations are proposed too: a row that repeats another has others, and is wrong. */
START_TEST(german_and_french_files_come_in_as_proposed_with_two_confirmations_at_most)
{
	static const char *const german[] = { "RICHTUNG", "KM_I" };
	struct railway r;

	railway_make(&r, "2024-01-01");
	take_proposed(&r, "lines", "de_streckensegmente.csv", NULL, 0, false,
		(struct expected){ 8567, 856, 7711, 0, 0 });
	take_all(&r, "maps", "de_streckensegmente.csv", "de_maps.json", false,
		(struct expected){ 8567, 8567, 0, 0, 0 });
	take_proposed(&r, "bonds", "de_betriebsstellen.csv", german, 2, true,
		(struct expected){ 5108, 5079, 23, 0, 6 });
	take_proposed(&r, "lines", "fr_passages_a_niveau.csv", NULL, 0, false,
		(struct expected){ 17387, 649, 16738, 0, 0 });
	take_proposed(&r, "bonds", "fr_passages_a_niveau.csv", NULL, 0, false,
		(struct expected){ 17387, 17387, 0, 0, 0 });
	take_proposed(&r, "lines", "fr_gares.csv", NULL, 0, false,
		(struct expected){ 6469, 173, 6296, 0, 0 });
	take_proposed(&r, "bonds", "fr_gares.csv", NULL, 0, false,
		(struct expected){ 6469, 6454, 11, 0, 4 });
	railway_remove(&r);
}
END_TEST

START_TEST(french_crossings_are_positions_of_bonds_and_letters_for_a_kilometre_are_refused)
{
	struct railway r;
	struct importing i;
	const struct expected stations = { 6469, 6454, 12, 0, 3 };
	const struct expected crossings = { 17387, 17387, 0, 0, 0 };
	struct problem why = { 0 };
	struct bond bond;
	int64_t line, id;
	bool found = false;

	puts("Data: SNCF Réseau, ODbL 1.0");
	railway_make(&r, "2024-01-01");
	take_all(&r, "lines", "fr_passages_a_niveau.csv", "fr_lines.json", false,
		(struct expected){ 17387, 649, 16738, 0, 0 });
	take_all(&r, "bonds", "fr_passages_a_niveau.csv", "fr_crossings.json", false, crossings);
	take_all(&r, "bonds", "fr_passages_a_niveau.csv", "fr_crossings.json", false,
		(struct expected){ 17387, 0, 17387, 0, 0 });
	take_all(&r, "lines", "fr_gares.csv", "fr_station_lines.json", false,
		(struct expected){ 6469, 173, 6296, 0, 0 });
	take(&r, &i, "bonds", "fr_gares.csv", "fr_stations.json", false, &stations);
	ck_assert(store_line_find(r.store, "106000/1", &line, &why) && line != 0);
	ck_assert(store_bond_find(r.store, line, "87215012 000-428", &id, &why) && id != 0);
	ck_assert(store_bond_get(r.store, id, &bond, &why));
	ck_assert_int_eq(bond.end[END_A].distance_mm, -428000);
	for (size_t n = 0; n < i.result.n_wrongs; n++) {
		const struct import_wrong *w = &i.result.wrongs[n];

		printf("  row %zu, %s \"%s\": %s\n", w->row, w->column, w->value, w->reason);
		found = found || (strcmp(w->value, "F+489") == 0 &&
			strstr(w->reason, "letters before the number") != NULL);
	}
	ck_assert(found);
	importing_release(&i);
	railway_remove(&r);
}
END_TEST

/* The repeat place on a line that begins on a day. */
static struct repeat_row repeat_of(struct railway *r, const char *line, const char *first_day)
{
	struct failure_group group = { .rail = -1 };
	struct repeat_row *all = NULL, found = { 0 };
	struct problem why = { 0 };
	size_t count = 0;

	ck_assert(store_line_find(r->store, line, &group.line_id, &why) && group.line_id != 0);
	ck_assert(store_repeat_of_group(r->store, &group, &all, &count, &why));
	for (size_t i = 0; i < count; i++) {
		found = all[i].first_day == railway_day(first_day) ? all[i] : found;
	}
	free(all);
	return found;
}

/* 14,426 rows; 3,977 with a cause that begins with T, 3,937 distinct (railroad, number, day), two
 * of them at two places: 38 rows repeat one, and 71 have no milepost or one that is no number. */
START_TEST(american_events_are_a_failure_log_whose_repeat_places_come_out)
{
	static const char file[] = "us_fra_maintrack_events.csv";
	struct railway r;
	struct repeat_row place_row;

	puts("Data: US Federal Railroad Administration");
	railway_make(&r, "2024-01-01");
	take_all(&r, "lines", file, "us_lines.json", false,
		(struct expected){ 14426, 2203, 12223, 0, 0 });
	take_all(&r, "failures", file, "us_track_failures.json", false,
		(struct expected){ 14426, 3868, 38, 10449, 71 });
	take_all(&r, "failures", file, "us_track_failures.json", false,
		(struct expected){ 14426, 0, 3906, 10449, 71 });
	printf("%zu repeat places\n", importing_count(&r, &repeat_list));
	place_row = repeat_of(&r, "MNCW NEW HAVEN", "2003-05-30");
	ck_assert_int_eq(place_row.failures, 5);
	ck_assert_int_eq(place_row.last_day, railway_day("2005-06-13"));
	printf("MNCW NEW HAVEN, %s to %s: %d failures, 2003-05-30 to 2005-06-13\n",
		place_row.chainage_from, place_row.chainage_to, (int)place_row.failures);
	ck_assert_int_eq(place_row.from_mm, place_row.to_mm);
	ck_assert_int_eq(place_row.from_mm, INT64_C(61) * 1609344);
	railway_remove(&r);
}
END_TEST

int main(int argc, char **argv)
{
	const TTest *const tests[] = {
		german_lines_have_a_map_for_each_track_and_their_places_are_read,
		german_and_french_files_come_in_as_proposed_with_two_confirmations_at_most,
		french_crossings_are_positions_of_bonds_and_letters_for_a_kilometre_are_refused,
		american_events_are_a_failure_log_whose_repeat_places_come_out, NULL };

	if (getenv("BONDBOOK_OPEN_DATA") == NULL) {
		puts("skipped: BONDBOOK_OPEN_DATA does not name the folder of the open data");
		return 77;
	}
	if (argc != 2) {
		fputs("usage: open_data_import FOLDER_OF_MAPPINGS\n", stderr);
		return EXIT_FAILURE;
	}
	mappings = argv[1];
	return case_run("open_data_import", tests);
}
