/* The route tables of the resources; all_routes joins them with the routes made from the lists. */
#ifndef API_ROUTES_H
#define API_ROUTES_H

#include "http/route.h"
#include "store/store.h"

extern const struct cookie session_cookie;

extern const struct route page_routes[];      /* the HTML pages and their files */
extern const struct route session_routes[];
extern const struct route sign_in_routes[];
extern const struct route factor_routes[];
extern const struct route token_routes[];
extern const struct route register_routes[];  /* its time zone, when it began */
extern const struct route line_routes[];
extern const struct route rail_routes[];      /* conductors, rails, marks on them */
extern const struct route renewal_routes[];
extern const struct route strip_routes[];     /* a stretch of a line as it is drawn */
extern const struct route search_routes[];    /* the one search box */
extern const struct route bond_routes[];
extern const struct route code_routes[];      /* the codes of bonds */
extern const struct route tablet_routes[];    /* what a crew takes along */
extern const struct route record_routes[];    /* what crews send under ids of their own */
extern const struct route photo_routes[];     /* photos and their pictures */
extern const struct route found_routes[];      /* bonds that are not in the book */
extern const struct route round_routes[];      /* rounds of crews, temporary bridges */
extern const struct route working_routes[];   /* the working of a verdict */
extern const struct route repeat_routes[];
extern const struct route report_routes[];
extern const struct route person_routes[];
extern const struct route rulebook_routes[];
extern const struct route trial_routes[];     /* a rulebook tried */
extern const struct route progress_routes[];  /* how far long requests are */
extern const struct route import_routes[];
extern const struct route import_run_routes[];
extern const struct route about_routes[];     /* words, description, health, metrics */

/* All of them, and those made from the lists: a NULL-terminated list of tables, made on first
 * use. */
const struct route *const *all_routes(void);

/* GET /api/NAME and /api/NAME.csv ... of every list; ended as every table. For all_routes, once. */
const struct route *list_routes(void);

/* Every list with the right to read it, ended by one without a list. As with routes, a right that
 * is forgotten (RIGHT_NOBODY) closes it. */
struct listed {
	const struct list *list;
	unsigned right;
};
extern const struct listed all_lists[];

/* The first rows of every list that is not computed can be read. */
bool lists_can_be_read(struct store *store, int32_t today, struct problem *why);

#endif
