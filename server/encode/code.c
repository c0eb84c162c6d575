#include "encode/code.h"

#include <qrencode.h>
#include <string.h>

enum { QUIET = 4, TEXT_MOST = 200 };

/* As text of XML. */
static void add_escaped(struct text *to, const char *z)
{
	for (; *z != '\0'; z++) {
		const char *name = *z == '&' ? "&amp;" : *z == '<' ? "&lt;" : *z == '>' ? "&gt;" : NULL;

		if (name != NULL) {
			text_add_z(to, name);
		} else {
			text_add_char(to, *z);
		}
	}
}

/* One path: a run of dark modules in a row is one rectangle. */
static void add_modules(const QRcode *code, struct text *to)
{
	for (int y = 0; y < code->width; y++) {
		const unsigned char *row = code->data + y * code->width;

		for (int x = 0; x < code->width; x++) {
			int from = x;

			while (x < code->width && (row[x] & 1) != 0) {
				x++;
			}
			if (x > from) {
				text_addf(to, "M%d %dh%dv1h-%dz", from + QUIET, y + QUIET, x - from, x - from);
			}
		}
	}
}

bool code_svg(const char *text, const char *title, struct text *to, struct problem *why)
{
	QRcode *code;
	int size;

	if (strlen(text) > TEXT_MOST) {
		return problem_set(why, PROBLEM_VALUE, NULL, "The address is too long for a code.");
	}
	code = QRcode_encodeString8bit(text, 0, QR_ECLEVEL_M);
	if (code == NULL) {
		return problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	}
	size = code->width + 2 * QUIET;
	text_addf(to, "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 %d %d\" "
		"shape-rendering=\"crispEdges\"><title>", size, size);
	add_escaped(to, title);
	text_addf(to, "</title><rect width=\"%d\" height=\"%d\" fill=\"#fff\"/><path d=\"", size, size);
	add_modules(code, to);
	text_add_z(to, "\"/></svg>");
	QRcode_free(code);
	return !to->failed || problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
}
