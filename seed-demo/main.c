/* bondbook-demo --data DIR [--people]: an invented railway and eight years of its bonds. */
#include <stdlib.h>
#include <string.h>

#include "base/clock.h"
#include "base/zone.h"
#include "demo.h"

static int usage(void)
{
	fprintf(stderr, "usage: bondbook-demo --data DIR [--people]\n"
		"  --data DIR   makes DIR/register.db; DIR is made when it is not there\n"
		"  --people     one person a role can sign in, with a password that everybody knows\n");
	return 2;
}

int main(int argc, char **argv)
{
	struct demo_options options = { .out = stdout };
	struct problem why = { 0 };

	for (int i = 1; i < argc; i++) {
		if (strcmp(argv[i], "--data") == 0 && i + 1 < argc) {
			options.folder = argv[++i];
		} else if (strcmp(argv[i], "--people") == 0) {
			options.people = true;
		} else {
			return usage();
		}
	}
	if (options.folder == NULL) {
		return usage();
	}
	if (!zone_use(PLAN_ZONE, &why)) {
		fprintf(stderr, "bondbook-demo: %s\n", why.detail);
		return EXIT_FAILURE;
	}
	options.today = clock_today();
	return demo_build(&options) ? EXIT_SUCCESS : EXIT_FAILURE;
}
