/* How many of a batch will be finished, from how many are stuck and what comes through each stage.
 *
 * The cuttings of a batch share the luck of the batch: each stage has one share S for all of them, and given
 * the shares each lives or dies by itself. Stages are independent. So X, finished of N, is
 * binomial(N, S1 ... Sk). What this leaves out makes the tails wider: clumps in a batch, a bad batch that
 * stays bad, a bad season for all.
 *
 * Everything here is pure and asks for no memory. A call takes from some microseconds to some milliseconds:
 * keep what is asked often. Results are doubles, good to 1e-9; yield_number makes them exact numbers for
 * whatever compares.
 */
#ifndef ANALYSIS_YIELD_H
#define ANALYSIS_YIELD_H

#include "analysis/survival.h"

#include <stddef.h>

/* The stages that lie ahead of a batch, the running one first; no stage: all that are there are finished. */
typedef struct YieldStages {
    const Survival *at;
    size_t count;
} YieldStages;

/* A batch: `stuck` are there before the first of its stages. A full count within that stage narrows what can
 * be left at the end of it: `least` have made it already, `most` are still alive. Without such a count (which
 * a sample is not) they are 0 and `stuck`. */
typedef struct YieldBatch {
    YieldStages stages;
    int64_t stuck;
    int64_t least, most;
} YieldBatch;

static inline YieldBatch yield_batch(YieldStages stages, int64_t stuck)
{
    return (YieldBatch){stages, stuck, 0, stuck};
}

enum { YIELD_COUNT_MOST = 10 * 1000 * 1000 }; /* no batch is larger */

typedef enum YieldStatus {
    YIELD_COMPUTED,
    YIELD_NEVER,      /* no number of cuttings is enough: all is lost, or over YIELD_COUNT_MOST are needed */
    YIELD_IMPOSSIBLE, /* the count within the stage cannot be: it contradicts a stage that is fixed, or itself
                       */
    YIELD_NOT_COMPUTED, /* numbers so extreme that no sum converges, or a batch over YIELD_COUNT_MOST */
} YieldStatus;

/* What is finished of a batch. Outputs are written only with YIELD_COMPUTED. */
YieldStatus yield_expected(const YieldBatch *batch, double *finished);             /* the mean of X */
YieldStatus yield_chance(const YieldBatch *batch, int64_t wanted, double *chance); /* P(X >= wanted) */
YieldStatus yield_point(const YieldBatch *batch, double part,
                        int64_t *finished); /* least x: P(X <= x) >= part */

/* How many to stick for `wanted` finished: the least N with P(X >= wanted) >= sure (less 1e-9, so that an
 * exact tie is reached), and how many it takes on average: wanted by the product of the means, rounded up. */
YieldStatus yield_needed(YieldStages stages, int64_t wanted, Number sure, int64_t *stuck);
YieldStatus yield_on_average(YieldStages stages, int64_t wanted, int64_t *stuck);

/* The share S = S1 ... Sk of all batches that comes through these stages, whatever is stuck. For what is left
 * after each stage ask with the stages up to it; 0.05 and 0.95 are the ends of the range as it would have
 * been stated. */
double yield_share_mean(YieldStages stages);
YieldStatus yield_share_at_least(YieldStages stages, double share, double *chance); /* P(S >= share) */
YieldStatus yield_share_point(YieldStages stages, double part, double *share);      /* good to 1e-9 */

/* A result as an exact number, rounded to millionths. */
Number yield_number(double value);

#endif
