/* Rows of the tables in rules/tablet_*.c, none required: what is not known is left out. */
#ifndef RULES_TABLET_TABLET_MEMBER_H
#define RULES_TABLET_TABLET_MEMBER_H

#include "rules/tablet/tablet.h"

#define TABLET_MEMBER(of, field, title_, type_) .name = #field, .title = title_, .type = type_, \
	.offset = offsetof(struct of, field)
#define TABLET_REAL(of, field, title_, unit_) \
	{ TABLET_MEMBER(of, field, title_, MEMBER_REAL), .unit = unit_ }
#define TABLET_INTEGER(of, field, title_, unit_) \
	{ TABLET_MEMBER(of, field, title_, MEMBER_INTEGER), .unit = unit_ }
#define TABLET_WORD(of, field, title_, words_) \
	{ TABLET_MEMBER(of, field, title_, MEMBER_WORD), .words = &words_ }
#define TABLET_FLAG(of, field, title_) { TABLET_MEMBER(of, field, title_, MEMBER_FLAG) }
#define TABLET_DAY(of, field, title_) { TABLET_MEMBER(of, field, title_, MEMBER_DAY) }
#define TABLET_TEXT(of, field, title_) { TABLET_MEMBER(of, field, title_, MEMBER_TEXT) }
#define TABLET_OBJECT(of, field, title_, form_) \
	{ TABLET_MEMBER(of, field, title_, MEMBER_OBJECT), .form = &form_ }
#define TABLET_LIST(of, field, title_, form_) \
	{ TABLET_MEMBER(of, field, title_, MEMBER_LIST), .form = &form_, .longest = 300 }

/* How far a meter is to be believed: what "meter" answers and "reading" asks for. */
struct tablet_meter_facts {
	int standing;
	double percent, uohm;
	int64_t methods;                 /* FORM_NO_INTEGER: not stated */
};
extern const struct form tablet_meter_form;

#endif
