/* A stage's survival as a beta distribution.
 *
 * Given the range that is stated, makes the alpha and beta of which one twentieth lies below it and one
 * twentieth above. Shares are handled as log-odds ln(s / (1 - s)), so that 0.001 % of loss is as exact as 50
 * %. The incomplete beta function is GSL's; where its continued fraction gives up (near the mean of a very
 * narrow distribution) the integral of yield_contour.c stands in.
 */
#include "analysis/survival.h"

#include "analysis/yield_work.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_sf_gamma.h>

#include <math.h>

static const double outside = 0.05;            /* of the batches, on either side of a range */
static const double normal_point = 1.64485363; /* of the normal distribution: the same part lies beyond */
static const double narrowest = 1e7;           /* alpha + beta over this: fixed */
static const double close_enough = 1e-12;      /* of ln alpha and ln beta */
static const double log_odds_most = 745;       /* e^-745 is the least double */

/* ------------------------------------------------------------------ a beta distribution */

typedef struct Tails {
    double below, above;
} Tails;

/* Both shares of 1 that log-odds mean; neither is found by subtracting. */
static Tails split(double log_odds)
{
    double small = exp(-fabs(log_odds)) / (1 + exp(-fabs(log_odds))), large = 1 / (1 + exp(-fabs(log_odds)));
    return log_odds < 0 ? (Tails){small, large} : (Tails){large, small};
}

/* The parts of beta(alpha, beta) on either side of a share: the incomplete beta function I_s(alpha, beta) and
 * what it lacks of 1 (Abramowitz and Stegun, 26.5). */
static Tails tails(double alpha, double beta, double log_odds)
{
    Tails share = split(log_odds), parts;
    if (log_odds < 0)
        parts = (Tails){gsl_cdf_beta_P(share.below, alpha, beta), gsl_cdf_beta_Q(share.below, alpha, beta)};
    else
        parts = (Tails){gsl_cdf_beta_Q(share.above, beta, alpha), gsl_cdf_beta_P(share.above, beta, alpha)};
    if (!isnan(parts.below) && !isnan(parts.above)) return parts;
    Survival one = {.alpha = alpha, .beta = beta};
    double depth = log_odds < 0 ? -log(share.below) : -log1p(-share.above), above;
    if (contour_share_at_least((YieldStages){&one, 1}, depth, &above)) return (Tails){1 - above, above};
    return (Tails){NAN, NAN};
}

/* The log-odds below which lies this part: Newton steps on the distribution function, halving where one would
 * leave the interval that is known to hold the point. */
static double log_odds_point(double alpha, double beta, double part)
{
    double low = -log_odds_most, high = log_odds_most, at = log(alpha / beta),
           scale = gsl_sf_lnbeta(alpha, beta);
    for (int i = 0; i < 200 && high - low > 1e-14 * fmax(1, fabs(at)); i++) {
        if (!(at > low && at < high)) at = (low + high) / 2;
        Tails share = split(at), parts = tails(alpha, beta, at);
        double over = part < 0.5 ? parts.below - part : 1 - part - parts.above;
        if (over > 0) high = at;
        if (over < 0) low = at;
        double slope = exp(alpha * log(share.below) + beta * log(share.above) - scale);
        double step = over / slope;
        if (fabs(step) <= 1e-15 * fmax(1, fabs(at))) break;
        at = slope > 0 ? at - step : low - 1;
    }
    return at;
}

double survival_point(const Survival *survival, double part)
{
    if (survival->fixed) return survival->mean;
    if (part <= 0) return 0;
    if (part >= 1) return 1;
    return split(log_odds_point(survival->alpha, survival->beta, part)).below;
}

double survival_at_least(const Survival *survival, double share)
{
    if (share <= 0) return 1;
    if (survival->fixed) return survival->mean >= share ? 1 : 0;
    if (share >= 1) return 0;
    return tails(survival->alpha, survival->beta, log(share) - log1p(-share)).above;
}

/* ------------------------------------------------------------------ the fit */

/* What the fit solves for: both parts outside of the range as logarithms beside what they should be, which
 * are nearly straight lines over ln alpha and ln beta. */
typedef struct Range {
    double low, high; /* log-odds of the share that comes through */
} Range;

typedef struct Pair {
    double a, b;
} Pair;

static Pair miss(Range range, Pair at)
{
    double alpha = exp(at.a), beta = exp(at.b);
    return (Pair){log(tails(alpha, beta, range.low).below / outside),
                  log(tails(alpha, beta, range.high).above / outside)};
}

/* The normal distribution of the log-odds with these two points; 1/alpha + 1/beta is about its variance. */
static Pair first_guess(Range range)
{
    double middle = (range.low + range.high) / 2, spread = (range.high - range.low) / (2 * normal_point);
    Tails share = split(middle);
    return (Pair){-log(spread * spread * share.above), -log(spread * spread * share.below)};
}

/* One step of Newton's method, slopes by central differences; at most 1 on either axis, so that a poor start
 * does not throw it out. */
