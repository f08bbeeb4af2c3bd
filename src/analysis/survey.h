/* Every batch of a plan in turn, with what it refers to, its dates and its size: what all figures are
 * reckoned from. */
#ifndef ANALYSIS_SURVEY_H
#define ANALYSIS_SURVEY_H

#include "analysis/batch_size.h"

typedef struct SurveyFilter {
    Slice batch;           /* empty: all */
    Name protocol, beside; /* it follows one of these; both NULL: any */
    Day from, to; /* the batch is somewhere between sticking and finish in these days; DAY_NONE: open */
    Day today;
} SurveyFilter;

/* One batch; lives until the visit returns. */
typedef struct SurveyBatch {
    const Subject *subject; /* its timeline is NULL, or not dated, where no day is known */
    Slice id;
    BatchSize size;
    bool dated;
    Day today; /* what is recorded of later days is not known yet */
} SurveyBatch;

typedef void SurveyVisit(void *to, const FactSource *source, const SurveyBatch *batch);

typedef struct Survey Survey;

Survey *survey_new(Nursery *nursery, const SurveyFilter *filter, ArenaExhausted *exhausted);
const FactSource *survey_source(const Survey *survey);
void survey_visit(Survey *survey, SurveyVisit *visit, void *to); /* what each batch from now on is given to */
void survey_plan(Survey *survey, const Plan *plan);
void survey_free(Survey *survey);

#endif
