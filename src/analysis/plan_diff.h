/* What a change of a nursery's texts does to a plan: findings that appear or vanish, work that is new, gone
 * or moved, and more or fewer to stick for what a batch wants.
 *
 * The same plan is judged and expanded under both nurseries. Findings are one when they have the same name,
 * subject, field and value; tasks when they have the same id, whatever their day.
 */
#ifndef ANALYSIS_PLAN_DIFF_H
#define ANALYSIS_PLAN_DIFF_H

#include "model/plan.h"

/* Tasks of one name in one batch that changed alike. */
typedef struct TaskChange {
    const char *path; /* "root/look" */
    size_t added, dropped, moved;
    int32_t least, most; /* days that those moved are later; negative is earlier */
} TaskChange;

enum { NEEDED_UNKNOWN = -1 };

typedef struct BatchChange {
    const char *batch;
    int64_t wanted;
    int64_t needed[2]; /* to stick for those, before and after; NEEDED_UNKNOWN: no figure. Equal: no change */
    const Note **appear, **vanish;
    size_t appear_count, vanish_count;
    const TaskChange *tasks;
    size_t task_count;
} BatchChange;

typedef struct PlanDiff {
    const BatchChange *batches; /* those for which something changes, in the order of the plan */
    size_t batch_count;
    size_t all; /* batches of the plan */
    size_t appear, vanish, added, dropped, moved, needed;
} PlanDiff;

typedef struct PlanSide {
    Nursery *nursery;
    Notes *notes; /* where its findings go */
} PlanSide;

typedef struct PlanComparison PlanComparison;

PlanComparison *plan_diff_begin(Arena *arena, PlanSide before, PlanSide after, Day today,
                                ArenaExhausted *exhausted);
/* A stretch of rows as one side (0 before, 1 after) reads it. Both read the same rows; work is compared
 * whenever they have read equally many, so the side that is behind goes on. */
void plan_diff_add(PlanComparison *comparison, int side, const Plan *plan);
int plan_diff_behind(const PlanComparison *comparison);
const PlanDiff *plan_diff_end(PlanComparison *comparison);

#endif
