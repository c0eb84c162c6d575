#include "api/routes.h"

#include <pthread.h>

static const struct route *tables[40];

static void join(void)
{
	size_t n = 0;

	tables[n++] = about_routes;
	tables[n++] = session_routes;
	tables[n++] = sign_in_routes;
	tables[n++] = factor_routes;
	tables[n++] = token_routes;
	tables[n++] = register_routes;
	tables[n++] = bond_routes;
	tables[n++] = code_routes;
	tables[n++] = record_routes;
	tables[n++] = photo_routes;
	tables[n++] = round_routes;
	tables[n++] = found_routes;
	tables[n++] = line_routes;
	tables[n++] = rail_routes;
	tables[n++] = renewal_routes;
	tables[n++] = strip_routes;
	tables[n++] = search_routes;
	tables[n++] = working_routes;
	tables[n++] = repeat_routes;
	tables[n++] = report_routes;
	tables[n++] = person_routes;
	tables[n++] = rulebook_routes;
	tables[n++] = trial_routes;
	tables[n++] = progress_routes;
	tables[n++] = tablet_routes;
	tables[n++] = import_routes;
	tables[n++] = import_run_routes;
	tables[n++] = list_routes();
	tables[n++] = page_routes;
	tables[n] = NULL;
}

/* Workers read them while another asks for them first. */
const struct route *const *all_routes(void)
{
	static pthread_once_t once = PTHREAD_ONCE_INIT;

	pthread_once(&once, join);
	return tables;
}
