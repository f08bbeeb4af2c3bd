/* The least whole number at which a chance reaches what is asked.
 *
 * Given a chance that never falls, bounds, and how it goes by and large, narrows the bounds until they are
 * neighbours: what it goes by only saves evaluations, each of which is some hundred terms. Chances of
 * yields lie near a straight line when their normal score is drawn over the logarithm of the number, so the
 * next number is read from that line; where that does not halve the bounds soon they are halved outright.
 */
#include "analysis/yield_work.h"

#include <gsl/gsl_cdf.h>

#include <math.h>

enum { READINGS_IN_A_ROW = 4 };

static double score(double chance)
{
    const double edge = 1e-15;
    return gsl_cdf_ugaussian_Pinv(fmin(1 - edge, fmax(edge, chance)));
}

double yield_spread(YieldStages stages, double finished)
{
    double variance = 1 / fmax(finished, 1);
    for (size_t i = 0; i < stages.count; i++) {
        const Survival *stage = &stages.at[i];
        if (!stage->fixed) variance += 1 / stage->alpha - 1 / (stage->alpha + stage->beta);
    }
    return sqrt(variance);
}

/* The number that the line through x, its chance and the slope leads to. */
static int64_t read_line(int64_t x, double missing, double spread)
{
    double next = (double)x * exp(fmax(-20, fmin(20, spread * missing)));
    return next < YIELD_COUNT_MOST ? (int64_t)llround(next) : YIELD_COUNT_MOST;
}

YieldStatus yield_search(YieldAt *at, const void *of, YieldSearch search, int64_t *found)
{
    double wanted = score(search.asked), spread = search.spread, last_score = 0;
    int64_t low = search.low, high = search.high, last = 0;
    int64_t x = read_line(search.middle, wanted, spread), width = high - low;
    int readings = 0;
    while (high - low > 1) {
        double chance;
        if (x <= low) x = low + 1;
        if (x >= high) x = high - 1;
        YieldStatus status = at(of, x, &chance);
        if (status != YIELD_COMPUTED) return status;
        *(chance >= search.asked ? &high : &low) = x;
        double here = score(chance);
        if (last && last != x && here != last_score) {
            double slope = (log((double)x) - log((double)last)) / (here - last_score);
            if (slope > 0) spread = slope;
        }
        last = x;
        last_score = here;
        if (++readings % READINGS_IN_A_ROW == 0) {
            if (high - low > width / 2) {
                x = low + (high - low) / 2;
                continue;
            }
            width = high - low;
        }
        /* From a number that is enough to just below the line, from one too few to the line itself. */
        x = read_line(x, wanted - here, spread) - (chance >= search.asked);
    }
    return *found = high, YIELD_COMPUTED;
}
