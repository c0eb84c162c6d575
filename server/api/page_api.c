/* The pages: each address and the file that it shows, and the files themselves. */
#include <stdio.h>
#include <string.h>

#include "api/program.h"
#include "api/routes.h"

static void give(const struct request *req, const char *file, struct reply *out)
{
	const struct static_files *pages = program_of(req)->pages;

	if (pages == NULL || !static_files_get(pages, file, req, out)) {
		struct problem why = { 0 };

		problem_set(&why, PROBLEM_NO_ROUTE, NULL, "There is nothing at this address.");
		reply_problem(out, &why);
	}
}

static const struct { const char *pattern, *file; } pages[] = {
	{ "/", "/index.html" }, { "/sign-in", "/sign-in.html" }, { "/due", "/due.html" },
	{ "/bonds/{id}", "/bond.html" }, { "/bonds/{id}/inspect", "/inspect.html" },
	{ "/bonds/{id}/attach", "/attach.html" }, { "/readings/{uuid}/{id}", "/working.html" },
	{ "/lines/{id}", "/line.html" }, { "/repeat", "/repeat.html" }, { "/import", "/import.html" },
	{ "/report", "/report.html" }, { "/list", "/list.html" },
	{ "/rulebook", "/rulebook.html" }, { "/kits", "/kits.html" },
	{ "/account", "/account.html" }, { "/people", "/people.html" },
	{ "/new-password", "/new-password.html" },
	{ "/queue", "/queue.html" }, { "/rounds", "/rounds.html" },
	{ "/rounds/{uuid}", "/round.html" },
	{ "/round", "/shift.html" }, { "/round/{uuid}", "/shift.html" },
};

static void page(const struct request *req, struct reply *out)
{
	for (size_t i = 0; i < sizeof pages / sizeof pages[0]; i++) {
		if (strcmp(pages[i].pattern, req->route->pattern) == 0) {
			give(req, pages[i].file, out);
			return;
		}
	}
}

static void file(const struct request *req, struct reply *out)
{
	give(req, req->path, out);
}

/* For a tablet that is to trust it: its own reader takes it from here. */
static void authority(const struct request *req, struct reply *out)
{
	const char *pem = program_of(req)->authority;

	if (pem == NULL) {
		give(req, req->path, out);
		return;
	}
	out->status = 200;
	out->type = "application/x-x509-ca-cert";
	out->fixed = pem;
	out->fixed_len = strlen(pem);
	snprintf(out->disposition, sizeof out->disposition, "attachment; filename=\"authority.crt\"");
}

#define PAGE(pattern) { METHOD_GET, pattern, ROUTE_PLAIN, RIGHT_ANYONE, page }

const struct route page_routes[] = {
	PAGE("/"), PAGE("/sign-in"), PAGE("/due"), PAGE("/bonds/{id}"), PAGE("/bonds/{id}/inspect"),
	PAGE("/bonds/{id}/attach"), PAGE("/readings/{uuid}/{id}"),
	PAGE("/lines/{id}"), PAGE("/repeat"), PAGE("/import"),
	PAGE("/report"), PAGE("/list"), PAGE("/rulebook"), PAGE("/kits"),
	PAGE("/account"), PAGE("/people"), PAGE("/new-password"),
	PAGE("/queue"), PAGE("/rounds"), PAGE("/rounds/{uuid}"),
	PAGE("/round"), PAGE("/round/{uuid}"),
	{ METHOD_GET, "/authority.crt", ROUTE_PLAIN, RIGHT_ANYONE, authority },
	{ METHOD_GET, "/{file}", ROUTE_PLAIN, RIGHT_ANYONE, file },
	{ 0 }
};
