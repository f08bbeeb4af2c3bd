/* Shares of counted things: see proportion.h. */
#include "analysis/proportion.h"

#include <gsl/gsl_cdf.h>
#include <math.h>

static double clamped(double share, double low, double high)
{
    return share < low ? low : share > high ? high : share;
}

/* ------------------------------------------------------------------ intervals */

Bounds proportion_interval(Tally tally, double effect, double sure)
{
    double z = gsl_cdf_ugaussian_Qinv((1 - sure) / 2), share = tally_share(tally);
    double of = (double)tally.of / effect, widened = 1 + z * z / of;
    double middle = (share + z * z / (2 * of)) / widened;
    double half = z / widened * sqrt(share * (1 - share) / of + z * z / (4 * of * of));
    return (Bounds){tally.hits == 0 ? 0 : clamped(middle - half, 0, 1),
                    tally.hits == tally.of ? 1 : clamped(middle + half, 0, 1)};
}

Bounds proportion_difference(Tally first, double first_effect, Tally second, double second_effect,
                             double sure)
{
    Bounds a = proportion_interval(first, first_effect, sure),
           b = proportion_interval(second, second_effect, sure);
    double p = tally_share(first), q = tally_share(second);
    return (Bounds){clamped(p - q - hypot(p - a.low, b.high - q), -1, 1),
                    clamped(p - q + hypot(a.high - p, q - b.low), -1, 1)};
}

/* ------------------------------------------------------------------ the exact test */

/* All tables with the sums of the one seen: of the `hits` of both groups so many lie in the first. */
typedef struct Tables {
    double first, second, hits;
    double least, most; /* that can lie in the first */
} Tables;

/* How much likelier one more in the first group is than `in_first`. */
static double step_up(const Tables *tables, double in_first)
{
    return (tables->first - in_first) * (tables->hits - in_first) /
           ((in_first + 1) * (tables->second - tables->hits + in_first + 1));
}

/* Smaller weights add nothing to a sum that has 1 in it. */
static const double NO_WEIGHT = 1e-300;

typedef struct Weights {
    double all, as_unlikely;
} Weights;

/* Adds the weights from the likeliest table, of weight 1 and not added itself, up or down to where they are
 * nothing; those that are at most `limit` count as unlikely. */
static void add_side(const Tables *tables, double likeliest, int direction, double limit, Weights *weights)
{
    double weight = 1;
    for (double at = likeliest; direction > 0 ? at < tables->most : at > tables->least; at += direction) {
        weight *= direction > 0 ? step_up(tables, at) : 1 / step_up(tables, at - 1);
        if (weight < NO_WEIGHT) return;
        weights->all += weight;
        if (weight <= limit) weights->as_unlikely += weight;
    }
}

/* The weight of a table beside the likeliest. */
static double weight_at(const Tables *tables, double likeliest, double wanted)
{
    double weight = 1;
    for (double at = likeliest; at < wanted && weight >= NO_WEIGHT; at++) weight *= step_up(tables, at);
    for (double at = likeliest; at > wanted && weight >= NO_WEIGHT; at--) weight /= step_up(tables, at - 1);
    return weight;
}

double proportion_exact_test(Tally first, Tally second)
{
    const double ties = 1 + 1e-7;
    Tables tables = {
        .first = (double)first.of, .second = (double)second.of, .hits = (double)(first.hits + second.hits)};
    tables.least = fmax(0, tables.hits - tables.second);
    tables.most = fmin(tables.first, tables.hits);
    double likeliest = floor((tables.hits + 1) * (tables.first + 1) / (tables.first + tables.second + 2));
    likeliest = clamped(likeliest, tables.least, tables.most);
    double limit = weight_at(&tables, likeliest, (double)first.hits) * ties;
    Weights weights = {1, limit >= 1 ? 1 : 0};
    add_side(&tables, likeliest, 1, limit, &weights);
    add_side(&tables, likeliest, -1, limit, &weights);
    return clamped(weights.as_unlikely / weights.all, 0, 1);
}

/* ------------------------------------------------------------------ beforehand */

int64_t proportion_needed(double first, double second, double error, double power)
{
    double apart = fabs(first - second), middle = (first + second) / 2;
    if (apart == 0) return 0;
    double by_chance = gsl_cdf_ugaussian_Qinv(error / 2) * sqrt(2 * middle * (1 - middle)),
           truly = gsl_cdf_ugaussian_Pinv(power) * sqrt(first * (1 - first) + second * (1 - second));
    double plain = (by_chance + truly) * (by_chance + truly) / (apart * apart);
    double corrected = 1 + sqrt(1 + 4 / (plain * apart));
    return (int64_t)ceil(plain / 4 * corrected * corrected);
}
