/*
 * Makes a register the size of a whole country, for the benchmark.
 *
 * usage: bondbook-national --data DIR [--bonds N] [--today YYYY-MM-DD]
 *
 * For a million bonds: 500 lines of 2,000, four visits to each with two readings, 200,000 failures
 * of which most lie at places that keep failing. --bonds makes a smaller one of the same density.
 * The person "bench" may sign in with the password "bench bench bench".
 */
#include <getopt.h>
#include <sodium.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

#include "base/clock.h"
#include "base/uuid.h"
#include "national.h"
#include "service/access/person.h"
#include "service/access/sign_in.h"
#include "store/sql.h"

const int class_months[CLASSES] = { 3, 6, 12, 24 };

enum { ROWS_OF_TRANSACTION = 300000 };

/* Nothing is lost when the machine stops half-way: it is made anew. What is written is not written
 * twice (into a log first), nor read back while it is being made. */
static const char in_haste[] = "PRAGMA synchronous = OFF; PRAGMA locking_mode = EXCLUSIVE; "
	"PRAGMA journal_mode = MEMORY; PRAGMA cache_size = -786432;";
static const char at_the_end[] = "PRAGMA locking_mode = NORMAL; PRAGMA journal_mode = WAL;";

/* splitmix64 (Steele, Lea, Flood 2014): short, and good enough for made-up data. */
uint64_t draw(struct national *n, uint64_t below)
{
	uint64_t z = (n->seed += 0x9E3779B97F4A7C15u);

	z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9u;
	z = (z ^ (z >> 27)) * 0x94D049BB133111EBu;
	z ^= z >> 31;
	return below > 0 ? z % below : z;
}

double draw_real(struct national *n)
{
	return (double)(draw(n, 0) >> 11) / 9007199254740992.0;
}

void draw_sent(struct national *n, int64_t at_ms, struct sent_as *to)
{
	uint64_t random[4];

	for (size_t i = 0; i < 4; i++) {
		random[i] = draw(n, 0);
	}
	uuid_v7(at_ms, (const unsigned char *)random, to->uuid);
	sodium_bin2hex(to->hash, sizeof to->hash, (const unsigned char *)random, sizeof random);
}

int64_t evening_ms(int32_t day)
{
	return (int64_t)day * 86400000 + 20 * 3600000;
}

void must(bool ok, const struct problem *why)
{
	if (!ok) {
		fprintf(stderr, "bondbook-national: %s\n", why->detail);
		exit(EXIT_FAILURE);
	}
}

void wrote(struct national *n, size_t rows)
{
	struct problem why = { 0 };

	n->in_transaction += rows;
	if (n->in_transaction >= ROWS_OF_TRANSACTION) {
		must(store_commit(n->store, &why) && store_begin(n->store, &why), &why);
		n->in_transaction = 0;
	}
}

static void make_person(struct national *n)
{
	struct person_new form;
	struct recorded recorded;
	struct problems why = { 0 };
	char hash[PERSON_HASH_SIZE];

	form_clear(&person_form, &form);
	form.login = "bench";
	form.name = "Bench";
	form.role = ROLE_MANAGER;
	form.active = 1;
	must(password_hash("bench bench bench", hash, &why) &&
		person_register(&n->act, &form, hash, &recorded, &why), &why.item[0]);
	n->act.origin.person_id = recorded.id;
}

/* Runs one step and says how long it took. */
static void step(struct national *n, const char *what, void (*run)(struct national *n))
{
	struct timespec from, to;

	clock_gettime(CLOCK_MONOTONIC, &from);
	run(n);
	clock_gettime(CLOCK_MONOTONIC, &to);
	printf("%-10s %7.1f s\n", what, (double)(to.tv_sec - from.tv_sec) +
		(double)(to.tv_nsec - from.tv_nsec) / 1e9);
	fflush(stdout);
}

static void set(struct national *n, const char *pragmas)
{
	if (sqlite3_exec(sql_connection(n->store), pragmas, NULL, NULL, NULL) != SQLITE_OK) {
		fprintf(stderr, "bondbook-national: %s\n", sqlite3_errmsg(sql_connection(n->store)));
		exit(EXIT_FAILURE);
	}
}

static void make_all(struct national *n, const char *path)
{
	const struct origin origin = { .now_ms = evening_ms(n->today - 3650) };
	struct problems many = { 0 };
	struct problem why = { 0 };

	n->store = store_open(path, STORE_MAKE, &why);
	must(n->store != NULL, &why);
	set(n, in_haste);
	must(store_begin(n->store, &why), &why);
	n->view = (struct view){ .store = n->store, .today = n->today };
	must(act_begin(&n->act, &n->view, &origin, &many), &many.item[0]);
	make_person(n);
	step(n, "lines", make_lines);
	step(n, "bonds", make_bonds);
	step(n, "visits", make_visits);
	step(n, "failures", make_failures);
	step(n, "derived", derive_all);
	must(store_commit(n->store, &why), &why);
	set(n, at_the_end);
	act_release(&n->act);
	view_release(&n->view);
	store_close(n->store);
}

static bool read_options(int argc, char **argv, struct national *n, const char **data)
{
	static const struct option options[] = { { "data", required_argument, NULL, 'd' },
		{ "bonds", required_argument, NULL, 'b' }, { "today", required_argument, NULL, 't' },
		{ 0 } };
	int c;

	while ((c = getopt_long(argc, argv, "", options, NULL)) != -1) {
		if (c == 'd') {
			*data = optarg;
		} else if (c == 'b') {
			n->n_bonds = (size_t)strtoul(optarg, NULL, 10);
		} else if (c != 't' || !day_read(optarg, strlen(optarg), &n->today)) {
			return false;
		}
	}
	return *data != NULL && n->n_bonds >= 1 && n->n_bonds <= 10000000;
}

int main(int argc, char **argv)
{
	struct national n = { .today = clock_today(), .seed = 20260331, .n_bonds = 1000000 };
	const char *data = NULL;
	char path[4096];

	if (sodium_init() < 0 || !read_options(argc, argv, &n, &data)) {
		fputs("usage: bondbook-national --data DIR [--bonds N] [--today YYYY-MM-DD]\n", stderr);
		return EXIT_FAILURE;
	}
	snprintf(path, sizeof path, "%s/register.db", data);
	mkdir(data, 0700);
	if (access(path, F_OK) == 0) {
		fprintf(stderr, "bondbook-national: %s is there already\n", path);
		return EXIT_FAILURE;
	}
	n.n_lines = (n.n_bonds + BONDS_OF_LINE - 1) / BONDS_OF_LINE;
	n.bonds = calloc(n.n_bonds, sizeof *n.bonds);
	if (n.bonds == NULL) {
		fputs("bondbook-national: out of memory\n", stderr);
		return EXIT_FAILURE;
	}
	make_all(&n, path);
	free(n.bonds);
	return EXIT_SUCCESS;
}
