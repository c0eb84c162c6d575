#include "api/program.h"

struct program *program_of(const struct request *req)
{
	return req->app;
}

void program_follow_rulebook(const struct request *req)
{
	struct program *program = program_of(req);

	program->follow_rulebook(program);
}
