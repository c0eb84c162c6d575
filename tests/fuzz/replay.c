/*
 * Replays saved inputs through a fuzz target: each argument is a file, or a folder whose files are
 * all taken. tests/fuzz/run hunts with the same target, where libFuzzer has a main of its own.
 *
 * A found crash becomes a file of the corpus.
 */
#include <dirent.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/stat.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

enum { LARGEST = 16 << 20, PATH_SIZE = 4096 };

/* The exact size on the heap, so that reading one byte too far is seen. */
static int replay_file(const char *path)
{
	FILE *file = fopen(path, "rb");
	uint8_t *whole = malloc(LARGEST);
	uint8_t *data = NULL;
	size_t size = 0;
	int failed = 1;

	if (file == NULL || whole == NULL) {
		fprintf(stderr, "cannot read %s\n", path);
		goto end;
	}
	size = fread(whole, 1, LARGEST, file);
	data = malloc(size > 0 ? size : 1);
	if (data != NULL && !ferror(file)) {
		for (size_t i = 0; i < size; i++) {
			data[i] = whole[i];
		}
		LLVMFuzzerTestOneInput(data, size);
		failed = 0;
	}
end:
	free(data);
	free(whole);
	if (file != NULL) {
		fclose(file);
	}
	return failed;
}

static int replay_folder(DIR *folder, const char *path, size_t *replayed)
{
	const struct dirent *entry;
	int failed = 0;

	while ((entry = readdir(folder)) != NULL) {
		char name[PATH_SIZE];
		struct stat about;
		int len = snprintf(name, sizeof name, "%s/%s", path, entry->d_name);

		if (len < 0 || len >= (int)sizeof name || stat(name, &about) != 0 ||
			!S_ISREG(about.st_mode)) {
			continue;
		}
		failed |= replay_file(name);
		(*replayed)++;
	}
	return failed;
}

int main(int argc, char *argv[])
{
	size_t replayed = 0;
	int failed = 0;

	for (int i = 1; i < argc; i++) {
		DIR *folder = opendir(argv[i]);

		if (folder != NULL) {
			failed |= replay_folder(folder, argv[i], &replayed);
			closedir(folder);
		} else {
			failed |= replay_file(argv[i]);
			replayed++;
		}
	}
	if (replayed == 0) {
		fprintf(stderr, "nothing to replay\n");
		return 1;
	}
	printf("replayed %zu inputs\n", replayed);
	return failed;
}
