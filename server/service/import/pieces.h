/*
 * An import beside the crews: taken by the writer in pieces, between what crews send.
 *
 * 1. A job thread tries the file (in a fork of the register) and has its result.
 * 2. import_pieces_keep writes its bytes into a file beside the register, on disk before anything
 *    else, and store_import_begin names it on record, with its settings and who brought it.
 * 3. One thread takes what is under way, the first begun first (import_pieces_open,
 *    import_pieces_next). A piece reads on in the file, until a moment, and records its rows by the
 *    functions that every import goes through. What they record is left out as what was withdrawn
 *    is, no list shows it, and nothing is derived of it.
 * 4. The last piece writes the import's own row. By it all counts, and its bonds are made again
 *    (derived/import_follow.h) before another import is begun.
 * 5. An end before that (store_import_end: a row that is wrong meanwhile, a file that is gone; or a
 *    withdrawal) leaves it so for ever. The file goes when the import counts or ended.
 * A start after a crash begins the file again: what it had brought is known by its ids and counted
 * as its own. While one is under way, or followed, no other is tried or taken: it would not know
 * what is there already.
 *
 * Bonds, inspections and failures come in so. Nobody but the import finds a bond that it brought
 * (store/record/bond_coming.h): nothing is recorded of it and its label is given to no other, and
 * what lies below it, its line, track or map, stays. Lines, tracks and maps are taken at once, few
 * at a time (service/import/import.h), and so is a file of which something of what is known is
 * taken: a further version of a bond that counts cannot count for nothing, and a correction is
 * judged before and after.
 */
#ifndef SERVICE_IMPORT_PIECES_H
#define SERVICE_IMPORT_PIECES_H

#include "derived/act.h"
#include "service/import/import.h"
#include "store/record/import_begun.h"

/* Whether what was tried is taken in pieces. */
bool import_pieces_may(const struct import_request *request, const struct import_result *tried);

/* Keeps the file beside the register, in a folder of its own, and fills *begun (release it).
 * False: *why, and no file is left. */
bool import_pieces_keep(const char *register_path, const struct import_request *request,
	const struct import_result *tried, const struct origin *origin, struct import_begun *begun,
	struct problem *why);
void import_pieces_forget(const char *register_path, const char *kept_as);

/* Removes what was kept and is of none that is under way: the program died in between. Before any
 * file can come, one of which is kept a moment before it is begun. */
bool import_pieces_sweep(const char *register_path, struct store *store, struct problem *why);

struct import_pieces;

/* Reads the file of one that is under way; *begun is its own then. NULL: *why; it will never be
 * read when that is PROBLEM_NOT_FOUND or a refusal. */
struct import_pieces *import_pieces_open(const char *register_path, struct import_begun *begun,
	struct problems *why);
void import_pieces_free(struct import_pieces *take);

/* How far it is. */
size_t import_pieces_rows(const struct import_pieces *take);

/*
 * The next piece, in an act of its own of which nothing is derived. *more: it was not the last.
 * False: *why, nothing of the piece is to be kept, and the take is good for nothing more: it is
 * opened again, or ended when *why is a refusal (import_pieces_is_refusal).
 */
bool import_pieces_next(struct import_pieces *take, struct act *act, int64_t until_ms, bool *more,
	struct problems *why);
bool import_pieces_is_refusal(const struct problems *why);

#endif
