/*
 * Quantiles of Student's t distribution: the value that is exceeded with a probability of 5 %, and
 * with one of 2.5 % (two-sided 95 %). df is at least 1.
 */
#ifndef RULES_STUDENT_H
#define RULES_STUDENT_H

#include <stddef.h>

double student_t_95(size_t df);
double student_t_975(size_t df);

#endif
