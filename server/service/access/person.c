#include "service/access/person.h"

#include <ctype.h>
#include <sodium.h>
#include <stdio.h>
#include <string.h>

#define OF(field) offsetof(struct person_new, field)

static const struct member person_members[] = {
	{ .name = "login", .title = "Sign-in name", .type = MEMBER_TEXT, .required = true,
	  .offset = OF(login), .longest = 60 },
	{ .name = "name", .title = "Name", .type = MEMBER_TEXT, .required = true, .offset = OF(name),
	  .longest = 120 },
	{ .name = "role", .title = "Role", .type = MEMBER_WORD, .required = true, .offset = OF(role),
	  .words = &role_words },
	{ .name = "password", .title = "Password", .type = MEMBER_TEXT, .offset = OF(password),
	  .longest = PASSWORD_MOST_BYTES,
	  .help = "At least 10 characters. Left out: cannot sign in." },
	{ .name = "active", .title = "May sign in", .type = MEMBER_FLAG, .offset = OF(active) },
	{ 0 }
};
const struct form person_form = { "Person", person_members, sizeof (struct person_new) };

static const struct member sign_in_members[] = {
	{ .name = "login", .title = "Sign-in name", .type = MEMBER_TEXT, .required = true,
	  .offset = offsetof(struct sign_in, login), .longest = 60 },
	{ .name = "password", .title = "Password", .type = MEMBER_TEXT, .required = true,
	  .offset = offsetof(struct sign_in, password), .longest = PASSWORD_MOST_BYTES },
	{ 0 }
};
const struct form sign_in_form = { "SignIn", sign_in_members, sizeof (struct sign_in) };

static const struct member password_members[] = {
	{ .name = "password", .title = "Password now", .type = MEMBER_TEXT, .required = true,
	  .offset = offsetof(struct password_new, password), .longest = PASSWORD_MOST_BYTES },
	{ .name = "new_password", .title = "New password", .type = MEMBER_TEXT, .required = true,
	  .offset = offsetof(struct password_new, new_password), .longest = PASSWORD_MOST_BYTES },
	{ 0 }
};
const struct form password_form = { "PasswordNew", password_members, sizeof (struct password_new) };

/* Argon2id: 32 MiB, three passes; over the floor that OWASP's password storage page gives
 * (19 MiB, two passes). */
enum { HASH_BYTES = 32 << 20, HASH_PASSES = 3 };

bool password_hash(const char *password, char *hash, struct problems *why)
{
	_Static_assert(PERSON_HASH_SIZE >= crypto_pwhash_STRBYTES, "the hash fits");
	return crypto_pwhash_str_alg(hash, password, strlen(password), HASH_PASSES, HASH_BYTES,
		crypto_pwhash_ALG_ARGON2ID13) == 0 || problems_add(why, PROBLEM_NO_MEMORY, NULL,
		"The server has no memory left for this: send it again.");
}

/* Of no password at all: what an unknown person is compared with. */
static const char nobodys_hash[] =
	"$argon2id$v=19$m=32768,t=3,p=1$AAAAAAAAAAAAAAAAAAAAAA$"
	"AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA";

static void lower(const char *login, char *to, size_t size)
{
	snprintf(to, size, "%s", login);
	for (; *to != '\0'; to++) {
		*to = (char)(*to >= 'A' && *to <= 'Z' ? *to + ('a' - 'A') : *to);
	}
}

bool person_of_login(struct store *store, const char *login, int64_t *id, struct problem *why)
{
	char lowered[PERSON_LOGIN_SIZE];

	lower(login, lowered, sizeof lowered);
	return store_person_find(store, lowered, id, why);
}

bool sign_in_look_up(struct store *store, const char *login, struct sign_in_try *to,
	struct problems *why)
{
	struct problem trouble = { 0 };
	int64_t id;

	*to = (struct sign_in_try){ 0 };
	if (!person_of_login(store, login, &id, &trouble) ||
		(id != 0 && !store_person_get(store, id, &to->person, &trouble))) {
		return act_refuse(why, &trouble, NULL);
	}
	to->may = id != 0 && to->person.active && to->person.password_hash[0] != '\0';
	return true;
}

enum { KEPT_HASH = 32 };

