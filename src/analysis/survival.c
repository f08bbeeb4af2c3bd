/* The beta distribution behind a range of losses: see survival.h.
 *
 * The two points of the range are two equations for alpha and beta. They are solved by Newton's method on the
 * logarithms, begun at the normal distribution of the log-odds with the same two points; where that does not
 * settle, by bisection within bisection. The distribution functions are GSL's.
 */
#include "analysis/survival.h"

#include <gsl/gsl_cdf.h>
#include <math.h>

static const double TAIL = 0.05;                     /* of batches outside each end of a range */
static const double TAIL_POINT = 1.6448536269514722; /* of the normal distribution */
static const double NARROW = 1e7;                    /* alpha + beta over which a range is a point */

static double value_of(Number number)
{
    return (double)number.num / (double)number.den;
}

static SurvivalFinding set_fixed(Survival *out, double share)
{
    *out = (Survival){.fixed = true, .mean = share};
    return share > 0 ? SURVIVAL_PLAIN : SURVIVAL_NONE_LEFT;
}

static SurvivalFinding set_beta(Survival *out, double alpha, double beta)
{
    *out = (Survival){.mean = alpha / (alpha + beta), .alpha = alpha, .beta = beta};
    return alpha < 1 || beta < 1 ? SURVIVAL_VERY_WIDE : SURVIVAL_PLAIN;
}

/* ------------------------------------------------------------------ two equations */

typedef struct Fit {
    double low, high; /* the shares below and above which a twentieth lies */
} Fit;

/* How far the two tails are from a twentieth. */
static void miss(const Fit *fit, double ln_alpha, double ln_beta, double out[2])
{
    double alpha = exp(ln_alpha), beta = exp(ln_beta);
    out[0] = gsl_cdf_beta_P(fit->low, alpha, beta) - TAIL;
    out[1] = gsl_cdf_beta_Q(fit->high, alpha, beta) - TAIL;
}

static bool newton(const Fit *fit, double at[2])
{
    enum { ROUNDS = 100 };
    const double step = 1e-6, settled = 1e-14;
    for (int round = 0; round < ROUNDS; round++) {
        double here[2], more[2], less[2], slope[2][2];
        miss(fit, at[0], at[1], here);
        if (fabs(here[0]) < settled && fabs(here[1]) < settled) return true;
        for (int k = 0; k < 2; k++) {
            miss(fit, at[0] + (k == 0 ? step : 0), at[1] + (k == 1 ? step : 0), more);
            miss(fit, at[0] - (k == 0 ? step : 0), at[1] - (k == 1 ? step : 0), less);
            for (int i = 0; i < 2; i++) slope[i][k] = (more[i] - less[i]) / (2 * step);
        }
        double determinant = slope[0][0] * slope[1][1] - slope[0][1] * slope[1][0];
        if (!isfinite(determinant) || determinant == 0) return false;
        double by[2] = {(slope[1][1] * here[0] - slope[0][1] * here[1]) / determinant,
                        (slope[0][0] * here[1] - slope[1][0] * here[0]) / determinant};
        double most = fmax(fabs(by[0]), fabs(by[1])), shrink = most > 1 ? 1 / most : 1;
        at[0] -= by[0] * shrink;
        at[1] -= by[1] * shrink;
        if (!isfinite(at[0]) || !isfinite(at[1]) || fabs(at[0]) > 40 || fabs(at[1]) > 40) return false;
        if (most < 1e-13) return true;
    }
    return false;
}

/* The beta that puts a twentieth below the range, for this alpha: more of it draws the distribution down. */
static double beta_for(const Fit *fit, double ln_alpha)
{
    double low = -40, high = 40, out[2];
    for (int round = 0; round < 200; round++) {
        double middle = (low + high) / 2;
        miss(fit, ln_alpha, middle, out);
        *(out[0] < 0 ? &low : &high) = middle;
    }
    return (low + high) / 2;
}

/* With the lower tail held, a larger alpha is a narrower distribution and a smaller upper tail. */
static void bisect(const Fit *fit, double at[2])
{
    double low = -40, high = 40, out[2];
    for (int round = 0; round < 200; round++) {
        double middle = (low + high) / 2;
        miss(fit, middle, beta_for(fit, middle), out);
        *(out[1] > 0 ? &low : &high) = middle;
    }
    at[0] = (low + high) / 2;
    at[1] = beta_for(fit, at[0]);
}

static double log_odds(double share)
{
    return log(share) - log1p(-share);
}

static SurvivalFinding fit_range(double low, double high, Survival *out)
{
    Fit fit = {low, high};
    double middle = (log_odds(low) + log_odds(high)) / 2,
           spread = (log_odds(high) - log_odds(low)) / (2 * TAIL_POINT);
    double mean = 1 / (1 + exp(-middle)), size = 1 / (spread * spread * mean * (1 - mean));
    double at[2] = {log(size * mean), log(size * (1 - mean))};
    if (size > NARROW) return set_fixed(out, (low + high) / 2);
    if (!newton(&fit, at)) bisect(&fit, at);
    if (exp(at[0]) + exp(at[1]) > NARROW) return set_fixed(out, (low + high) / 2);
    return set_beta(out, exp(at[0]), exp(at[1]));
}

/* ------------------------------------------------------------------ ranges */

/* `low` and `high`: of what comes through. */
static SurvivalFinding of_shares(double low, double high, Survival *out)
{
    if (!(low >= 0 && high <= 1 && low <= high)) return SURVIVAL_REFUSED;
    if (low == high) return set_fixed(out, low);
    if (low == 0 && high == 1) {
        set_beta(out, 1, 1);
        return SURVIVAL_SAYS_NOTHING;
    }
    if (high == 1) return set_beta(out, log(TAIL) / log(low), 1);
    if (low == 0) return set_beta(out, 1, log(TAIL) / log1p(-high));
    return fit_range(low, high, out);
}

SurvivalFinding survival_of_losses(Interval losses, Survival *out)
{
    double least = losses.low.unbounded ? 0 : value_of(losses.low.at),
           most = losses.high.unbounded ? 1 : value_of(losses.high.at);
    return of_shares(1 - most, 1 - least, out);
}

SurvivalFinding survival_of_rate(Interval rate, Survival *out)
{
    return of_shares(rate.low.unbounded ? 0 : value_of(rate.low.at),
                     rate.high.unbounded ? 1 : value_of(rate.high.at), out);
}

double survival_point(const Survival *survival, double part)
{
    return survival->fixed ? survival->mean : gsl_cdf_beta_Pinv(part, survival->alpha, survival->beta);
}

double survival_at_least(const Survival *survival, double share)
{
    if (share <= 0) return 1;
    if (survival->fixed) return survival->mean >= share;
    return share >= 1 ? 0 : gsl_cdf_beta_Q(share, survival->alpha, survival->beta);
}
