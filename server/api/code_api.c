/* The code of a bond, for paper and pages: read by a camera it opens the bond, in the round that is on
 * the tablet or else its page. The address is the one by which this is asked. */
#include <stdio.h>
#include <string.h>

#include "api/rights.h"
#include "api/routes.h"
#include "api/views.h"
#include "encode/code.h"
#include "store/record/bond.h"

static void code_get(const struct request *req, struct reply *out)
{
	struct bond bond;
	struct text svg = { 0 };
	struct problem why = { 0 };
	char address[300], title[BOND_LABEL_SIZE + 40];
	int64_t id;
	bool ok = request_id(req, 0, &id, &why) &&
		store_bond_fact(view_of(req)->store, id, &bond, &why);

	if (ok) {
		snprintf(address, sizeof address, "%s://%.200s/round?bond=%lld",
			req->secure ? "https" : "http", req->host, (long long)id);
		snprintf(title, sizeof title, "Code of bond %s", bond.label);
		ok = code_svg(address, title, &svg, &why);
	}
	if (!ok) {
		text_release(&svg);
		reply_problem(out, &why);
		return;
	}
	out->alone = true;
	reply_text(out, 200, "image/svg+xml", &svg);
}

const struct route code_routes[] = {
	{ METHOD_GET, "/api/bonds/{id}/code", ROUTE_READ, CAN_READ, code_get,
	  "A QR code as SVG, whose address opens the bond: in the round on the tablet, or its page." },
	{ 0 }
};
