/* Chances of a batch: see yield.h.
 *
 * Small batches are worked out cutting by cutting: a chain of beta-binomials. For larger ones, as the
 * cuttings that make it out of N are at least w just when a beta(w, N - w + 1) lies below the share S, the
 * chance is an integral over the Mellin transform of S; it is taken along a line through the saddle point,
 * where a few hundred terms give ten digits whatever N is (docs/design.md, "Yield").
 */
#include "analysis/yield.h"

#include <complex.h>
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_sf_gamma.h>
#include <math.h>
#include <string.h>

enum { CHAIN_MOST = 400, CHAIN_LAST_RESORT = 5000, TERMS_MOST = 1 << 18, PERCENT_OF_ONE = 1000000 };

/* ------------------------------------------------------------------ the chain */

/* Of `there` each lives with a share spread as beta(alpha, beta), or fixed: adds weight times P(left = j) to
 * out[j]. */
static void spread_one(const Survival *survival, int64_t there, double weight, double *out)
{
    double ln = 0;
    if (survival->fixed && (survival->mean <= 0 || survival->mean >= 1)) {
        out[survival->mean <= 0 ? 0 : there] += weight;
        return;
    }
    for (int64_t left = 0; left <= there; left++) {
        double j = (double)left, n = (double)there;
        if (left == 0 && survival->fixed)
            ln = n * log1p(-survival->mean);
        else if (left == 0)
            ln = lgamma(survival->beta + n) - lgamma(survival->beta) +
                 lgamma(survival->alpha + survival->beta) - lgamma(survival->alpha + survival->beta + n);
        else if (survival->fixed)
            ln += log((n - j + 1) / j) + log(survival->mean) - log1p(-survival->mean);
        else
            ln += log((n - j + 1) / j * (survival->alpha + j - 1) / (survival->beta + n - j));
        out[left] += weight * exp(ln);
    }
}

static void next_stage(const Survival *survival, double *chances, double *scratch, int64_t most)
{
    memset(scratch, 0, (size_t)(most + 1) * sizeof *scratch);
    for (int64_t there = 0; there <= most; there++)
        if (chances[there] > 0) spread_one(survival, there, chances[there], scratch);
    memcpy(chances, scratch, (size_t)(most + 1) * sizeof *chances);
}

/* What a count within the running stage leaves of its outcomes. False: it cannot be. */
static bool condition(const YieldBatch *batch, double *chances)
{
    double sum = 0;
    for (int64_t left = 0; left <= batch->stuck; left++) {
        if (left < batch->least || left > batch->most) chances[left] = 0;
        sum += chances[left];
    }
    for (int64_t left = 0; left <= batch->stuck && sum > 0; left++) chances[left] /= sum;
    return sum > 0;
}

static bool is_conditioned(const YieldBatch *batch)
{
    return batch->least > 0 || batch->most < batch->stuck;
}

/* The chances of each number finished; `chances` and `scratch` have room for stuck + 1. */
static YieldStatus chain(const YieldBatch *batch, double *chances, double *scratch)
{
    memset(chances, 0, (size_t)(batch->stuck + 1) * sizeof *chances);
    chances[batch->stuck] = 1;
    for (size_t i = 0; i < batch->stages.count; i++) {
        next_stage(&batch->stages.at[i], chances, scratch, batch->stuck);
        if (i == 0 && is_conditioned(batch) && !condition(batch, chances)) return YIELD_IMPOSSIBLE;
    }
    if (!batch->stages.count && !condition(batch, chances)) return YIELD_IMPOSSIBLE;
    return YIELD_COMPUTED;
}

static double from_on(const double *chances, int64_t from, int64_t most)
{
    double sum = 0; /* the small ones first */
    if (from < 0) from = 0;
    for (int64_t left = most; left >= from; left--) sum += chances[left];
    return sum < 1 ? sum : 1;
}

/* ------------------------------------------------------------------ the integral */

/* ln Gamma(x + z) - ln Gamma(x). Where both are large by Stirling's series in a form in which the large parts
 * cancel. */
