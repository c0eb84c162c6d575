#include "store/record/sent.h"

#include <string.h>

#include "store/sql.h"

_Static_assert(SENT_INSPECTION == 0 && SENT_FAILURE == 1 && SENT_REPAIR == 2 &&
	SENT_DEFERRAL == 3 && SENT_ATTACHMENT == 4 && SENT_RULING == 5 && SENT_WITHDRAWAL == 7 &&
	SENT_IMPORT == 8 && SENT_KIT_CHECK == 9 && SENT_CALIBRATION == 10 && SENT_CONDUCTOR == 11 &&
	SENT_PROFILE == 12 && SENT_BOND == 13 && SENT_LINE == 14 && SENT_TRACK == 15 &&
	SENT_MAP == 16 && SENT_MARK == 17 && SENT_BRIDGE == 20 && SENT_BRIDGE_OFF == 21 &&
	SENT_PHOTO == 22 && SENT_FOUND == 23 && SENT_FOUND_ANSWER == 24,
	"store/sql.h says so");

static const char *const find[] = {
	[SENT_INSPECTION] = "SELECT id, content_hash, bond_id FROM inspection WHERE uuid = $1",
	[SENT_FAILURE] = "SELECT id, content_hash, bond_id FROM failure WHERE uuid = $1",
	[SENT_REPAIR] = ("SELECT r.id, r.content_hash, f.bond_id FROM repair r "
		"JOIN failure f ON f.id = r.failure_id WHERE r.uuid = $1"),
	[SENT_DEFERRAL] = "SELECT id, content_hash, bond_id FROM deferral WHERE uuid = $1",
	[SENT_ATTACHMENT] = "SELECT id, content_hash, bond_id FROM attachment WHERE uuid = $1",
	[SENT_RENEWAL] = "SELECT id, content_hash, 0 FROM renewal WHERE uuid = $1",
	[SENT_RULING] = "SELECT id, content_hash, coalesce(bond_id, 0) FROM ruling WHERE uuid = $1",
	[SENT_WITHDRAWAL] = "SELECT id, content_hash, coalesce(bond_id, 0) FROM withdrawal WHERE uuid = $1",
	[SENT_KIT_CHECK] = "SELECT id, content_hash, 0 FROM kit_check WHERE uuid = $1",
	[SENT_ROUND] = "SELECT id, content_hash, 0 FROM round WHERE uuid = $1",
	[SENT_ROUND_STEP] = "SELECT id, content_hash, 0 FROM round_step WHERE uuid = $1",
	[SENT_BRIDGE] = "SELECT id, content_hash, bond_id FROM bridge WHERE uuid = $1",
	[SENT_BRIDGE_OFF] = "SELECT x.id, x.content_hash, g.bond_id FROM bridge_off x "
		"JOIN bridge g ON g.id = x.bridge_id WHERE x.uuid = $1",
	[SENT_PHOTO] = "SELECT id, content_hash, coalesce(bond_id, 0) FROM photo WHERE uuid = $1",
	[SENT_FOUND] = "SELECT id, content_hash, 0 FROM found_bond WHERE uuid = $1",
	[SENT_FOUND_ANSWER] = "SELECT id, content_hash, 0 FROM found_answer WHERE uuid = $1",
};

/* (what was withdrawn replaces nothing; of the others one correction ever is kept) */
#define STANDS(table, noun) "SELECT count(*) FROM " table " c WHERE c.replaces_id = $1 " \
	"AND NOT c." SQL_WITHDRAWN(noun, "id")

static const char *const replaced_by[] = {
	[SENT_INSPECTION] = STANDS("inspection", NOUN_INSPECTION),
	[SENT_FAILURE] = STANDS("failure", NOUN_FAILURE),
	[SENT_REPAIR] = STANDS("repair", NOUN_REPAIR),
	[SENT_DEFERRAL] = STANDS("deferral", NOUN_DEFERRAL),
	[SENT_ATTACHMENT] = STANDS("attachment", NOUN_ATTACHMENT),
	[SENT_RENEWAL] = "SELECT count(*) FROM renewal WHERE replaces_id = $1",
	[SENT_KIT_CHECK] = "SELECT count(*) FROM kit_check WHERE replaces_id = $1",
};

#define NOTHING "SELECT 0 WHERE $1 IS NULL"    /* nothing corrects one */

