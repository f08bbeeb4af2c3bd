/* Chances of counts, stage by stage.
 *
 * Given a batch of at most some thousand, works out the chance of each count exactly: n that enter a stage
 * with survival beta(alpha, beta) leave it as many as beta-binomial(n, alpha, beta) says, and with a fixed
 * survival as binomial(n, share) says. A row of such chances grows from n to n + 1 as one more cutting is
 * looked at: of n of which y lived, the next lives with chance (alpha + y) / (alpha + beta + n), which is
 * Polya's urn (Johnson, Kotz and Kemp, Univariate Discrete Distributions, 6.2). Only positive terms are
 * added, so nothing cancels.
 */
#include "analysis/yield_work.h"

#include <math.h>

/* ------------------------------------------------------------------ rows */

/* The chances of 0 .. n alive, of n, become those of 0 .. n + 1. */
static void one_more(const Survival *stage, double *row, int64_t n)
{
    row[n + 1] = 0;
    if (stage->fixed) {
        for (int64_t y = n + 1; y > 0; y--) row[y] = row[y - 1] * stage->mean + row[y] * (1 - stage->mean);
        row[0] *= 1 - stage->mean;
        return;
    }
    double all = 1 / (stage->alpha + stage->beta + (double)n), most = stage->beta + (double)n;
    for (int64_t y = n + 1; y > 0; y--) {
        double alive = (double)y;
        row[y] = (row[y - 1] * (stage->alpha + alive - 1) + row[y] * (most - alive)) * all;
    }
    row[0] *= most * all;
}

/* ------------------------------------------------------------------ the first stage */

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

bool chain_first(const YieldBatch *batch, YieldCounts *counts)
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

/* ------------------------------------------------------------------ all stages */

bool chain_finished(const YieldBatch *batch, YieldCounts *counts)
{
    if (!chain_first(batch, counts)) return false;
    YieldCounts row, after;
    for (size_t i = 1; i < batch->stages.count; i++) {
        row.at[0] = 1;
        after.at[0] = counts->at[0];
        for (int64_t n = 1; n <= batch->most; n++) {
            one_more(&batch->stages.at[i], row.at, n - 1);
            double weight = counts->at[n];
            after.at[n] = 0;
            for (int64_t y = 0; weight > 0 && y <= n; y++) after.at[y] += weight * row.at[y];
        }
        for (int64_t y = 0; y <= batch->most; y++) counts->at[y] = after.at[y];
    }
    return true;
}

void chain_chances(YieldStages stages, int64_t wanted, int64_t stuck_most, YieldCounts *chances)
{
    YieldCounts row, before;
    for (int64_t x = 0; x <= stuck_most; x++) chances->at[x] = x >= wanted ? 1 : 0;
    for (size_t i = stages.count; i-- > 0;) {
        row.at[0] = 1;
        before.at[0] = chances->at[0];
        for (int64_t n = 1; n <= stuck_most; n++) {
            one_more(&stages.at[i], row.at, n - 1);
            double sum = 0;
            for (int64_t y = n; y >= wanted; y--) sum += row.at[y] * chances->at[y];
            before.at[n] = sum;
        }
        for (int64_t x = 0; x <= stuck_most; x++) chances->at[x] = before.at[x];
    }
}