static double complex rise(double x, double complex z)
{
    const double large = 15;
    if (x >= large && creal(z) + x >= large) {
        double complex y = x + z;
        static const double series[] = {1.0 / 12,   -1.0 / 360,      1.0 / 1260, -1.0 / 1680,
                                        1.0 / 1188, -691.0 / 360360, 1.0 / 156};
        double complex correction = 0, over = 1 / y, square = over * over;
        double real_over = 1 / x, real_square = real_over * real_over, real_correction = 0;
        for (size_t i = 0; i < sizeof series / sizeof *series; i++) {
            correction += series[i] * over;
            real_correction += series[i] * real_over;
            over *= square;
            real_over *= real_square;
        }
        double complex ratio = z / x;
        double complex ln = cabs(ratio) < 1e-4 ? ratio * (1 - ratio * (0.5 - ratio * (1.0 / 3 - ratio / 4)))
                                               : clog(1 + ratio);
        return (x - 0.5) * ln + z * clog(y) - z + correction - real_correction;
    }
    gsl_sf_result size, angle;
    if (gsl_sf_lngamma_complex_e(creal(z) + x, cimag(z), &size, &angle) != GSL_SUCCESS) return NAN;
    return size.val - lgamma(x) + angle.val * I;
}

/* ln E[S^z] less what it is held against: a share, or the beta variable of a count. */
typedef struct Against {
    YieldStages stages;
    bool is_count;
    double ln_share;
    double wanted, stuck; /* is_count */
} Against;

static double complex transform(const Against *against, double complex z)
{
    double complex sum =
        against->is_count ? rise(against->wanted, -z) - rise(against->stuck + 1, -z) : -z * against->ln_share;
    for (size_t i = 0; i < against->stages.count; i++) {
        const Survival *survival = &against->stages.at[i];
        sum += survival->fixed ? z * log(survival->mean)
                               : rise(survival->alpha, z) - rise(survival->alpha + survival->beta, z);
    }
    return sum;
}

static double height(const Against *against, double c)
{
    return creal(transform(against, c)) - log(fabs(c));
}

/* The lowest point between two ends, by golden section: the function falls and rises once. */
static double lowest(const Against *against, double low, double high)
{
    const double golden = 0.6180339887498949;
    double a = high - golden * (high - low), b = low + golden * (high - low);
    double at_a = height(against, a), at_b = height(against, b);
    for (int round = 0; round < 80; round++) {
        if (at_a < at_b) {
            high = b;
            b = a;
            at_b = at_a;
            a = high - golden * (high - low);
            at_a = height(against, a);
        } else {
            low = a;
            a = b;
            at_a = at_b;
            b = low + golden * (high - low);
            at_b = height(against, b);
        }
    }
    return (low + high) / 2;
}

/* The sum of the trapezoid rule; false: it does not end. */
static bool sum_along(const Against *against, double c, double step, double *sum, size_t *terms)
{
    double first = 0;
    int small = 0;
    *sum = 0;
    for (size_t k = 0;; k++) {
        if (++*terms > TERMS_MOST) return false;
        double complex z = c + I * (double)k * step;
        double term = creal(cexp(transform(against, z)) / z);
        if (!isfinite(term)) return false;
        if (k == 0) first = fabs(term);
        *sum += k == 0 ? term / 2 : term;
        small = fabs(term) < 1e-14 * first ? small + 1 : 0;
        if (small >= 8) break;
    }
    *sum *= step;
    return true;
}

static YieldStatus integrate(const Against *against, double *chance)
{
    const double pi = 3.14159265358979323846, edge = 1e-9;
    double least_alpha = INFINITY;
    for (size_t i = 0; i < against->stages.count; i++)
        if (!against->stages.at[i].fixed && against->stages.at[i].alpha < least_alpha)
            least_alpha = against->stages.at[i].alpha;
    double right = against->is_count ? against->wanted : 1e6;
    double above = lowest(against, edge, right * (1 - edge)),
           below = lowest(against, -least_alpha * (1 - edge), -edge);
    bool upper = height(against, above) <= height(against, below);
    double c = upper ? above : below, span = fabs(c) * 1e-4;
    double bend = (creal(transform(against, c + span)) - 2 * creal(transform(against, c)) +
                   creal(transform(against, c - span))) /
                  (span * span);
    double step = 0.5 / sqrt(fmax(bend, 0) + 1 / (c * c)), last = NAN, sum = 0;
    size_t terms = 0;
    for (int round = 0; round < 12; round++, step /= 2) {
        if (!sum_along(against, c, step, &sum, &terms)) return YIELD_NOT_COMPUTED;
        if (fabs(sum - last) / pi < 1e-10) {
            double value = (upper ? 0 : 1) + sum / pi;
            *chance = fmin(fmax(value, 0), 1);
            return YIELD_COMPUTED;
        }
        last = sum;
    }
    return YIELD_NOT_COMPUTED;
}

