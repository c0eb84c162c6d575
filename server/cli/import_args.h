/* The arguments of bondbook import, made into settings. */
#ifndef CLI_IMPORT_ARGS_H
#define CLI_IMPORT_ARGS_H

#include "service/import/import.h"

struct import_args {
	const struct import_kind *kind;
	const char *path;
	const char *data, *save_as, *wrong_path, *stated_by;
	bool dry_run, propose, help;
	struct import_settings settings;
	struct form_memory memory;
};

/* Reads them, the file of settings and the saved mapping too; what stands on the command line comes
 * on top. Returns 0 or the exit code, told on stderr. Release *to in any case. */
int import_args_read(int argc, char **argv, struct import_args *to);
void import_args_release(struct import_args *args);

#endif
