/* bondbook-demo --data DIR [--people]: an invented railway and eight years of its bonds.
 * bondbook-demo --init: what bondbook init is to be told for it. */
#include <stdlib.h>
#include <string.h>

#include "base/clock.h"
#include "base/zone.h"
#include "demo.h"

static int usage(void)
{
	fprintf(stderr, "usage: bondbook-demo --data DIR [--people]\n"
		"       bondbook-demo --init\n"
		"  --data DIR   fills DIR/register.db as bondbook init made it; makes it when it is not there\n"
		"  --people     one person a role can sign in, with a password that everybody knows\n");
	return 2;
}

int main(int argc, char **argv)
{
	struct demo_options options = { .out = stdout };
	struct problem why = { 0 };
	bool tell = false;

	for (int i = 1; i < argc; i++) {
		if (strcmp(argv[i], "--data") == 0 && i + 1 < argc) {
			options.folder = argv[++i];
		} else if (strcmp(argv[i], "--people") == 0) {
			options.people = true;
		} else if (strcmp(argv[i], "--init") == 0) {
			tell = true;
		} else {
			return usage();
		}
	}
	if ((options.folder == NULL) != tell) {
		return usage();
	}
	if (!zone_use(PLAN_ZONE, &why)) {
		fprintf(stderr, "bondbook-demo: %s\n", why.detail);
		return EXIT_FAILURE;
	}
	options.today = clock_today();
	if (tell) {
		demo_tell_init(options.today, stdout);
		return EXIT_SUCCESS;
	}
	return demo_build(&options) ? EXIT_SUCCESS : EXIT_FAILURE;
}