/* ------------------------------------------------------------------ stages together */

static bool all_fixed(YieldStages stages)
{
    for (size_t i = 0; i < stages.count; i++)
        if (!stages.at[i].fixed) return false;
    return true;
}

static bool none_left(YieldStages stages)
{
    for (size_t i = 0; i < stages.count; i++)
        if (stages.at[i].fixed && stages.at[i].mean <= 0) return true;
    return false;
}

double yield_share_mean(YieldStages stages)
{
    double mean = 1;
    for (size_t i = 0; i < stages.count; i++) mean *= stages.at[i].mean;
    return mean;
}

/* ------------------------------------------------------------------ of a batch */

static YieldStatus check_batch(const YieldBatch *batch)
{
    if (batch->stuck < 0 || batch->stuck > YIELD_COUNT_MOST) return YIELD_NOT_COMPUTED;
    if (batch->least > batch->most || batch->least < 0 || batch->most > batch->stuck) return YIELD_IMPOSSIBLE;
    return is_conditioned(batch) && batch->stuck > CHAIN_LAST_RESORT ? YIELD_NOT_COMPUTED : YIELD_COMPUTED;
}

static bool by_chain(const YieldBatch *batch)
{
    return batch->stuck <= CHAIN_MOST || is_conditioned(batch);
}

YieldStatus yield_expected(const YieldBatch *batch, double *finished)
{
    double chances[CHAIN_LAST_RESORT + 1], scratch[CHAIN_LAST_RESORT + 1];
    YieldStatus status = check_batch(batch);
    if (status != YIELD_COMPUTED) return status;
    if (!is_conditioned(batch)) {
        *finished = (double)batch->stuck * yield_share_mean(batch->stages);
        return YIELD_COMPUTED;
    }
    if ((status = chain(batch, chances, scratch)) != YIELD_COMPUTED) return status;
    *finished = 0;
    for (int64_t left = 1; left <= batch->stuck; left++) *finished += (double)left * chances[left];
    return YIELD_COMPUTED;
}

YieldStatus yield_chance(const YieldBatch *batch, int64_t wanted, double *chance)
{
    double chances[CHAIN_LAST_RESORT + 1], scratch[CHAIN_LAST_RESORT + 1];
    YieldStatus status = check_batch(batch);
    if (status != YIELD_COMPUTED) return status;
    if (by_chain(batch)) {
        if ((status = chain(batch, chances, scratch)) != YIELD_COMPUTED) return status;
        *chance = wanted > batch->stuck ? 0 : wanted <= 0 ? 1 : from_on(chances, wanted, batch->stuck);
        return YIELD_COMPUTED;
    }
    *chance = wanted <= 0;
    if (wanted <= 0 || wanted > batch->stuck || none_left(batch->stages)) return YIELD_COMPUTED;
    if (all_fixed(batch->stages)) { /* a binomial tail is a beta's */
        double share = yield_share_mean(batch->stages);
        *chance = share >= 1 ? 1 : gsl_cdf_beta_P(share, (double)wanted, (double)(batch->stuck - wanted + 1));
        return YIELD_COMPUTED;
    }
    Against against = {
        .stages = batch->stages, .is_count = true, .wanted = (double)wanted, .stuck = (double)batch->stuck};
    return integrate(&against, chance);
}

YieldStatus yield_point(const YieldBatch *batch, double part, int64_t *finished)
{
    double chances[CHAIN_LAST_RESORT + 1], scratch[CHAIN_LAST_RESORT + 1];
    YieldStatus status = check_batch(batch);
    if (status != YIELD_COMPUTED) return status;
    if (by_chain(batch)) {
        if ((status = chain(batch, chances, scratch)) != YIELD_COMPUTED) return status;
        double sum = 0;
        int64_t left = 0;
        for (; left < batch->stuck; left++)
            if ((sum += chances[left]) >= part) break;
        *finished = left;
        return YIELD_COMPUTED;
    }
    int64_t low = 0, high = batch->stuck; /* the least x of which x + 1 and more come with at most 1 - part */
    while (low < high) {
        int64_t middle = low + (high - low) / 2;
        double more;
        if ((status = yield_chance(batch, middle + 1, &more)) != YIELD_COMPUTED) return status;
        if (more <= 1 - part)
            high = middle;
        else
            low = middle + 1;
    }
    *finished = low;
    return YIELD_COMPUTED;
}