/* What libsodium wrote: $argon2id$v=19$m=KIBIBYTES,t=PASSES,p=1$SALT$HASH. */
struct kept_hash {
	unsigned long long passes;
	size_t memory;
	unsigned char salt[crypto_pwhash_SALTBYTES], hash[KEPT_HASH];
};

static bool base64_read(const char *text, unsigned char *to, size_t size, const char **end)
{
	size_t len = 0;

	return sodium_base642bin(to, size, text, strlen(text), NULL, &len, end,
		sodium_base64_VARIANT_ORIGINAL_NO_PADDING) == 0 && len == size;
}

static bool kept_hash_read(const char *text, struct kept_hash *to)
{
	unsigned kibibytes, passes;
	const char *end;
	int at = 0;

	if (sscanf(text, "$argon2id$v=19$m=%u,t=%u,p=1$%n", &kibibytes, &passes, &at) != 2 || at == 0) {
		return false;
	}
	to->passes = passes;
	to->memory = (size_t)kibibytes << 10;
	return base64_read(text + at, to->salt, sizeof to->salt, &end) && *end == '$' &&
		base64_read(end + 1, to->hash, sizeof to->hash, &end) && *end == '\0';
}

/* (crypto_pwhash_str_verify says of memory that ran out that the password is another) */
bool sign_in_check(const struct sign_in_try *try, const char *password, struct problems *why)
{
	const char *text = try->may ? try->person.password_hash : nobodys_hash;
	unsigned char hash[KEPT_HASH];
	struct kept_hash kept;

	if (!kept_hash_read(text, &kept)) {
		return problems_add(why, PROBLEM_STORE, NULL, "The stored password cannot be read.");
	}
	if (crypto_pwhash(hash, sizeof hash, password, strlen(password), kept.salt, kept.passes,
		kept.memory, crypto_pwhash_ALG_ARGON2ID13) != 0) {
		return problems_add(why, PROBLEM_NO_MEMORY, NULL,
			"The server has no memory left for this: send it again.");
	}
	return (sodium_memcmp(hash, kept.hash, sizeof hash) == 0 && try->may) ||
		problems_add(why, PROBLEM_SIGN_IN, NULL,
		"The sign-in name and the password do not belong together.");
}

enum { DEVICE_NONCE = 15, DEVICE_SEAL = 16, DEVICE_BYTES = DEVICE_NONCE + DEVICE_SEAL };

/* The seal's key is the stored hash of the password: it is secret, and changes with it. */
static void seal_device(const struct person *p, unsigned char bytes[DEVICE_BYTES])
{
	unsigned char key[crypto_generichash_KEYBYTES];

	crypto_generichash(key, sizeof key, (const unsigned char *)p->password_hash,
		strlen(p->password_hash), NULL, 0);
	crypto_generichash(bytes + DEVICE_NONCE, DEVICE_SEAL, bytes, DEVICE_NONCE, key, sizeof key);
}

void device_token(const struct person *person, char token[DEVICE_TOKEN_SIZE])
{
	unsigned char bytes[DEVICE_BYTES];

	randombytes_buf(bytes, DEVICE_NONCE);
	seal_device(person, bytes);
	sodium_bin2base64(token, DEVICE_TOKEN_SIZE, bytes, sizeof bytes,
		sodium_base64_VARIANT_URLSAFE_NO_PADDING);
}

bool device_is_known(const struct person *person, const char *token)
{
	unsigned char sent[DEVICE_BYTES], right[DEVICE_BYTES];
	size_t len = 0;

	if (person->password_hash[0] == '\0' || sodium_base642bin(sent, sizeof sent, token,
		strlen(token), NULL, &len, NULL, sodium_base64_VARIANT_URLSAFE_NO_PADDING) != 0 ||
		len != sizeof sent) {
		return false;
	}
	memcpy(right, sent, sizeof right);
	seal_device(person, right);
	return sodium_memcmp(sent, right, sizeof right) == 0;
}

static bool check_login(const char *login, struct problems *why)
{
	for (const char *c = login; *c != '\0'; c++) {
		if (!isalnum((unsigned char)*c) && strchr("._-@", *c) == NULL) {
			return problems_add(why, PROBLEM_VALUE, "login",
				"A sign-in name has letters a to z, digits and . _ - @ only.");
		}
	}
	return true;
}

