/* What a full count within the first stage says of a batch.
 *
 * Given a batch of which `least` to `most` will come through the stage it is in, weighs each of these counts
 * by how likely it was, and answers with means over them: P(X >= w) is the mean of P(rest >= w | x). In a
 * large batch that is a smooth function of x; it is worked out where Chebyshev's polynomials ask for it and
 * interpolated between (Trefethen, Approximation Theory and Approximation Practice, chapters 2 to 4).
 */
#include "analysis/yield_work.h"

#include <math.h>

/* ------------------------------------------------------------------ counts at the end of the stage */

/* How much more likely y + 1 of n is than y. */
static double next_to(const Survival *stage, int64_t n, int64_t y)
{
    double alive = (double)y, dead = (double)(n - y);
    if (stage->fixed) return dead * stage->mean / ((alive + 1) * (1 - stage->mean));
    return dead * (alive + stage->alpha) / ((alive + 1) * (dead - 1 + stage->beta));
}

/* A stage that nothing or everything comes through leaves one count possible. */
static bool only_count(const YieldBatch *batch, int64_t *count)
{
    const Survival *first = batch->stages.at;
    if (batch->stages.count == 0) return *count = batch->stuck, true;
    if (!first->fixed || (first->mean > 0 && first->mean < 1)) return false;
    return *count = first->mean > 0 ? batch->stuck : 0, true;
}

bool counted_first(const YieldBatch *batch, YieldCounts *counts)
{
    double *at = counts->at, sum = 0;
    for (int64_t x = 0; x <= batch->stuck; x++) at[x] = 0;
    int64_t only, low = batch->least, high = batch->most;
    if (low < 0 || high > batch->stuck || low > high) return false;
    if (only_count(batch, &only)) {
        at[only] = 1;
        return only >= low && only <= high;
    }
    /* From the likeliest count outwards, as multiples of it: however unlikely the count was, it is a batch's.
     */
    int64_t mode = low;
    for (int64_t x = low; x < high; x++) {
        at[x] = next_to(batch->stages.at, batch->stuck, x);
        if (at[x] > 1) mode = x + 1;
    }
    double ahead = 1;
    for (int64_t x = mode; x < high; x++) {
        double ratio = at[x];
        at[x] = ahead;
        ahead *= ratio;
    }
    at[high] = ahead;
    double behind = 1;
    for (int64_t x = mode; x > low; x--) at[x - 1] = behind /= at[x - 1];
    for (int64_t x = low; x <= high; x++) sum += at[x];
    for (int64_t x = low; x <= high; x++) at[x] /= sum;
    return true;
}

/* A function of a count. */
typedef double CountValue(const void *of, int64_t count);

/* The mean of a function over the counts that are possible. The weights are multiples of the first, scaled
 * down before they overflow. False: none is possible. */
static bool mean_over(const YieldBatch *batch, CountValue *value, const void *of, double *mean)
{
    const double large = 0x1p500;
    int64_t only, low = batch->least, high = batch->most;
    if (low < 0 || high > batch->stuck || low > high) return false;
    if (only_count(batch, &only)) {
        *mean = value(of, only);
        return only >= low && only <= high;
    }
    double weight = 1, weights = 0, values = 0;
    for (int64_t x = low; x <= high; x++) {
        weights += weight;
        if (weight > 0) values += weight * value(of, x);
        if (x == high) break;
        weight *= next_to(batch->stages.at, batch->stuck, x);
        if (weight > large) weight /= large, weights /= large, values /= large;
    }
    *mean = values / weights;
    return true;
}

static double itself(const void *of, int64_t count)
{
    (void)of;
    return (double)count;
}

bool counted_expected(const YieldBatch *batch, double *count)
{
    return mean_over(batch, itself, NULL, count);
}

/* ------------------------------------------------------------------ chances of what follows */

enum { NODES_LEAST = 16, NODES_MOST = 1024 };

/* P(rest >= wanted | x), for x from `low` to `high`: a sum of Chebyshev polynomials. Below it is 0. */
typedef struct Rest {
    double low, high;
    double terms[NODES_MOST];
    int count;
} Rest;

/* The polynomial of as many terms as nodes; the last terms tell how exact it is. */
static bool interpolate(YieldStages stages, double wanted, int nodes, Rest *rest)
{
    const double pi = 3.14159265358979323846;
    double at[NODES_MOST];
    for (int k = 0; k < nodes; k++) {
        double x = rest->low + (rest->high - rest->low) * (1 + cos(pi * (k + 0.5) / nodes)) / 2;
        if (!contour_chance(stages, x, wanted, &at[k])) return false;
    }
    for (int j = 0; j < nodes; j++) {
        rest->terms[j] = 0;
        for (int k = 0; k < nodes; k++) rest->terms[j] += at[k] * cos(pi * j * (k + 0.5) / nodes);
        rest->terms[j] *= (j == 0 ? 1.0 : 2.0) / nodes;
    }
    rest->count = nodes;
    while (rest->count > 1 && fabs(rest->terms[rest->count - 1]) < 1e-12) rest->count--;
    return true;
}

/* Clenshaw's sum of the polynomials. */
static double rest_at(const void *of, int64_t count)
{
    const Rest *rest = of;
    double x = (double)count, one = 0, two = 0;
    if (x < rest->low) return 0;
    double at = rest->high > rest->low ? 2 * (x - rest->low) / (rest->high - rest->low) - 1 : 0;
    for (int j = rest->count; j-- > 1;) {
        double next = 2 * at * one - two + rest->terms[j];
        two = one;
        one = next;
    }
    return fmin(1, fmax(0, at * one - two + rest->terms[0]));
}

YieldStatus counted_chance(const YieldBatch *batch, int64_t wanted, double *chance)
{
    YieldStages stages = {batch->stages.at + 1, batch->stages.count - 1};
    Rest rest = {.low = (double)(wanted > batch->least ? wanted : batch->least), .high = (double)batch->most};
    double share = yield_share_mean(stages);
    bool found = share <= 0 || share >= 1 || rest.low > rest.high;
    if (found) { /* all that is left is finished, or nothing */
        rest.terms[0] = share < 1 || rest.low > rest.high ? 0 : 1;
        rest.count = 1;
    }
    for (int nodes = NODES_LEAST; !found && nodes <= NODES_MOST; nodes *= 2) {
        if (!interpolate(stages, (double)wanted, nodes, &rest)) return YIELD_NOT_COMPUTED;
        found = rest.count < nodes - 2;
    }
    if (!found) return YIELD_NOT_COMPUTED;
    return mean_over(batch, rest_at, &rest, chance) ? YIELD_COMPUTED : YIELD_IMPOSSIBLE;
}
