#include "base/workbook/xml.h"

#include <expat.h>
#include <string.h>

struct xml {
	XML_Parser parser;
	const struct xml_reader *reader;
	const char *part;
	struct problem *why;
	size_t depth;
	size_t given, seen;           /* bytes given to the parser; when it last met anything */
	bool stopped;
};

static void stop(struct xml *x)
{
	x->stopped = true;
	XML_StopParser(x->parser, XML_FALSE);
}

static void begin(void *data, const char *name, const char **attributes)
{
	struct xml *x = data;

	x->seen = x->given;
	if (x->stopped) {
		return;
	}
	if (++x->depth > XML_DEPTH) {
		problem_set(x->why, PROBLEM_MALFORMED, NULL, "The workbook's part %.60s is nested more "
			"than %d deep, as no spreadsheet writes: it is not read.", x->part, XML_DEPTH);
		stop(x);
	} else if (x->reader->begin != NULL &&
		!x->reader->begin(x->reader->app, name, attributes, x->why)) {
		stop(x);
	}
}

static void end(void *data, const char *name)
{
	struct xml *x = data;

	x->seen = x->given;
	x->depth--;
	if (!x->stopped && x->reader->end != NULL &&
		!x->reader->end(x->reader->app, name, x->why)) {
		stop(x);
	}
}

static void text(void *data, const char *bytes, int len)
{
	struct xml *x = data;

	x->seen = x->given;
	if (!x->stopped && x->reader->text != NULL &&
		!x->reader->text(x->reader->app, bytes, (size_t)len, x->why)) {
		stop(x);
	}
}

static void comment(void *data, const char *text)
{
	(void)text;
	((struct xml *)data)->seen = ((struct xml *)data)->given;
}

static void instruction(void *data, const char *target, const char *text)
{
	(void)target;
	comment(data, text);
}

static void doctype(void *data, const char *name, const char *system, const char *public,
	int has_subset)
{
	struct xml *x = data;

	(void)name;
	(void)system;
	(void)public;
	(void)has_subset;
	problem_set(x->why, PROBLEM_MALFORMED, NULL, "The workbook's part %.60s declares a document "
		"type, as no spreadsheet writes: it is not read.", x->part);
	stop(x);
}

static bool parse(void *app, const char *bytes, size_t len)
{
	struct xml *x = app;

	x->given += len;
	if (XML_Parse(x->parser, bytes, (int)len, len == 0) != XML_STATUS_OK) {
		return x->stopped ? false : problem_set(x->why, XML_GetErrorCode(x->parser) ==
			XML_ERROR_NO_MEMORY ? PROBLEM_NO_MEMORY : PROBLEM_MALFORMED, NULL, "The workbook's "
			"part %.60s cannot be read (%.60s in its line %lu): it is damaged, or protected by a "
			"password.", x->part, XML_ErrorString(XML_GetErrorCode(x->parser)),
			(unsigned long)XML_GetCurrentLineNumber(x->parser));
	}
	return x->given - x->seen <= XML_TAG_BYTES || problem_set(x->why, PROBLEM_MALFORMED, NULL,
		"The workbook's part %.60s has a tag of more than %d bytes, as no spreadsheet writes: it "
		"is not read.", x->part, XML_TAG_BYTES);
}

bool xml_read(struct archive *archive, const char *part, const struct xml_reader *reader,
	struct problem *why)
{
	struct xml x = { .parser = XML_ParserCreate(NULL), .reader = reader, .part = part,
		.why = why };
	bool ok;

	if (x.parser == NULL) {
		return problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	}
	XML_SetUserData(x.parser, &x);
	XML_SetElementHandler(x.parser, begin, end);
	XML_SetCharacterDataHandler(x.parser, text);
	XML_SetCommentHandler(x.parser, comment);
	XML_SetProcessingInstructionHandler(x.parser, instruction);
	XML_SetStartDoctypeDeclHandler(x.parser, doctype);
	ok = archive_read(archive, part, parse, &x, why);
	XML_ParserFree(x.parser);
	return ok;
}

const char *xml_local(const char *name)
{
	const char *colon = strrchr(name, ':');

	return colon != NULL ? colon + 1 : name;
}

const char *xml_attribute(const char **attributes, const char *name)
{
	for (size_t i = 0; attributes[i] != NULL; i += 2) {
		if (strcmp(xml_local(attributes[i]), name) == 0) {
			return attributes[i + 1];
		}
	}
	return NULL;
}

const char *xml_attribute_whole(const char **attributes, const char *name)
{
	for (size_t i = 0; attributes[i] != NULL; i += 2) {
		if (strcmp(attributes[i], name) == 0) {
			return attributes[i + 1];
		}
	}
	return NULL;
}
