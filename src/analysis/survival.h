/* What part of a batch comes through a stage, from the losses that are stated for the stage.
 *
 * `losses 5 .. 20 %` speaks of batches: in one of twenty less than 5 % is lost, in one of twenty more than
 * 20 %. The part that comes through is then a beta distribution, the one of which one twentieth lies below
 * the range and one twentieth above it; docs/design.md, "Yield", says why.
 */
#ifndef ANALYSIS_SURVIVAL_H
#define ANALYSIS_SURVIVAL_H

#include "base/interval.h"

/* A share of a batch: the same in every batch, or another in each, spread as beta(alpha, beta). */
typedef struct Survival {
    bool fixed;
    double mean;        /* the share itself where it is fixed */
    double alpha, beta; /* where it is not fixed */
} Survival;

/* What is to be said of a range. */
typedef enum SurvivalFinding {
    SURVIVAL_PLAIN,
    SURVIVAL_VERY_WIDE,    /* fitted, but most likely all or nothing: alpha or beta is below 1 */
    SURVIVAL_SAYS_NOTHING, /* 0 .. 100 %: every share is as likely as any other */
    SURVIVAL_NONE_LEFT,    /* all is lost: no number of cuttings is enough */
    SURVIVAL_REFUSED,      /* not a range within 0 .. 100 %; nothing was made */
} SurvivalFinding;

/* Losses, or a rate of success, as shares of 1 (5 % is 1/20); an end that is not stated is 0 or 1, and open
 * ends count as closed. One stated share, and a range too narrow to matter (alpha + beta over 10^7), is
 * fixed, at its middle. */
SurvivalFinding survival_of_losses(Interval losses, Survival *out);
SurvivalFinding survival_of_rate(Interval rate, Survival *out);

/* The share below which lies this part of the batches; `part` within 0 .. 1. */
double survival_point(const Survival *survival, double part);
/* The part of the batches whose share is at least this. */
double survival_at_least(const Survival *survival, double share);

#endif
