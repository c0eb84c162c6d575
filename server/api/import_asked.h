/* What the requests about an import ask for: a kind and settings in the query, a file in the
 * body. */
#ifndef API_IMPORT_ASKED_H
#define API_IMPORT_ASKED_H

#include "http/request.h"
#include "service/import/import.h"
#include "service/import/opened.h"

enum { IMPORT_FILE_MOST = 64 << 20 };

/* The kind of the query; NULL: *why. */
const struct import_kind *import_kind_asked(const struct request *req, struct problems *why);

/* The settings of the query; all absent when none were sent. */
bool import_settings_asked(const struct request *req, struct import_settings *to,
	struct form_memory *memory, struct problems *why);

/* The import that a request asks for, which may be tried or taken by who sent it: with the right
 * that the kind's own door asks for. Release it in any case. */
struct import_asked {
	struct import_settings settings;
	struct form_memory memory;
	struct import_opened opened;
	struct import_request request;   /* its bytes are the body's, or the rows of its workbook */
};
bool import_asked(const struct request *req, struct import_asked *to, struct problems *why);
void import_asked_release(struct import_asked *asked);

#endif
