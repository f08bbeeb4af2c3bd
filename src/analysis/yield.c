/* How many of a batch will be finished.
 *
 * Given a batch and its stages, answers with means, chances and counts. Which way of working a chance out
 * serves is decided here: none where the answer is known, the incomplete beta function where nothing is
 * spread, the exact chain up to some hundred cuttings and after a count within a stage, else the integral.
 */
#include "analysis/yield.h"

#include "analysis/yield_work.h"

#include <gsl/gsl_cdf.h>

#include <math.h>

static const double tie = 1e-9; /* a chance this little short of what is asked reaches it */

/* ------------------------------------------------------------------ stages */

static bool nothing_comes_through(YieldStages stages)
{
    for (size_t i = 0; i < stages.count; i++)
        if (stages.at[i].fixed && stages.at[i].mean <= 0) return true;
    return false;
}

static bool all_fixed(YieldStages stages)
{
    for (size_t i = 0; i < stages.count; i++)
        if (!stages.at[i].fixed) return false;
    return true;
}

static bool counted(const YieldBatch *batch)
{
    return batch->stages.count > 0 && (batch->least > 0 || batch->most < batch->stuck);
}

double yield_share_mean(YieldStages stages)
{
    double mean = 1;
    for (size_t i = 0; i < stages.count; i++) mean *= stages.at[i].mean;
    return mean;
}

/* ------------------------------------------------------------------ chances */

/* P(X >= wanted) where nothing but `stuck` is known: of a binomial with a fixed share p it is I_p(w, N - w +
 * 1) (Abramowitz and Stegun, 26.5.24). */
static YieldStatus chance_of(YieldStages stages, int64_t stuck, int64_t wanted, double *chance)
{
    if (wanted <= 0) return *chance = 1, YIELD_COMPUTED;
    if (wanted > stuck || nothing_comes_through(stages)) return *chance = 0, YIELD_COMPUTED;
    if (all_fixed(stages)) {
        *chance = yield_share_mean(stages);
        if (*chance < 1) *chance = gsl_cdf_beta_P(*chance, (double)wanted, (double)(stuck - wanted + 1));
        if (!isnan(*chance)) return YIELD_COMPUTED;
    } else if (stuck <= YIELD_CHAIN_USUAL) {
        YieldCounts chances;
        chain_chances(stages, wanted, stuck, &chances);
        return *chance = chances.at[stuck], YIELD_COMPUTED;
    }
    if (contour_chance(stages, (double)stuck, (double)wanted, chance)) return YIELD_COMPUTED;
    if (stuck > YIELD_CHAIN_MOST) return YIELD_NOT_COMPUTED;
    YieldCounts chances;
    chain_chances(stages, wanted, stuck, &chances);
    return *chance = chances.at[stuck], YIELD_COMPUTED;
}

static double at_least(const YieldCounts *counts, int64_t from, int64_t to)
{
    double sum = 0;
    for (int64_t x = to; x >= from && x >= 0; x--) sum += counts->at[x];
    return fmin(1, sum);
}

YieldStatus yield_chance(const YieldBatch *batch, int64_t wanted, double *chance)
{
    if (batch->stuck < 0 || batch->stuck > YIELD_COUNT_MOST) return YIELD_NOT_COMPUTED;
    if (!counted(batch)) return chance_of(batch->stages, batch->stuck, wanted, chance);
    YieldStatus status = YIELD_NOT_COMPUTED;
    if (batch->stuck > YIELD_CHAIN_USUAL && wanted > 0) status = counted_chance(batch, wanted, chance);
    if (status != YIELD_NOT_COMPUTED || batch->stuck > YIELD_CHAIN_MOST) return status;
    YieldCounts counts;
    if (!chain_finished(batch, &counts)) return YIELD_IMPOSSIBLE;
    return *chance = at_least(&counts, wanted, batch->most), YIELD_COMPUTED;
}

YieldStatus yield_expected(const YieldBatch *batch, double *finished)
{
    if (batch->stuck < 0 || batch->stuck > YIELD_COUNT_MOST) return YIELD_NOT_COMPUTED;
    if (!counted(batch))
        return *finished = (double)batch->stuck * yield_share_mean(batch->stages), YIELD_COMPUTED;
    double mean;
    if (!counted_expected(batch, &mean)) return YIELD_IMPOSSIBLE;
    *finished = mean * yield_share_mean((YieldStages){batch->stages.at + 1, batch->stages.count - 1});
    return YIELD_COMPUTED;
}

/* ------------------------------------------------------------------ points */

static YieldStatus point_of_counts(const YieldBatch *batch, double part, int64_t *finished)
{
    YieldCounts counts;
    if (!chain_finished(batch, &counts)) return YIELD_IMPOSSIBLE;
    double above = 0;
    int64_t x = batch->most;
    while (x > 0 && above + counts.at[x] <= 1 - part + tie) above += counts.at[x--];
    return *finished = x, YIELD_COMPUTED;
}

static YieldStatus chance_of_at_most(const void *of, int64_t x, double *chance)
{
    double above;
    YieldStatus status = yield_chance(of, x + 1, &above);
    *chance = 1 - above;
    return status;
}

