/* What the parts of the arithmetic of yields know of each other; yield.h is what others see. */
#ifndef ANALYSIS_YIELD_WORK_H
#define ANALYSIS_YIELD_WORK_H

#include "analysis/yield.h"

enum {
    YIELD_CHAIN_USUAL = 400, /* up to here a chain is as quick as an integral */
    YIELD_CHAIN_MOST = 5000, /* up to here it is bearable, where the integral cannot be had */
};

typedef struct YieldCounts {
    double at[YIELD_CHAIN_MOST + 1];
} YieldCounts;

/* ------------------------------------------------------------------ the integral, yield_contour.c */

/* P(X >= wanted) of `stuck`, whole or not; 1 <= wanted <= stuck, and no stage is fixed at 0. False: it does
 * not converge. */
bool contour_chance(YieldStages stages, double stuck, double wanted, double *chance);
/* P(S >= e^-depth); no stage is fixed at 0, depth > 0. */
bool contour_share_at_least(YieldStages stages, double depth, double *chance);

/* ------------------------------------------------------------------ the search, yield_search.c */

typedef YieldStatus YieldAt(const void *of, int64_t x, double *chance); /* 1 <= x; never falls as x grows */

typedef struct YieldSearch {
    int64_t low, high; /* at low the chance falls short, at high it reaches */
    double asked;
    int64_t middle; /* about where the chance is one half */
    double spread;  /* about how far ln x is from one normal score to the next */
} YieldSearch;

/* The least x at which the chance is `asked`. */
YieldStatus yield_search(YieldAt *at, const void *of, YieldSearch search, int64_t *found);
/* The standard deviation of the logarithm of how many are finished, of about so many: to go by, no more. */
double yield_spread(YieldStages stages, double finished);

/* ------------------------------------------------------------------ the chain, yield_chain.c */

/* The chance of each count at the end of all stages. False: none is possible. `stuck` <= YIELD_CHAIN_MOST. */
bool chain_finished(const YieldBatch *batch, YieldCounts *counts);
/* P(X >= wanted) of 0, 1, ... `stuck_most` stuck. */
void chain_chances(YieldStages stages, int64_t wanted, int64_t stuck_most, YieldCounts *chances);

/* ------------------------------------------------------------------ a count within the first stage,
 * yield_counted.c */

/* The chance of each count at the end of the first stage, which is 0 but from `least` to `most`. False: none
 * is possible. */
bool counted_first(const YieldBatch *batch, YieldCounts *counts);
/* The mean of these counts. False: none is possible. */
bool counted_expected(const YieldBatch *batch, double *count);
/* P(X >= wanted), wanted > 0, of a batch with a stage. */
YieldStatus counted_chance(const YieldBatch *batch, int64_t wanted, double *chance);

#endif
