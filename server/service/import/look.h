/*
 * A look through the whole file before any of it is taken: what only a person can say, because the
 * file could mean two things, or because something in it would be left out without a word. Internal
 * to the importer.
 *
 *   first_row   the first row looks like data, and nobody said what it is
 *   left_out    a column has numbers, nothing takes it, and nobody said that it is not wanted. Of
 *               lines and tracks, which have no figures, this is not asked
 *   columns     the places are plain numbers, and nobody said whether they are kilometres, metres
 *               or what the line's chainages are written in
 */
#ifndef SERVICE_IMPORT_LOOK_H
#define SERVICE_IMPORT_LOOK_H

#include "base/csv_propose.h"
#include "service/import/plan.h"

/* bytes: as in the file. False: a problem for each, or the file cannot be read as stated. */
bool import_look(const struct import_kind *kind, const struct import_settings *settings,
	const char *bytes, size_t len, struct problems *why);

/* Whether the kind's files have figures that can be left out. */
bool import_has_figures(const struct import_kind *kind);

#endif
