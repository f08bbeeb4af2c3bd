/* What the parts of an explanation share. Private to src/analysis. */
#ifndef ANALYSIS_WHY_WORK_H
#define ANALYSIS_WHY_WORK_H

#include "analysis/why.h"
#include "base/vec.h"

typedef struct WhyMaking {
    const WhySubject *subject;
    Arena *arena;
    const char *id; /* of the batch or protocol: "batch H27-04" */
    VEC(WhyStep) steps;
    VEC(WhyAnswer) answers;
} WhyMaking;

/* A step to be completed. */
WhyStep *why_step(WhyMaking *making, unsigned depth, const char *text);
/* A clause with whom it belongs to, and behind it what it stands over. */
void why_clause(WhyMaking *making, unsigned depth, const Clause *clause);
/* The steps since the last answer become one. */
void why_answer(WhyMaking *making, const char *title);

/* Answers about stages, tasks and the days of sticking and finishing called so; false: nothing is. */
bool why_dates(WhyMaking *making, Slice path, Slice name);

#endif
