/* Whether what batches came to is what was promised, and which range they support instead.
 *
 * A promise speaks of batches (analysis/survival.h): it says in which range the shares of all but one in ten
 * lie. So each batch is one witness, whatever its size, and is asked how far down or up it lies among the
 * batches that were promised. Two things are asked of all together: whether they lie too low or too high, and
 * whether more of them lie outside the range than chance puts there. Each may be wrong once in forty times,
 * so that a promise that is kept is called broken once in twenty at most.
 */
#ifndef ANALYSIS_PROMISE_H
#define ANALYSIS_PROMISE_H

#include "analysis/spread.h"
#include "analysis/yield.h"

enum { PROMISE_FEW = 3 }; /* fewer batches are no pattern: of them nothing is said */

typedef enum PromiseVerdict {
    PROMISE_UNTRIED,    /* no batch that can be held against it, or fewer than PROMISE_FEW */
    PROMISE_KEPT,       /* the batches may well be such as were promised */
    PROMISE_TOO_HIGH,   /* they come to less */
    PROMISE_TOO_LOW,    /* they come to more */
    PROMISE_TOO_NARROW, /* they lie further apart than the range */
} PromiseVerdict;

typedef struct PromiseTrial {
    size_t batches;
    size_t below, above; /* where one in twenty batches at most lies, at either end */
    double sum;          /* of where each batch lies, in standard deviations */
} PromiseTrial;

/* Adds a batch: so many of so many came through the stages, which promised this. Not counted where the
 * chances cannot be computed. Each lies at the middle of its chances, with half of its own, as a normal
 * deviate (Dunn and Smyth, J. Comp. Graph. Stat. 5 (1996), 236-244, without the drawing of lots). */
void promise_try(PromiseTrial *trial, YieldStages stages, Tally tally);

/* `level_chance`: that batches as promised lie so low, or so high, all together; `outside_chance`: that so
 * many of them, or more, lie at the ends. */
PromiseVerdict promise_verdict(const PromiseTrial *trial, double *level_chance, double *outside_chance);

/* The range that batches support, of shares: the points below and above which one in twenty lies, and no
 * narrower than what is known of their mean. False: too few (SPREAD_FEW), or nothing was fitted. */
bool promise_supported(const Spread *spread, Bounds *range);

#endif
