/* Promises beside what batches came to: see promise.h. */
#include "analysis/promise.h"

#include <gsl/gsl_cdf.h>
#include <math.h>

static const double TWENTIETH = 0.05, FORTIETH = 0.025;
/* Chances are good to 1e-9; what lies further out than this is told no further. */
static const double CERTAIN = 1e-7;

void promise_try(PromiseTrial *trial, YieldStages stages, Tally tally)
{
    YieldBatch batch = yield_batch(stages, tally.of);
    double at_least, more;
    if (yield_chance(&batch, tally.hits, &at_least) != YIELD_COMPUTED ||
        yield_chance(&batch, tally.hits + 1, &more) != YIELD_COMPUTED)
        return;
    double rank = 1 - (at_least + more) / 2;
    trial->batches++;
    trial->below += 1 - more <= TWENTIETH;
    trial->above += at_least <= TWENTIETH;
    trial->sum += gsl_cdf_ugaussian_Pinv(fmin(fmax(rank, CERTAIN), 1 - CERTAIN));
}

PromiseVerdict promise_verdict(const PromiseTrial *trial, double *level_chance, double *outside_chance)
{
    *level_chance = *outside_chance = 1;
    if (trial->batches < PROMISE_FEW) return PROMISE_UNTRIED;
    size_t outside = trial->below + trial->above;
    double level = trial->sum / sqrt((double)trial->batches);
    *level_chance = 2 * gsl_cdf_ugaussian_Q(fabs(level));
    if (outside)
        *outside_chance = gsl_cdf_binomial_Q((unsigned)outside - 1, 2 * TWENTIETH, (unsigned)trial->batches);
    if (*level_chance < FORTIETH) return level < 0 ? PROMISE_TOO_HIGH : PROMISE_TOO_LOW;
    return *outside_chance < FORTIETH ? PROMISE_TOO_NARROW : PROMISE_KEPT;
}

bool promise_supported(const Spread *spread, Bounds *range)
{
    if (!spread->fitted || spread->batches < SPREAD_FEW) return false;
    Bounds mean = proportion_interval(spread->total, spread->effect, 1 - 2 * TWENTIETH);
    range->low = fmin(mean.low, survival_point(&spread->shares, TWENTIETH));
    range->high = fmax(mean.high, survival_point(&spread->shares, 1 - TWENTIETH));
    return true;
}