/* ------------------------------------------------------------------ how many it takes */

YieldStatus yield_needed(YieldStages stages, int64_t wanted, Number sure, int64_t *stuck)
{
    const double tie = 1e-9;
    double asked = (double)sure.num / (double)sure.den - tie, chance;
    int64_t low = wanted > 0 ? wanted - 1 : 0, high = wanted > 0 ? wanted : 0;
    if (none_left(stages) && wanted > 0) return YIELD_NEVER;
    while (true) {
        YieldBatch batch = yield_batch(stages, high);
        YieldStatus status = yield_chance(&batch, wanted, &chance);
        if (status != YIELD_COMPUTED) return status;
        if (chance >= asked) break;
        low = high;
        if (high > YIELD_COUNT_MOST / 2) return YIELD_NEVER;
        high = high * 2 + 1;
    }
    while (low + 1 < high) { /* the chance never falls as more are stuck */
        int64_t middle = low + (high - low) / 2;
        YieldBatch batch = yield_batch(stages, middle);
        YieldStatus status = yield_chance(&batch, wanted, &chance);
        if (status != YIELD_COMPUTED) return status;
        *(chance >= asked ? &high : &low) = middle;
    }
    *stuck = high;
    return YIELD_COMPUTED;
}

YieldStatus yield_on_average(YieldStages stages, int64_t wanted, int64_t *stuck)
{
    double mean = yield_share_mean(stages);
    *stuck = 0;
    if (wanted <= 0) return YIELD_COMPUTED;
    if (mean <= 0 || (double)wanted > mean * YIELD_COUNT_MOST) return YIELD_NEVER;
    double needed = (double)wanted / mean;
    const double rounding = 1e-9; /* 1000 / 0.684 is not rounded up for the last bit of a product */
    *stuck = (int64_t)ceil(needed * (1 - rounding / fmax(needed, 1)));
    return YIELD_COMPUTED;
}

/* ------------------------------------------------------------------ shares */

YieldStatus yield_share_at_least(YieldStages stages, double share, double *chance)
{
    *chance = share <= 0;
    if (share <= 0 || none_left(stages)) return YIELD_COMPUTED;
    if (share > 1) return YIELD_COMPUTED;
    if (all_fixed(stages)) {
        *chance = yield_share_mean(stages) >= share;
        return YIELD_COMPUTED;
    }
    if (stages.count == 1) {
        *chance = survival_at_least(&stages.at[0], share);
        return YIELD_COMPUTED;
    }
    Against against = {.stages = stages, .ln_share = log(share)};
    return integrate(&against, chance);
}

/* Between 0 and the product of the largest shares; by halving, as near the ends the chance bends too sharply
 * to be followed by lines. */
YieldStatus yield_share_point(YieldStages stages, double part, double *share)
{
    if (none_left(stages) || all_fixed(stages) || stages.count == 1) {
        *share = stages.count == 1 ? survival_point(&stages.at[0], part) : yield_share_mean(stages);
        return YIELD_COMPUTED;
    }
    double low = 0, high = 1;
    for (size_t i = 0; i < stages.count; i++)
        if (stages.at[i].fixed) high *= stages.at[i].mean;
    for (int round = 0; round < 34; round++) {
        double middle = (low + high) / 2, above;
        YieldStatus status = yield_share_at_least(stages, middle, &above);
        if (status != YIELD_COMPUTED) return status;
        *(1 - above < part ? &low : &high) = middle;
    }
    *share = (low + high) / 2;
    return YIELD_COMPUTED;
}

Number yield_number(double value)
{
    Number number;
    bool fits =
        isfinite(value) && fabs(value) < (double)INT64_MAX / PERCENT_OF_ONE / 2 &&
        number_divide(NUMBER((int64_t)llround(value * PERCENT_OF_ONE)), NUMBER(PERCENT_OF_ONE), &number);
    return fits ? number : NUMBER(0);
}
