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

/* ------------------------------------------------------------------ all stages */

bool chain_finished(const YieldBatch *batch, YieldCounts *counts)
{
    if (!counted_first(batch, counts)) return false;
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