bool person_register(struct act *act, const struct person_new *form, const char *hash,
	struct recorded *recorded, struct problems *why)
{
	struct person p = { .role = (enum role)form->role, .active = form->active != 0 };
	struct problem trouble = { 0 };

	*recorded = (struct recorded){ 0 };
	lower(form->login, p.login, sizeof p.login);
	snprintf(p.name, sizeof p.name, "%s", form->name);
	snprintf(p.password_hash, sizeof p.password_hash, "%s", hash);
	if (!check_login(p.login, why)) {
		return false;
	}
	if (!store_person_find(act->store, p.login, &recorded->id, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	if (recorded->id != 0) {
		return problems_add(why, PROBLEM_CONFLICT, "login", "The sign-in name %s is taken.", p.login);
	}
	if (!store_person_insert(act->store, &p, &act->origin, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	recorded->id = p.id;
	return true;
}

bool person_change(struct act *act, int64_t id, const struct person_new *form, const char *hash,
	struct problems *why)
{
	struct person p, old;
	struct problem trouble = { 0 };
	bool ends;

	if (!store_person_get(act->store, id, &p, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	old = p;
	snprintf(p.name, sizeof p.name, "%s", form->name);
	p.role = (enum role)form->role;
	p.active = form->active < 0 ? p.active : form->active != 0;
	if (hash[0] != '\0') {
		snprintf(p.password_hash, sizeof p.password_hash, "%s", hash);
	}
	ends = p.role != old.role || p.active != old.active || hash[0] != '\0';
	return (store_person_change(act->store, &p, &act->origin, &trouble) &&
		(!ends || store_sessions_end_of(act->store, id, &trouble))) ||
		act_refuse(why, &trouble, NULL);
}

bool person_password(struct act *act, struct person *person, const char *hash,
	struct problems *why)
{
	struct person now;
	struct problem trouble = { 0 };

	if (!store_person_get(act->store, person->id, &now, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	if (now.version != person->version) {
		return problems_add(why, PROBLEM_SIGN_IN, NULL,
			"Your name, role or password was changed just now: sign in again.");
	}
	snprintf(person->password_hash, sizeof person->password_hash, "%s", hash);
	return (store_person_change(act->store, person, &act->origin, &trouble) &&
		store_sessions_end_of(act->store, person->id, &trouble)) ||
		act_refuse(why, &trouble, NULL);
}

static void hash_token(const char *token, char *hash)
{
	unsigned char bytes[32];

	crypto_generichash(bytes, sizeof bytes, (const unsigned char *)token, strlen(token), NULL, 0);
	sodium_bin2hex(hash, SESSION_HASH_SIZE, bytes, sizeof bytes);
}

bool session_begin(struct act *act, const struct person *person, char *token,
	struct problems *why)
{
	unsigned char bytes[32];
	char hash[SESSION_HASH_SIZE];
	struct problem trouble = { 0 };
	struct person now;
	int64_t now_ms = act->origin.now_ms;

	if (!store_person_get(act->store, person->id, &now, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	if (now.version != person->version) {
		return problems_add(why, PROBLEM_SIGN_IN, NULL,
			"Your name, role or password was changed just now: sign in again.");
	}
	randombytes_buf(bytes, sizeof bytes);
	sodium_bin2base64(token, SESSION_TOKEN_SIZE, bytes, sizeof bytes,
		sodium_base64_VARIANT_URLSAFE_NO_PADDING);
	hash_token(token, hash);
	return (store_sessions_end_before(act->store, now_ms, &trouble) &&
		store_session_insert(act->store, hash, person->id, now_ms,
		now_ms + (int64_t)SESSION_HOURS * 3600 * 1000, &trouble)) ||
		act_refuse(why, &trouble, NULL);
}

bool session_person(struct store *store, const char *token, int64_t now_ms, struct person *person,
	struct problem *why)
{
	char hash[SESSION_HASH_SIZE];

	hash_token(token, hash);
	if (!store_session_person(store, hash, now_ms, person, why)) {
		return false;
	}
	if (person->id != 0 && !person->active) {
		person->id = 0;
	}
	return true;
}

bool session_end(struct act *act, const char *token, struct problems *why)
{
	char hash[SESSION_HASH_SIZE];
	struct problem trouble = { 0 };

	hash_token(token, hash);
	return store_session_end(act->store, hash, &trouble) || act_refuse(why, &trouble, NULL);
}
