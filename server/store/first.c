/* What a register has to say of itself before anybody writes into it. */
#include "base/clock.h"
#include "rules/edition.h"
#include "store/migrate.h"
#include "store/record/rulebook.h"
#include "store/sql.h"

/* What the program knows, as the first version: what it judges by is record like any other. */
static bool first_rulebook(struct store *store, struct problem *why)
{
	const struct rulebook_kept first = { .rulebook = rulebook_default(), .edition = RULES_EDITION,
		.adopted_day = DAY_NONE };
	const struct origin origin = { .now_ms = clock_now_ms() };
	struct text body = { 0 };
	bool ok;

	rulebook_kept_write(&first, &body);
	ok = (!body.failed || problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.")) &&
		store_rulebook_insert(store, first.rulebook.version, first.rulebook.from_day, body.data,
		"By the program, build "
		"" BONDBOOK_VERSION "; values before may have differed.", &origin, why);
	text_release(&body);
	return ok;
}

static bool put(struct store *store, const char *name, int64_t value, struct problem *why)
{
	static const char sql[] = "INSERT INTO derived_mark (name, value) VALUES ($1, $2) "
		"ON CONFLICT (name) DO UPDATE SET value = excluded.value";

	return sql_run(store, sql, (struct value[]){ value_text(name), value_integer(value) }, 2, why);
}

/* Where nothing is derived yet, all that will be is of this edition. */
static bool note_edition(struct store *store, int64_t edition, struct problem *why)
{
	return edition == RULES_EDITION ? put(store, "edition", RULES_EDITION, why) :
		put(store, "edition", edition, why) && put(store, "rulebook", -1, why) &&
		put(store, "recomputed", 0, why) && sql_mark_step(store, "stale", why);
}

bool store_first(struct store *store, struct problem *why)
{
	static const char version[] = "SELECT count(*) FROM rulebook WHERE version = 1";
	static const char mark[] = "SELECT coalesce((SELECT value FROM derived_mark "
		"WHERE name = 'edition'), (SELECT 1 FROM bond_state LIMIT 1), 0)";
	static const char made[] = "SELECT value FROM derived_mark WHERE name = 'rulebook'";
	int64_t has_first, edition, made_under;
	bool ok;

	if (!sql_integer(store, version, NULL, 0, 0, &has_first, why) ||
		!sql_integer(store, mark, NULL, 0, 0, &edition, why) ||
		!sql_integer(store, made, NULL, 0, 0, &made_under, why)) {
		return false;
	}
	/* (another edition that is followed already is under way since an earlier start) */
	if (has_first && (edition == RULES_EDITION || made_under == -1)) {
		return true;
	}
	ok = store_begin(store, why) && (has_first || first_rulebook(store, why)) &&
		note_edition(store, edition > 0 ? edition : RULES_EDITION, why) &&
		store_commit(store, why);
	if (!ok) {
		store_rollback(store);
	}
	return ok;
}