static const char *const corrected_by[] = {
	[SENT_INSPECTION] = STANDS("inspection", NOUN_INSPECTION),
	[SENT_FAILURE] = STANDS("failure", NOUN_FAILURE),
	[SENT_REPAIR] = STANDS("repair", NOUN_REPAIR),
	[SENT_DEFERRAL] = STANDS("deferral", NOUN_DEFERRAL),
	[SENT_ATTACHMENT] = STANDS("attachment", NOUN_ATTACHMENT),
	[SENT_RULING] = NOTHING,
	[SENT_KIT_CHECK] = STANDS("kit_check", NOUN_KIT_CHECK),
	[SENT_BRIDGE] = NOTHING, [SENT_BRIDGE_OFF] = NOTHING,
	[SENT_PHOTO] = NOTHING, [SENT_FOUND] = NOTHING, [SENT_FOUND_ANSWER] = NOTHING,
};

/* The persons of an entry and of all that it corrects in turn. */
#define AUTHOR(table) "WITH RECURSIVE chain (by, replaces_id) AS " \
	"(SELECT coalesce(recorded_by, 0), replaces_id FROM " table " WHERE id = $1 UNION ALL " \
	"SELECT coalesce(e.recorded_by, 0), e.replaces_id FROM " table " e " \
	"JOIN chain c ON e.id = c.replaces_id) " \
	"SELECT CASE WHEN min(by) = max(by) THEN min(by) ELSE -1 END FROM chain"

static const char *const author[] = {
	[SENT_INSPECTION] = AUTHOR("inspection"),
	[SENT_FAILURE] = AUTHOR("failure"),
	[SENT_REPAIR] = AUTHOR("repair"),
	[SENT_DEFERRAL] = AUTHOR("deferral"),
	[SENT_ATTACHMENT] = AUTHOR("attachment"),
	[SENT_RULING] = "SELECT coalesce(recorded_by, 0) FROM ruling WHERE id = $1",
};

#define FORMER(table) "SELECT r.uuid FROM " table " c JOIN " table " r ON r.id = c.replaces_id " \
	"WHERE c.uuid = $1"

static const char *const former[] = {
	[SENT_INSPECTION] = FORMER("inspection"), [SENT_FAILURE] = FORMER("failure"),
	[SENT_REPAIR] = FORMER("repair"), [SENT_DEFERRAL] = FORMER("deferral"),
	[SENT_ATTACHMENT] = FORMER("attachment"), [SENT_RULING] = "SELECT NULL WHERE $1 IS NULL",
};

bool store_sent_find(struct store *store, enum sent_noun noun, const char *uuid, struct sent *to,
	struct problem *why)
{
	sqlite3_stmt *row = sql_select(store, find[noun], (struct value[]){ value_text(uuid) }, 1,
		why);

	*to = (struct sent){ 0 };
	if (sql_row(store, row, why)) {
		to->id = sqlite3_column_int64(row, 0);
		column_text(row, 1, to->hash, sizeof to->hash);
		to->bond_id = sqlite3_column_int64(row, 2);
		sql_done(row);
	}
	return why->code == PROBLEM_NONE;
}

bool store_sent_replaced(struct store *store, enum sent_noun noun, int64_t id, bool *replaced,
	struct problem *why)
{
	int64_t count = 0;
	bool ok = sql_integer(store, replaced_by[noun], (struct value[]){ value_integer(id) }, 1, 0,
		&count, why);

	*replaced = count > 0;
	return ok;
}

bool store_sent_stands_corrected(struct store *store, enum sent_noun noun, int64_t id,
	bool *corrected, struct problem *why)
{
	int64_t count = 0;
	bool ok = sql_integer(store, corrected_by[noun], (struct value[]){ value_integer(id) }, 1, 0,
		&count, why);

	*corrected = count > 0;
	return ok;
}

bool store_sent_author(struct store *store, enum sent_noun noun, int64_t id, int64_t *person_id,
	struct problem *why)
{
	return sql_integer(store, author[noun], (struct value[]){ value_integer(id) }, 1, 0, person_id,
		why);
}

bool store_sent_former(struct store *store, enum sent_noun noun, const char *uuid,
	char to[UUID_TEXT_SIZE], struct problem *why)
{
	sqlite3_stmt *row = sql_select(store, former[noun], (struct value[]){ value_text(uuid) }, 1,
		why);
	char found[UUID_TEXT_SIZE] = "";

	if (sql_row(store, row, why)) {
		column_text(row, 0, found, sizeof found);
		sql_done(row);
	}
	memcpy(to, found, sizeof found);
	return why->code == PROBLEM_NONE;
}
