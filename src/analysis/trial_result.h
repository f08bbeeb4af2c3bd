/* What a trial showed: which of its counts is the one that was settled beforehand, and each way beside the
 * first.
 */
#ifndef ANALYSIS_TRIAL_RESULT_H
#define ANALYSIS_TRIAL_RESULT_H

#include "analysis/proportion.h"
#include "analysis/trial_plan.h"
#include "model/record.h"

typedef enum TrialVerdict {
    TRIAL_OPEN,    /* neither a difference is shown nor that there is none that matters */
    TRIAL_DIFFERS, /* more than chance makes of two ways that are the same */
    TRIAL_PEEKED,  /* counted before its day: not to be read yet */
    TRIAL_ALIKE,   /* if there is a difference, it is smaller than the one worth knowing */
} TrialVerdict;

typedef struct TrialPair {
    Name way;
    Tally first, other;
    Bounds difference; /* other - first, with the chance 1 - trial_error: proportion_difference */
    double chance;     /* proportion_exact_test */
    TrialVerdict verdict;
} TrialPair;

typedef struct TrialCount {
    const RecordLine *line; /* the first count on the day that was settled or later; else, looked at before
                               its time, the last; NULL: none */
    bool early;             /* before that day: it was looked at and not read */
    size_t others;          /* counts beside this one */
} TrialCount;

typedef struct TrialResult {
    const Trial *trial;
    Slice batch;
    int64_t trays; /* of the way that says it has fewest; 0: one says none */
    TrialPlan plan;
    TrialCount count;
    const TrialPair *pairs; /* every way but the first; none without a count of all ways */
    size_t pair_count;
} TrialResult;

/* The count of a trial in the record of its batch (NULL: it has none). */
TrialCount trial_count(const Trial *trial, const Block *record, Dates reading);
/* `batch` is the one it lies in, with its record and dates. Lives as long as source->lasting. */
TrialResult trial_result(const FactSource *source, const Trial *trial, const SurveyBatch *batch);

#endif
