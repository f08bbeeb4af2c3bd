/* How much batches differ from each other, apart from the chance within each.
 *
 * Given so many of so many for each batch, works out the share of all together, how unsure it is when the
 * cuttings of a batch share its luck, and the spread of the batches' own shares: the beta distribution of
 * greatest likelihood, which is the shape that promises have too (analysis/survival.h). Pure.
 */
#ifndef ANALYSIS_SPREAD_H
#define ANALYSIS_SPREAD_H

#include "analysis/proportion.h"
#include "analysis/survival.h"
#include "base/arena.h"

#include <stddef.h>

enum {
    SPREAD_COUNT_MOST = 100 * 1000, /* of one batch; with a larger one nothing is fitted */
    SPREAD_FEW = 5                  /* with fewer batches hardly anything is known of how they differ */
};

typedef struct Spread {
    size_t batches;
    Tally total; /* total over total; of is 0 without a batch */
    double effect;
    bool fitted;     /* of two batches and more */
    Survival shares; /* fitted: of the batches; fixed where they differ no more than chance lets them */
    double together; /* how much two cuttings of a batch are alike, 0 .. 1: 1 / (alpha + beta + 1) */
    double chance;   /* that batches with one and the same share come out so far apart, or further */
} Spread;

/* `effect` is the design effect of Rao and Scott, Biometrics 48 (1992), 577-585: how many times the variance
 * of the total, estimated between the batches, is that of independent cuttings; at least 1, and 1 for a
 * single batch.
 *
 * The fit is that of Griffiths, Biometrics 29 (1973), 637-648; `chance` that of the likelihood ratio, half a
 * chi-square of one degree, as the spread cannot be less than nothing (Self and Liang, J. Am. Stat. Assoc. 82
 * (1987), 605-610). With few batches the fitted spread is on the small side. A batch has of > 0. */
Spread spread_of(Arena *arena, const Tally *batches, size_t count);

#endif