static Pair newton_step(Range range, Pair at, Pair missed)
{
    const double h = 1e-4;
    Pair right = miss(range, (Pair){at.a + h, at.b}), left = miss(range, (Pair){at.a - h, at.b});
    Pair up = miss(range, (Pair){at.a, at.b + h}), down = miss(range, (Pair){at.a, at.b - h});
    double aa = (right.a - left.a) / (2 * h), ab = (up.a - down.a) / (2 * h);
    double ba = (right.b - left.b) / (2 * h), bb = (up.b - down.b) / (2 * h);
    double area = aa * bb - ab * ba;
    Pair step = {-(bb * missed.a - ab * missed.b) / area, -(aa * missed.b - ba * missed.a) / area};
    double longest = fmax(fabs(step.a), fabs(step.b));
    if (longest > 1) step = (Pair){step.a / longest, step.b / longest};
    return step;
}

static bool fit_by_newton(Range range, Pair *at)
{
    double last = INFINITY;
    for (int i = 0; i < 60; i++) {
        Pair missed = miss(range, *at), step = newton_step(range, *at, missed);
        double length = fmax(fabs(step.a), fabs(step.b));
        if (!isfinite(length)) return false;
        *at = (Pair){at->a + step.a, at->b + step.b};
        if (length < close_enough) return true;
        /* Of a narrow distribution the function itself is not exact enough for that: it stops getting better.
         */
        if (length < 1e-7 && length >= last) return true;
        last = length;
    }
    return false;
}

/* Halving: for each beta the alpha that leaves the right part below the range, which is more the more beta
 * is; and the more both are, the less lies above. */
static double alpha_below(Range range, double b)
{
    double low = -20, high = 20;
    while (high - low > close_enough) {
        double middle = (low + high) / 2;
        *(miss(range, (Pair){middle, b}).a > 0 ? &low : &high) = middle;
    }
    return (low + high) / 2;
}

static Pair fit_by_halving(Range range)
{
    double low = -20, high = 20;
    while (high - low > close_enough) {
        double middle = (low + high) / 2;
        *(miss(range, (Pair){alpha_below(range, middle), middle}).b > 0 ? &low : &high) = middle;
    }
    return (Pair){alpha_below(range, (low + high) / 2), (low + high) / 2};
}

static Pair fit(Range range)
{
    Pair guess = first_guess(range), at = guess;
    if (exp(guess.a) + exp(guess.b) > 2 * narrowest) return guess; /* it will be fixed */
    return fit_by_newton(range, &at) ? at : fit_by_halving(range);
}

/* ------------------------------------------------------------------ a stated range */

/* An end of the range of losses, and what it leaves, both exact before they are doubles. */
typedef struct End {
    Number lost, left;
} End;

static bool end_of(Bound bound, Number unstated, End *end)
{
    end->lost = bound.unbounded ? unstated : bound.at;
    return number_compare(end->lost, NUMBER(0)) >= 0 && number_compare(end->lost, NUMBER(1)) <= 0 &&
           number_subtract(NUMBER(1), end->lost, &end->left);
}

static double log_odds_left(End end)
{
    return log(number_double(end.left) / number_double(end.lost));
}

static Survival fixed_at(double share)
{
    return (Survival){.fixed = true, .mean = share};
}

static Survival spread(double alpha, double beta)
{
    return (Survival){.mean = alpha / (alpha + beta), .alpha = alpha, .beta = beta};
}

/* The beta distribution between two different ends. One that is at 0 or 1 has nothing beyond it: then the
 * other parameter is 1, which makes that end the most likely, and one twentieth lies beyond the end that is
 * stated. */
static Survival between(End least, End most)
{
    bool none = least.lost.num == 0, all = most.left.num == 0;
    if (none && all) return spread(1, 1);
    if (none) return spread(log(outside) / log1p(-number_double(most.lost)), 1);
    if (all) return spread(1, log(outside) / log1p(-number_double(least.left)));
    Pair at = fit((Range){log_odds_left(most), log_odds_left(least)});
    return spread(exp(at.a), exp(at.b));
}

SurvivalFinding survival_of_losses(Interval losses, Survival *out)
{
    End least, most;
    if (!end_of(losses.low, NUMBER(0), &least) || !end_of(losses.high, NUMBER(1), &most) ||
        number_compare(least.lost, most.lost) > 0)
        return SURVIVAL_REFUSED;
    double middle = (number_double(least.left) + number_double(most.left)) / 2;
    if (number_equal(least.lost, most.lost)) {
        *out = fixed_at(number_double(least.left));
        return least.left.num == 0 ? SURVIVAL_NONE_LEFT : SURVIVAL_PLAIN;
    }
    *out = between(least, most);
    if (out->alpha + out->beta > narrowest) *out = fixed_at(middle);
    if (out->fixed) return SURVIVAL_PLAIN;
    if (least.lost.num == 0 && most.left.num == 0) return SURVIVAL_SAYS_NOTHING;
    return fmin(out->alpha, out->beta) < 1 - 1e-9 ? SURVIVAL_VERY_WIDE : SURVIVAL_PLAIN;
}

SurvivalFinding survival_of_rate(Interval rate, Survival *out)
{
    Interval losses = {rate.high, rate.low};
    if (!rate.high.unbounded && !number_subtract(NUMBER(1), rate.high.at, &losses.low.at))
        return SURVIVAL_REFUSED;
    if (!rate.low.unbounded && !number_subtract(NUMBER(1), rate.low.at, &losses.high.at))
        return SURVIVAL_REFUSED;
    return survival_of_losses(losses, out);
}
