/* A QR code (ISO/IEC 18004) as a drawing. */
#ifndef ENCODE_CODE_H
#define ENCODE_CODE_H

#include "base/problem.h"
#include "base/text.h"

/*
 * Adds an SVG of the text, dark on white with the quiet zone of four modules that the standard asks
 * for, at level M, so that a seventh of it may be dirt; made for 14 mm on paper. title: for who
 * does not see it. False: *why, the text is too long (more than 200 bytes) or memory ran out.
 */
bool code_svg(const char *text, const char *title, struct text *to, struct problem *why);

#endif
