/* Values that nobody writes and a rule may ask for. Private to src/analysis. */
#ifndef ANALYSIS_FACT_DERIVED_H
#define ANALYSIS_FACT_DERIVED_H

#include "analysis/subject.h"

Fact fact_of_derived(const FactSource *source, const Subject *subject, const Ref *ref);
/* Yields of batches, what is left behind stages, how full places are (fact_figures.c). */
Fact fact_of_figure(const FactSource *source, const Subject *subject, Derived derived);
/* A number that nobody wrote; and none, for somebody would have to state a field. */
Fact fact_number(const FactSource *source, Interval interval, FactClass class);
Fact fact_missing(const Field *field);
/* The role of a stage or task subject: what it says, else its name. */
Name subject_role(const Subject *subject);

/* From taking or arrival to sticking, in seconds; false when either is not stated. Whole days, and 0 on one
 * day; an hour on one side only makes it a range. *sure: all of the range occurs or it is a point. */
bool held_between(const Reading *taken, const Reading *stuck, Interval *held, FactClass *class);

#endif
