#include "base/zone.h"

#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

static const char usual_folder[] = "/usr/share/zoneinfo";

/* as the program was started; "" for what the system says */
static char started_with[256];

static bool is_written_right(const char *name)
{
	size_t len = strlen(name);

	if (len == 0 || len >= ZONE_NAME_SIZE ||
		strspn(name, "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789_+-/") != len) {
		return false;
	}
	return name[0] != '/' && name[len - 1] != '/' && strstr(name, "//") == NULL;
}

static bool is_another_name(const char *name)
{
	return strncmp(name, "right/", 6) == 0 || strcmp(name, "localtime") == 0 ||
		strcmp(name, "posixrules") == 0;
}

/* A file of the format of RFC 8536. */
static bool has_file(const char *name)
{
	const char *folder = getenv("TZDIR");
	char path[512], magic[4];
	struct stat st;
	bool ok;
	int file;
	int len = snprintf(path, sizeof path, "%s/%s", folder != NULL && folder[0] != '\0' ? folder :
		usual_folder, name);

	if (len < 0 || (size_t)len >= sizeof path) {
		return false;
	}
	file = open(path, O_RDONLY | O_CLOEXEC | O_NONBLOCK);
	ok = file >= 0 && fstat(file, &st) == 0 && S_ISREG(st.st_mode) &&
		read(file, magic, sizeof magic) == (ssize_t)sizeof magic &&
		memcmp(magic, "TZif", sizeof magic) == 0;
	if (file >= 0) {
		close(file);
	}
	return ok;
}

bool zone_check(const char *name, const char *field, struct problem *why)
{
	if (!is_written_right(name)) {
		return problem_set(why, PROBLEM_VALUE, field, "A time zone is written as in the zone "
			"database, like Europe/Vilnius: no path, no dots, no spaces.");
	}
	if (is_another_name(name)) {
		return problem_set(why, PROBLEM_VALUE, field, "%s is no time zone of a place: name one like "
			"Europe/Vilnius.", name);
	}
	return has_file(name) || problem_set(why, PROBLEM_VALUE, field, "The zone database of this "
		"machine has no time zone %s: name one that it has, like Europe/Vilnius.", name);
}

/* What the environment says is kept before it is changed. */
static void begin(void)
{
	static bool begun;
	const char *zone = getenv("TZ");

	if (!begun && zone != NULL) {
		snprintf(started_with, sizeof started_with, "%s", zone);
	}
	begun = true;
}

bool zone_use(const char *name, struct problem *why)
{
	char value[sizeof started_with] = ":/etc/localtime";
	const char *now = getenv("TZ");

	begin();
	if (name[0] != '\0') {
		if (!zone_check(name, "zone", why)) {
			return false;
		}
		/* (the colon: a file of the database, never a rule spelt out) */
		snprintf(value, sizeof value, ":%s", name);
	} else if (started_with[0] != '\0') {
		memcpy(value, started_with, sizeof value);
	}
	if ((now == NULL || strcmp(now, value) != 0) && setenv("TZ", value, 1) != 0) {
		return problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	}
	tzset();
	return true;
}

void zone_machine(char to[ZONE_NAME_SIZE])
{
	char link[512];
	const char *name = started_with, *folder;
	struct problem why = { 0 };
	ssize_t len;

	begin();
	if (name[0] == '\0') {
		len = readlink("/etc/localtime", link, sizeof link - 1);
		link[len > 0 ? len : 0] = '\0';
		name = link;
	}
	name += name[0] == ':' ? 1 : 0;
	folder = strstr(name, "/zoneinfo/");
	name = folder != NULL ? folder + strlen("/zoneinfo/") : name;
	to[0] = '\0';
	if (zone_check(name, NULL, &why)) {
		snprintf(to, ZONE_NAME_SIZE, "%s", name);
	}
}