YieldStatus yield_point(const YieldBatch *batch, double part, int64_t *finished)
{
    if (batch->stuck < 0 || batch->stuck > YIELD_COUNT_MOST) return YIELD_NOT_COMPUTED;
    if (batch->stuck <= YIELD_CHAIN_USUAL) return point_of_counts(batch, part, finished);
    double mean, none;
    YieldStatus status = yield_expected(batch, &mean);
    if (status == YIELD_COMPUTED) status = chance_of_at_most(batch, 0, &none);
    if (status != YIELD_COMPUTED) return status;
    if (none >= part - tie) return *finished = 0, YIELD_COMPUTED;
    YieldSearch search = {0, batch->most, part - tie, (int64_t)mean, yield_spread(batch->stages, mean)};
    return yield_search(chance_of_at_most, batch, search, finished);
}

/* ------------------------------------------------------------------ how many to stick */

/* The chain gives the chances of all small batches at once. */
static bool needed_by_chain(YieldStages stages, int64_t wanted, double sure, int64_t *stuck)
{
    YieldCounts chances;
    if ((double)wanted > YIELD_CHAIN_USUAL * yield_share_mean(stages)) return false; /* hardly */
    chain_chances(stages, wanted, YIELD_CHAIN_USUAL, &chances);
    for (int64_t n = wanted; n <= YIELD_CHAIN_USUAL; n++)
        if (chances.at[n] >= sure - tie) return *stuck = n, true;
    return false;
}

typedef struct Want {
    YieldStages stages;
    int64_t wanted;
} Want;

static YieldStatus chance_of_want(const void *of, int64_t stuck, double *chance)
{
    const Want *want = of;
    return chance_of(want->stages, stuck, want->wanted, chance);
}

YieldStatus yield_needed(YieldStages stages, int64_t wanted, Number sure, int64_t *stuck)
{
    double asked = number_double(sure), chance;
    if (wanted <= 0 || asked <= 0) return *stuck = wanted > 0 ? wanted : 0, YIELD_COMPUTED;
    if (wanted > YIELD_COUNT_MOST || nothing_comes_through(stages)) return YIELD_NEVER;
    if (!all_fixed(stages) && needed_by_chain(stages, wanted, asked, stuck)) return YIELD_COMPUTED;
    /* Twice as many as it takes on average, and twice that, until it is enough. */
    double middle = (double)wanted / yield_share_mean(stages);
    YieldSearch search = {wanted - 1, wanted, asked - tie, (int64_t)fmin(middle, YIELD_COUNT_MOST),
                          yield_spread(stages, (double)wanted)};
    for (search.high = (int64_t)fmin(2 * middle, YIELD_COUNT_MOST);;) {
        YieldStatus status = chance_of(stages, search.high, wanted, &chance);
        if (status != YIELD_COMPUTED) return status;
        if (chance >= search.asked) break;
        if (search.high >= YIELD_COUNT_MOST) return YIELD_NEVER;
        search.low = search.high;
        search.high = search.high < YIELD_COUNT_MOST / 2 ? 2 * search.high : YIELD_COUNT_MOST;
    }
    return yield_search(chance_of_want, &(Want){stages, wanted}, search, stuck);
}

YieldStatus yield_on_average(YieldStages stages, int64_t wanted, int64_t *stuck)
{
    double mean = yield_share_mean(stages);
    *stuck = 0;
    if (wanted <= 0) return YIELD_COMPUTED;
    if (mean <= 0 || (double)wanted / mean > YIELD_COUNT_MOST) return YIELD_NEVER;
    /* Less a rounding error, so that 100 at 80 % are 125. */
    *stuck = (int64_t)ceil((double)wanted / mean * (1 - 1e-12));
    return YIELD_COMPUTED;
}

/* ------------------------------------------------------------------ shares */

YieldStatus yield_share_at_least(YieldStages stages, double share, double *chance)
{
    if (share <= 0) return *chance = 1, YIELD_COMPUTED;
    if (nothing_comes_through(stages)) return *chance = 0, YIELD_COMPUTED;
    if (all_fixed(stages)) return *chance = yield_share_mean(stages) >= share ? 1 : 0, YIELD_COMPUTED;
    if (share >= 1) return *chance = 0, YIELD_COMPUTED;
    if (stages.count == 1) return *chance = survival_at_least(stages.at, share), YIELD_COMPUTED;
    return contour_share_at_least(stages, -log(share), chance) ? YIELD_COMPUTED : YIELD_NOT_COMPUTED;
}

YieldStatus yield_share_point(YieldStages stages, double part, double *share)
{
    if (all_fixed(stages) || nothing_comes_through(stages))
        return *share = yield_share_mean(stages), YIELD_COMPUTED;
    if (stages.count == 1) return *share = survival_point(stages.at, part), YIELD_COMPUTED;
    double low = 0, high = 1, above;
    while (high - low > 1e-10) {
        double middle = (low + high) / 2;
        YieldStatus status = yield_share_at_least(stages, middle, &above);
        if (status != YIELD_COMPUTED) return status;
        *(above >= 1 - part ? &low : &high) = middle;
    }
    return *share = (low + high) / 2, YIELD_COMPUTED;
}

Number yield_number(double value)
{
    Number number = NUMBER(0);
    if (fabs(value) < 1e12) number_make((int64_t)llround(value * 1e6), 1000000, &number);
    return number;
}
