/*
 * The edition of the rules: the number of the formulas, and of the values that stand in where a
 * rulebook's version lacks one. It is kept with what is derived; a register that was derived by
 * another edition is derived anew. It counts up whenever the same record and the same rulebook
 * would give another verdict, grade or due day than before.
 */
#ifndef RULES_EDITION_H
#define RULES_EDITION_H

enum { RULES_EDITION = 2 };

#endif
