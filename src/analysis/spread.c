/* How much batches differ: see spread.h.
 *
 * The likelihood of x of n under beta(alpha, beta) is a product of factors alpha + j for j < x, beta + j for
 * j < n - x, and 1 / (alpha + beta + j) for j < n. So all batches together are three lists: how many have
 * more than j rooted, not rooted, stuck. With alpha = mean * size and beta = (1 - mean) * size the likelihood
 * is concave in the mean for any size; the best size is where its slope, at the best mean, is nought.
 */
#include "analysis/spread.h"

#include <gsl/gsl_cdf.h>
#include <math.h>

static const double SIZE_LEAST = 1e-4, SIZE_MOST = 1e7; /* beyond it is all or nothing, and no spread */
static const double SETTLED = 1e-15;
enum { STEPS = 60, SIZES_TRIED = 25 };

/* ------------------------------------------------------------------ the likelihood */

typedef struct Likelihood {
    const double *hits, *misses, *all; /* how many batches have more than j of them */
    int64_t most;                      /* the length of the lists */
} Likelihood;

/* How many have just j becomes how many have more than j. */
static void add_up(double *list, int64_t most)
{
    double more = 0;
    for (int64_t j = most; j >= 0; j--) {
        double just = list[j];
        list[j] = more;
        more += just;
    }
}

static Likelihood likelihood_of(Arena *arena, const Tally *batches, size_t count)
{
    int64_t most = 0;
    for (size_t i = 0; i < count; i++)
        if (batches[i].of > most) most = batches[i].of;
    size_t room = (size_t)most + 1;
    double *hits = ARENA_ARRAY(arena, double, room), *misses = ARENA_ARRAY(arena, double, room),
           *all = ARENA_ARRAY(arena, double, room);
    for (size_t i = 0; i < count; i++) {
        hits[batches[i].hits]++;
        misses[batches[i].of - batches[i].hits]++;
        all[batches[i].of]++;
    }
    add_up(hits, most);
    add_up(misses, most);
    add_up(all, most);
    return (Likelihood){hits, misses, all, most};
}

static double logarithm(const Likelihood *likelihood, double mean, double size)
{
    double sum = 0;
    for (int64_t j = 0; j < likelihood->most; j++) {
        double more = (double)j / size;
        if (likelihood->hits[j] > 0) sum += likelihood->hits[j] * log(mean + more);
        if (likelihood->misses[j] > 0) sum += likelihood->misses[j] * log(1 - mean + more);
        sum -= likelihood->all[j] * log1p(more);
    }
    return sum;
}

/* The slope in 1 / size: above nought, the batches lie further apart than at this size. */
static double slope_in_spread(const Likelihood *likelihood, double mean, double size)
{
    double sum = 0;
    for (int64_t j = 1; j < likelihood->most; j++) {
        double at = (double)j, more = at / size;
        sum += at * (likelihood->hits[j] / (mean + more) + likelihood->misses[j] / (1 - mean + more) -
                     likelihood->all[j] / (1 + more));
    }
    return sum;
}

/* Newton's steps, kept between the means that are known to be too small and too large. */
static double best_mean(const Likelihood *likelihood, double size)
{
    double low = 0, high = 1, mean = 0.5;
    for (int i = 0; i < STEPS; i++) {
        double slope = 0, bend = 0;
        for (int64_t j = 0; j < likelihood->most; j++) {
            double more = (double)j / size, hit = 1 / (mean + more), miss = 1 / (1 - mean + more);
            slope += likelihood->hits[j] * hit - likelihood->misses[j] * miss;
            bend += likelihood->hits[j] * hit * hit + likelihood->misses[j] * miss * miss;
        }
        *(slope > 0 ? &low : &high) = mean;
        double next = mean + slope / bend;
        if (!(next > low && next < high)) next = (low + high) / 2;
        if (fabs(next - mean) <= SETTLED * mean) return next;
        mean = next;
    }
    return mean;
}

static double slope_at(const Likelihood *likelihood, double size)
{
    return slope_in_spread(likelihood, best_mean(likelihood, size), size);
}

/* The best of some sizes on the way from all or nothing to no spread. */
static double best_tried(const Likelihood *likelihood, double step)
{
    double best = SIZE_MOST, most = -INFINITY;
    for (int i = 0; i <= SIZES_TRIED; i++) {
        double size = SIZE_MOST * pow(step, -i);
        double value = logarithm(likelihood, best_mean(likelihood, size), size);
        if (!(value > most)) continue;
        most = value;
        best = size;
    }
    return best;
}

/* Between the neighbours of the best that was tried the slope changes its sign once. */
static double best_size(const Likelihood *likelihood)
{
    double step = pow(SIZE_MOST / SIZE_LEAST, 1.0 / SIZES_TRIED), tried = best_tried(likelihood, step);
    if (tried == SIZE_MOST && slope_at(likelihood, SIZE_MOST) <= 0) return SIZE_MOST;
    double low = log(tried / step), high = log(fmin(tried * step, SIZE_MOST));
    for (int i = 0; i < STEPS; i++) {
        double middle = (low + high) / 2;
        *(slope_at(likelihood, exp(middle)) > 0 ? &high : &low) = middle;
    }
    return exp((low + high) / 2);
}

/* ------------------------------------------------------------------ all of it */

/* The variance of the total between batches beside that of as many independent cuttings. */
static double effect_of(const Tally *batches, size_t count, Tally total)
{
    if (count < 2 || total.hits == 0 || total.hits == total.of) return 1;
    double share = tally_share(total), squares = 0, of = (double)total.of;
    for (size_t i = 0; i < count; i++) {
        double off = (double)batches[i].hits - (double)batches[i].of * share;
        squares += off * off;
    }
    double batches_less_one = (double)count - 1;
    return fmax(1, (double)count / batches_less_one * squares / (of * share * (1 - share)));
}

static void fit(const Likelihood *likelihood, Spread *spread)
{
    double share = tally_share(spread->total), size = best_size(likelihood);
    spread->fitted = true;
    spread->shares = (Survival){.fixed = true, .mean = share};
    spread->chance = 1;
    if (size >= SIZE_MOST) return;
    double mean = best_mean(likelihood, size), hits = (double)spread->total.hits;
    double misses = (double)spread->total.of - hits;
    double ratio = 2 * (logarithm(likelihood, mean, size) - hits * log(share) - misses * log1p(-share));
    spread->shares = (Survival){.mean = mean, .alpha = mean * size, .beta = (1 - mean) * size};
    spread->together = 1 / (size + 1);
    spread->chance = gsl_cdf_chisq_Q(fmax(0, ratio), 1) / 2;
}

Spread spread_of(Arena *arena, const Tally *batches, size_t count)
{
    Spread spread = {.batches = count, .effect = 1, .chance = 1};
    int64_t most = 0;
    for (size_t i = 0; i < count; i++) {
        spread.total.hits += batches[i].hits;
        spread.total.of += batches[i].of;
        if (batches[i].of > most) most = batches[i].of;
    }
    spread.effect = effect_of(batches, count, spread.total);
    if (count < 2 || most > SPREAD_COUNT_MOST) return spread;
    if (spread.total.hits == 0 || spread.total.hits == spread.total.of) {
        spread.fitted = true;
        spread.shares = (Survival){.fixed = true, .mean = tally_share(spread.total)};
        return spread;
    }
    Likelihood likelihood = likelihood_of(arena, batches, count);
    fit(&likelihood, &spread);
    return spread;
}
