/* Rules among themselves: what no subject can break or keep, what another rule finds as well, what is asked
 * for and occurs nowhere.
 *
 * Only what concerns a rule of the house is told: those that ship are held against each other by the tests
 * (tests/shipped.py). Without a rule of the house nothing is looked at.
 */
#ifndef ANALYSIS_OVERLAP_H
#define ANALYSIS_OVERLAP_H

#include "model/nursery.h"

/* Adds notes to the nursery's; what is worked out on the way lives in `passing`. Rules that an example
 * refused are told of only when nothing can break or keep them. */
void overlap_report(Nursery *nursery, Arena *passing);
/* What a rule of the house asks for by name, and nothing of the nursery is called (analysis/overlap_idle.c).
 */
void overlap_idle(Nursery *nursery, Arena *passing);

#endif
