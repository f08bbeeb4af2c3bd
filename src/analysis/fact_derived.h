/* Values that nobody writes and a rule may ask for. Private to src/analysis. */
#ifndef ANALYSIS_FACT_DERIVED_H
#define ANALYSIS_FACT_DERIVED_H

#include "analysis/subject.h"

Fact fact_of_derived(const FactSource *source, const Subject *subject, const Ref *ref);
/* The role of a stage or task subject: what it says, else its name. */
Name subject_role(const Subject *subject);

/* From taking or arrival to sticking, in seconds; false when either is not stated. Whole days, and 0 on one
 * day; an hour on one side only makes it a range. *sure: all of the range occurs or it is a point. */
bool held_between(const Reading *taken, const Reading *stuck, Interval *held, FactClass *class);

#endif
