#include "service/access/sign_in.h"

#include <sodium.h>
#include <stdio.h>
#include <string.h>

#include "service/access/password.h"
#include "service/access/person.h"

static const struct member sign_in_members[] = {
	{ .name = "login", .title = "Sign-in name", .type = MEMBER_TEXT, .required = true,
	  .offset = offsetof(struct sign_in, login), .longest = 60 },
	{ .name = "password", .title = "Password", .type = MEMBER_TEXT, .required = true,
	  .offset = offsetof(struct sign_in, password), .longest = PASSWORD_MOST_BYTES },
	{ .name = "code", .title = "Second factor", .type = MEMBER_TEXT,
	  .offset = offsetof(struct sign_in, code), .longest = 60,
	  .help = "Six figures, or a recovery code, where there is one." },
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

bool sign_in_look_up(struct store *store, const char *login, struct sign_in_try *to,
	struct problems *why)
{
	struct problem trouble = { 0 };
	int64_t id;

	*to = (struct sign_in_try){ 0 };
	if (!person_of_login(store, login, &id, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	/* (for a name that nobody has somebody else is read: it takes as long) */
	if (!store_person_get(store, id != 0 ? id : 1, &to->person, &trouble) &&
		(id != 0 || trouble.code != PROBLEM_NOT_FOUND)) {
		return act_refuse(why, &trouble, NULL);
	}
	if (id == 0) {
		to->person = (struct person){ 0 };
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

	const char *hash = p->password_hash[0] != '\0' ? p->password_hash : nobodys_hash;

	crypto_generichash(key, sizeof key, (const unsigned char *)hash, strlen(hash), NULL, 0);
	crypto_generichash(bytes + DEVICE_NONCE, DEVICE_SEAL, bytes, DEVICE_NONCE, key, sizeof key);
}

static bool device_read(const char *token, unsigned char bytes[DEVICE_BYTES])
{
	size_t len = 0;

	return sodium_base642bin(bytes, DEVICE_BYTES, token, strlen(token), NULL, &len, NULL,
		sodium_base64_VARIANT_URLSAFE_NO_PADDING) == 0 && len == DEVICE_BYTES;
}

void device_token(const struct person *person, const char *former, char token[DEVICE_TOKEN_SIZE])
{
	unsigned char bytes[DEVICE_BYTES];

	if (!device_read(former, bytes)) {
		randombytes_buf(bytes, DEVICE_NONCE);
	}
	seal_device(person, bytes);
	sodium_bin2base64(token, DEVICE_TOKEN_SIZE, bytes, sizeof bytes,
		sodium_base64_VARIANT_URLSAFE_NO_PADDING);
}

bool device_is_known(const struct person *person, const char *token)
{
	unsigned char sent[DEVICE_BYTES], right[DEVICE_BYTES];

	if (!device_read(token, sent)) {
		return false;
	}
	memcpy(right, sent, sizeof right);
	seal_device(person, right);
	return sodium_memcmp(sent, right, sizeof right) == 0 && person->password_hash[0] != '\0';
}
