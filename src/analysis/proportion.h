/* Shares of counted things: how sure one is, whether two differ, and how many it takes to see that they do.
 *
 * Everything here is pure and in doubles: it describes what was counted and decides nothing that a plan rests
 * on. The things counted are taken to be independent of each other. Cuttings of a batch are not, as they
 * share its luck: what is added up over batches comes with an effect, the number of cuttings that tell no
 * more than one independent cutting would (analysis/spread.h estimates it); 1 where it is not known.
 */
#ifndef ANALYSIS_PROPORTION_H
#define ANALYSIS_PROPORTION_H

#include <stdint.h>

/* So many of so many; 0 <= hits <= of, of > 0. */
typedef struct Tally {
    int64_t hits, of;
} Tally;

typedef struct Bounds {
    double low, high;
} Bounds;

static inline double tally_share(Tally tally)
{
    return (double)tally.hits / (double)tally.of;
}

/* Where the true share lies, with the chance `sure` (0.95): the score interval of Wilson (1927), without a
 * continuity correction, method 3 of Newcombe, Statistics in Medicine 17 (1998), 857-872. Inside 0 .. 1. */
Bounds proportion_interval(Tally tally, double effect, double sure);

/* Where the true difference first - second lies: the hybrid score interval, method 10 of Newcombe, Statistics
 * in Medicine 17 (1998), 873-890, made of the two score intervals. Inside -1 .. 1. */
Bounds proportion_difference(Tally first, double first_effect, Tally second, double second_effect,
                             double sure);

/* Fisher's exact test, two-sided: the chance of a table as unlikely as this one, or more so, if the two true
 * shares are the same and both sums are what they are. Tables that are as unlikely but for rounding (1e-7)
 * count. Fisher, The Design of Experiments (1935), 21.1. */
double proportion_exact_test(Tally first, Tally second);

/* How many each of two groups needs so that a test which takes chance for a difference with `error` (0.05,
 * both sides together) finds true shares of first and second different with the chance `power` (0.80):
 * Fleiss, Levin and Paik, Statistical Methods for Rates and Proportions, 3rd edition (2003), 4.14, with the
 * correction of Casagrande, Pike and Smith (1978), which comes close to the exact test. 0: no number shows
 * it, the two are the same. */
int64_t proportion_needed(double first, double second, double error, double power);

#endif
