/* The check of a kit before a shift: what of it is good, and so whether it may be worked with. */
#ifndef STORE_RECORD_KIT_CHECK_H
#define STORE_RECORD_KIT_CHECK_H

#include "store/lists/list.h"
#include "store/record/record_kind.h"

/* How a part of a kit was found. Whatever is not good stops the kit. */
enum kit_found { KIT_GOOD, KIT_NOT_GOOD, KIT_MISSING };
extern const struct words kit_found_words;

enum { KIT_PARTS = 6 };

/* What is sent of one. */
struct kit_check {
	char uuid[UUID_TEXT_SIZE];       /* from the address */
	const char *kit;                 /* its code */
	int32_t checked_day;
	int part[KIT_PARTS];             /* enum kit_found: battery, leads, gun, clamp, pins, eye shields */
	const char *checked_by;
	const char *note;
	char corrects[UUID_TEXT_SIZE];
	int sent_from;
};
extern const struct form kit_check_form;
extern const struct record_kind kit_check_kind;
extern const struct list kit_check_list;

/* Whose check is kept under that number. */
bool store_kit_check_kit(struct store *store, int64_t id, int64_t *kit_id, struct problem *why);

#endif
