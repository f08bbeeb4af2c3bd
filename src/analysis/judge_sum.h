/* Values of sums. Private to src/analysis. */
#ifndef ANALYSIS_JUDGE_SUM_H
#define ANALYSIS_JUDGE_SUM_H

#include "analysis/judge.h"

typedef struct SumValue {
    FactClass class;
    IntervalSet numbers;
    Dates days; /* of a day */
} SumValue;

/* Notes the reason when there is nothing to judge. */
SumValue sum_value(Judging *judging, const Sum *sum, const Subject *subject);
void judge_missing(Judging *judging, const Ref *ref, const Fact *fact);
Truth judge_reason(Judging *judging, FactClass class, Truth truth);

#endif
