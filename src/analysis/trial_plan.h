/* What a trial comes to before it is counted: how many cuttings each way has and how many it takes to see the
 * difference that would be worth knowing, and on which day it is read.
 */
#ifndef ANALYSIS_TRIAL_PLAN_H
#define ANALYSIS_TRIAL_PLAN_H

#include "analysis/survey.h"
#include "model/trial.h"

#define TRIAL_ERROR 0.05 /* chance is taken for a difference so often */
#define TRIAL_POWER 0.80 /* and a difference is found so often */

typedef struct TrialPlan {
    bool has_each;
    int64_t each;      /* cuttings of the smallest way: of its trays, else a fair part of the batch */
    bool has_expected; /* the protocol, or the variety, promises it */
    double expected;   /* share that is counted on average; else one half, which takes most */
    int64_t needed;    /* of each way; 0: no difference is said */
    Dates read;        /* DAY_NONE: not said, or the batch has no dates */
} TrialPlan;

/* `batch` is the one it lies in. The numbers are those of two ways: of several the first is held against each
 * other one, and the error is shared between these. */
TrialPlan trial_plan(const FactSource *source, const Trial *trial, const SurveyBatch *batch);
/* The days on which it is to be read; DAY_NONE: not said, or the batch has no dates. And the open days
 * nearest to them, as other work is done. */
Dates trial_due(const Trial *trial, const Subject *batch);
Dates trial_reading(const Trial *trial, const Subject *batch);
/* Containers of the way that says it has fewest; 0: one says none. */
int64_t trial_trays(const Trial *trial);
/* The error of each comparison. */
double trial_error(const Trial *trial);

#endif
