/*
 * What lets people and machines in beside a password: second factors, recovery codes, codes for
 * choosing a new password, tokens of machines; and the record of who gave and took them. Of what is
 * shown once only the hash is kept.
 */
#ifndef STORE_RECORD_SECRET_H
#define STORE_RECORD_SECRET_H

#include "store/record/line.h"

enum { FACTOR_BYTES = 20, SECRET_HASH_SIZE = 65, TOKEN_NAME_SIZE = 121 };

struct second_factor {
	bool is_there;
	bool is_set;                          /* its person has shown figures of it */
	unsigned char secret[FACTOR_BYTES];
	int64_t last_step;                    /* figures of it and before are used up */
};
/* is_there is false when the person has none. */
bool store_factor_get(struct store *store, int64_t person_id, struct second_factor *to,
	struct problem *why);
bool store_factor_put(struct store *store, int64_t person_id, const struct second_factor *factor,
	int64_t now_ms, struct problem *why);
/* With its recovery codes. */
bool store_factor_remove(struct store *store, int64_t person_id, struct problem *why);

bool store_recovery_put(struct store *store, int64_t person_id, const char *code_hash,
	struct problem *why);
/* It is gone then; *was is false when there was none. */
bool store_recovery_use(struct store *store, int64_t person_id, const char *code_hash, bool *was,
	struct problem *why);
bool store_recovery_count(struct store *store, int64_t person_id, int64_t *count,
	struct problem *why);

struct reset_code {
	int64_t person_id;                    /* 0: none */
	char code_hash[SECRET_HASH_SIZE];
	int64_t ends_at_ms, made_by;
};
/* One of a person, the last. */
bool store_reset_put(struct store *store, const struct reset_code *reset, struct problem *why);
bool store_reset_get(struct store *store, int64_t person_id, struct reset_code *to,
	struct problem *why);
bool store_reset_remove(struct store *store, int64_t person_id, struct problem *why);

/* What a machine may do. */
enum token_scope { TOKEN_READ, TOKEN_METRICS };
extern const struct words token_scope_words;

struct machine_token {
	int64_t id;                           /* 0: none */
	char name[TOKEN_NAME_SIZE];
	enum token_scope scope;
	int32_t ends_day;                     /* the last on which it is good */
	bool is_ended;
};
/* Sets id. */
bool store_token_insert(struct store *store, struct machine_token *token, const char *token_hash,
	const struct origin *origin, struct problem *why);
bool store_token_find(struct store *store, const char *token_hash, struct machine_token *to,
	struct problem *why);
bool store_token_get(struct store *store, int64_t id, struct machine_token *to,
	struct problem *why);
bool store_token_end(struct store *store, int64_t id, const struct origin *origin,
	struct problem *why);
extern const struct list token_list;

enum access_what { ACCESS_SESSIONS_ENDED, ACCESS_RESET_STARTED, ACCESS_RESET_USED,
	ACCESS_FACTOR_SET, ACCESS_FACTOR_REMOVED, ACCESS_RECOVERY_USED, ACCESS_TOKEN_MADE,
	ACCESS_TOKEN_ENDED };
extern const struct words access_what_words;

/* Of whom (0: of no person), or of which token. */
bool store_access_act(struct store *store, enum access_what what, int64_t person_id,
	const char *name, const struct origin *origin, struct problem *why);
/* Who did that to this person last; 0: nobody. */
bool store_access_last(struct store *store, enum access_what what, int64_t person_id, int64_t *by,
	struct problem *why);
extern const struct list access_act_list;

#endif
