#include "service/import/kind.h"

#include <assert.h>
#include <string.h>

#include "service/record/bond.h"
#include "service/record/failure.h"
#include "service/record/line.h"

#define OF(field) offsetof(struct piece_row, field)

static const struct member piece_members[] = {
	{ .name = "line", .title = "Line", .type = MEMBER_TEXT, .required = true, .offset = OF(line),
	  .longest = 60, .help = "The line's code; its notation is how chainages are read." },
	{ .name = "track", .title = "Track", .type = MEMBER_TEXT, .offset = OF(track), .longest = 60,
	  .help = "Left out: the piece belongs to every track of the line. A new one is registered." },
	{ .name = "from", .title = "From chainage", .type = MEMBER_TEXT, .required = true,
	  .offset = OF(from), .longest = 60 },
	{ .name = "to", .title = "To chainage", .type = MEMBER_TEXT, .required = true,
	  .offset = OF(to), .longest = 60 },
	{ .name = "length_m", .title = "Length on the ground", .unit = "m", .type = MEMBER_REAL,
	  .required = true, .offset = OF(length_m), .least = 0, .most = 1e7 },
	{ .name = "is_jump", .title = "The chainage jumps in it", .type = MEMBER_FLAG,
	  .offset = OF(is_jump), .help = "Then length and chainage are both taken as they are." },
	{ 0 }
};
static const struct form piece_form = { "Piece", piece_members, sizeof (struct piece_row) };

static const struct member visit_members[] = {
	{ .name = "reference", .title = "Reference", .type = MEMBER_TEXT,
	  .offset = offsetof(struct visit_row, reference), .longest = 100,
	  .help = "Its number in the log: parts two visits of one day. It is not kept." },
	{ 0 }
};
static const struct form visit_form = { "Visit", visit_members, sizeof (struct visit_row) };

static const char *const bond_without[] = { "reason", "place_written", NULL };
static const char *const visit_without[] = { "readings", "failure", "corrects",
	"sent_from", NULL };
static const char *const failure_without[] = { "corrects", "sent_from", "place_written", NULL };

const struct import_kind import_kinds[IMPORT_KINDS] = {
	[IMPORT_LINES] = { IMPORT_LINES, "lines", "lines", "One line a row; the same line may stand "
		"in many rows.", { { &line_form } }, sizeof (struct line_new) },
	[IMPORT_TRACKS] = { IMPORT_TRACKS, "tracks", "tracks", "One track of a line a row; the line "
		"is there before.", { { &track_form } }, sizeof (struct track_new) },
	[IMPORT_MAPS] = { IMPORT_MAPS, "maps", "chainage maps", "One piece of line a row, with its "
		"length; the line is there before. A place with no track stated is read on the map of the "
		"line's first track by name.", { { &piece_form } }, sizeof (struct piece_row) },
	[IMPORT_BONDS] = { IMPORT_BONDS, "bonds", "bonds", "One bond a row; its line and tracks are "
		"there before.", { { &bond_form, 0, bond_without } }, sizeof (struct bond_new) },
	[IMPORT_INSPECTIONS] = { IMPORT_INSPECTIONS, "inspections", "inspections and readings",
		"One reading a row, or a visit without any. Rows of the same bond, day, purpose, inspector "
		"and reference are one inspection.",
		{ { &inspection_form, offsetof(struct visit_row, visit), visit_without },
		{ &reading_form, offsetof(struct visit_row, reading), .optional = true },
		{ &visit_form } }, sizeof (struct visit_row) },
	[IMPORT_FAILURES] = { IMPORT_FAILURES, "failures", "failures", "One failure a row, of a bond, "
		"or at a line and chainage. Rows of the same place, day and reference are one failure.",
		{ { &failure_form, 0, failure_without } }, sizeof (struct failure_new) },
};

const struct import_kind *import_kind_find(const char *name)
{
	for (size_t i = 0; i < IMPORT_KINDS; i++) {
		if (strcmp(import_kinds[i].name, name) == 0) {
			return &import_kinds[i];
		}
	}
	return NULL;
}

/* What is otherwise of a row than of what a person sends. */
static const char *help_of(const struct import_kind *kind, const struct member *m)
{
	return kind->what == IMPORT_INSPECTIONS && strcmp(m->name, "outcome") == 0 ? "A visit is "
		"complete that has a word for each end, or the reason why one could not be seen; only that "
		"moves the due day." : m->help;
}

static bool is_one_of(const char *const *without, const char *name)
{
	for (size_t i = 0; without != NULL && without[i] != NULL; i++) {
		if (strcmp(without[i], name) == 0) {
			return true;
		}
	}
	return false;
}

void import_kind_fields(const struct import_kind *kind, struct import_fields *to)
{
	size_t n = 0;

	for (size_t p = 0; p < 3 && kind->parts[p].form != NULL; p++) {
		const struct import_part *part = &kind->parts[p];

		for (const struct member *m = part->form->members; m->name != NULL; m++) {
			if (!is_one_of(part->without, m->name)) {
				assert(n < IMPORT_FIELDS);
				to->members[n] = *m;
				to->members[n].offset += part->offset;
				to->members[n].shown = m->title;
				to->members[n].help = help_of(kind, m);
				to->members[n].required = m->required && !part->optional;
				n++;
			}
		}
	}
	to->members[n] = (struct member){ 0 };
	to->form = (struct form){ kind->name, to->members, kind->size };
}

bool import_is_place(const struct member *member)
{
	static const char *const places[] = { "chainage", "a_chainage", "b_chainage", "from", "to",
		NULL };

	return member->type == MEMBER_TEXT && is_one_of(places, member->name);
}
