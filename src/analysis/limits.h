/* Limits of a protocol held against what batches state. */
#ifndef ANALYSIS_LIMITS_H
#define ANALYSIS_LIMITS_H

#include "analysis/faults.h"
#include "analysis/subject.h"

/* One limit as a check: made once a protocol. */
typedef struct LimitCheck {
    const Clause *clause;
    const Block *block;     /* the section or stage it stands in */
    const Field *statement; /* the field of a batch that it judges; NULL: derived */
    Derived derived;
    const Window *windows; /* of all clauses of the field in its block together */
    size_t window_count;
    FaultRank rank;
    Severity severity;
    const char *whose; /* "the base tips says"; NULL until a fault asks for it */
    bool of_place;    /* only a place is held against it: what the batch itself says of the whole time is held
                         against an    earlier block that has the field, the climate before any stage */
    const Plan *seen; /* the plan for which … */
    bool silent;      /* … no batch of this context can say anything of it */
    /* the last statement and its verdict: neighbours in a plan are mostly alike */
    struct {
        const Reading *cell, *stands;
        uint32_t generation;
        bool known, stated;
        Truth truth;
        unsigned reasons;
    } last;
} LimitCheck;

typedef struct LimitChecks {
    LimitCheck *at;
    size_t count;
    const Clause **asks; /* `ask` clauses */
    size_t ask_count;
} LimitChecks;

LimitChecks limits_of(Arena *arena, const Protocol *protocol);

/* Whether any batch of a plan, or what this context refers to, can state what a limit judges. */
bool limit_can_be_stated(const FactSource *source, LimitCheck *check, const Subject *subject);
/* Judges one limit on one row. True holds; unsure with *reasons. *stated is false when the batch says nothing
 * of it: then it follows the protocol. */
Truth limit_judge(const FactSource *source, LimitCheck *check, const Subject *subject, bool *stated,
                  unsigned *reasons);

/* The fault of a broken (or unsure) limit, in words. */
void limit_fault(const FactSource *source, Faults *faults, LimitCheck *check, const Subject *subject,
                 Truth truth, const char *id);

/* Fields that the protocol asks for and the batch does not state. Gives the number of asks that are met. */
size_t limits_asked(const FactSource *source, Faults *faults, const LimitChecks *checks,
                    const Subject *subject, const char *id);

#endif
