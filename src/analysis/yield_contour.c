/* Chances as integrals in the complex plane, which take some hundred terms whatever the count.
 *
 * Given stages and a count, or a share, works out a distribution function from moments. The logarithm of a
 * survival has the moments E[S^z] = Gamma(a + z) Gamma(a + b) / (Gamma(a) Gamma(a + b + z)); independent
 * stages multiply. A binomial's tail is a beta's: P(X >= w) = P(T <= S), T ~ beta(w, N - w + 1) independent
 * of S. So with
 *
 *     K(z) = sum over stages ln E[S_i^z] + ln E[T^-z]         or, for P(S >= s):  ... - z ln s
 *     P    = u + 1/(2 pi i) integral exp(K(z)) / z dz         upwards through c; c > 0: u = 0, c < 0: u = 1
 *
 * which is the inversion of a Laplace transform (Lugannani and Rice, Advances in Applied Probability 12,
 * 1980, start from it). c is where K(c) - ln|c| is least, as there the integrand does not swing. The path is
 * a hyperbola, z = c + lean (1 - cosh u) + i scale sinh u: steps grow with the distance, so that what falls
 * off as a power falls off exponentially, and where K has a part linear in z the path leans to where that
 * makes the integrand vanish (Weideman and Trefethen, Mathematics of Computation 76, 2007). The trapezoid
 * rule converges exponentially on it.
 */
#include "analysis/yield_work.h"

#include <complex.h>
#include <math.h>

enum {
    TERMS_MOST = 1 << 18,
    QUIET_TERMS = 8, /* so many under `quiet` of the first end a sum */
    HALVINGS = 12,
};
static const double quiet = 1e-14;
static const double agree = 1e-10; /* two steps of the trapezoid rule */
static const double pi = 3.14159265358979323846;

typedef struct Problem {
    YieldStages stages;
    double wanted, beyond; /* T ~ beta(wanted, beyond); wanted 0: there is no T */
    double linear;         /* z times this is added: -ln s, and the fixed stages */
} Problem;

/* ------------------------------------------------------------------ moments */

static double complex complex_of(double real, double imaginary) /* CMPLX, which not every compiler has */
{
    union {
        double parts[2];
        double complex whole;
    } number = {{real, imaginary}};
    return number.whole;
}

/* 1 / z. The operator is three times as slow, as it minds numbers whose square is none. */
static double complex inverse_of(double complex z)
{
    double square = creal(z) * creal(z) + cimag(z) * cimag(z);
    return complex_of(creal(z) / square, -cimag(z) / square);
}

/* What ln Gamma(z) has beyond (z - 1/2) ln z - z + 1/2 ln 2 pi: Stirling's series (Abramowitz and
 * Stegun, 6.1.41), its eighth term under 1e-18 where |z| + Re z >= 30. */
static double complex stirling(double complex z)
{
    static const double terms[] = {1.0 / 12,   -1.0 / 360,      1.0 / 1260, -1.0 / 1680,
                                   1.0 / 1188, -691.0 / 360360, 1.0 / 156,  -3617.0 / 122400};
    double complex inverse = inverse_of(z), square = inverse * inverse;
    double twice = 2 * creal(square), size = creal(square) * creal(square) + cimag(square) * cimag(square);
    double last = terms[7], before = 0; /* real coefficients: divided by w^2 - twice w + size, which is 0 */
    for (int i = 7; i-- > 1;) {
        double next = terms[i] + twice * last - size * before;
        before = last;
        last = next;
    }
    return (last * square + (terms[0] - size * before)) * inverse;
}

/* |z| + Re z >= 30 */
static bool far_right(double complex z)
{
    double left = 30 - creal(z);
    return left <= 0 || creal(z) * creal(z) + cimag(z) * cimag(z) >= left * left;
}

/* ln(1 + w), exact for small w too. */
static double complex log_1p(double complex w)
{
    double u = creal(w), v = cimag(w);
    return complex_of(0.5 * log1p(2 * u + u * u + v * v), atan2(v, 1 + u));
}

/* ln Gamma(a + z) - ln Gamma(a), but for whole turns of the imaginary part; written so that only parts of the
 * size of z are added, though a may be ten million. Small a is raised first: Gamma(a + 1 + z) = (a + z)
 * Gamma(a + z). */
static double complex gamma_ratio(double a, double complex z)
{
    double complex raised = 1;
    double lowered = 1, stated = a;
    while (a < 15 || !far_right(a + z)) {
        raised *= a + z;
        lowered *= a;
        a += 1;
    }
    double complex step = log_1p(z / a);
    double complex ratio = (a - 0.5) * step + z * (log(a) + step) - z + stirling(a + z) - stirling(a);
    return a == stated ? ratio : ratio - clog(raised / lowered);
}

/* ln E[S^z], S ~ beta(alpha, beta) */
static double complex log_moment(double alpha, double beta, double complex z)
{
    return gamma_ratio(alpha, z) - gamma_ratio(alpha + beta, z);
}

static double complex cumulant(const Problem *problem, double complex z)
{
    double complex sum = z * problem->linear;
    for (size_t i = 0; i < problem->stages.count; i++) {
        const Survival *stage = &problem->stages.at[i];
        if (!stage->fixed) sum += log_moment(stage->alpha, stage->beta, z);
    }
    if (problem->wanted > 0) sum += log_moment(problem->wanted, problem->beyond, -z);
    return sum;
}

/* ------------------------------------------------------------------ the path */

typedef struct Path {
    double through;     /* c */
    double lean, scale; /* z = c + lean (1 - cosh u) + i scale sinh u */
} Path;

/* K(c) - ln|c|: the logarithm of the integrand on the real axis. */
static double height(const Problem *problem, double c)
{
    double value = creal(cumulant(problem, c)) - log(fabs(c));
    return isnan(value) ? INFINITY : value;
}

/* Where the height is least between 0 and `bound`, by golden section; it is convex. */
static double lowest(const Problem *problem, double bound)
{
    const double golden = 0.61803398874989485;
    double near = 0, far = bound;
    double one = far - golden * (far - near), two = near + golden * (far - near);
    double at_one = height(problem, one), at_two = height(problem, two);
    for (int i = 0; i < 200 && fabs(far - near) > 1e-3 * fabs(near); i++) {
        if (at_one < at_two) {
            far = two, two = one, at_two = at_one;
            one = far - golden * (far - near);
            at_one = height(problem, one);
        } else {
            near = one, one = two, at_one = at_two;
            two = near + golden * (far - near);
            at_two = height(problem, two);
        }
    }
    return (near + far) / 2;
}

/* On a side without a pole: far enough for the height to rise again. */
static double rising(const Problem *problem, double sign)
{
    double at = sign;
    while (fabs(at) < 1e15 && height(problem, 2 * at) < height(problem, at)) at *= 2;
    return 2 * at;
}

/* The nearest pole of the stages, left of 0. */
static double left_pole(const Problem *problem)
{
    double nearest = INFINITY;
    for (size_t i = 0; i < problem->stages.count; i++) {
        const Survival *stage = &problem->stages.at[i];
        if (!stage->fixed) nearest = fmin(nearest, stage->alpha);
    }
    return isinf(nearest) ? rising(problem, -1) : -nearest;
}

/* Second and third derivative of K at c, by differences as wide as the function is smooth. */
static void bends(const Problem *problem, double c, double *second, double *third)
{
    double room = fabs(c - left_pole(problem));
    if (problem->wanted > 0) room = fmin(room, problem->wanted - c);
    double h = 0.01 * room, k[5];
    for (int i = 0; i < 5; i++) k[i] = creal(cumulant(problem, c + (i - 2) * h));
    *second = (-k[0] + 16 * k[1] - 30 * k[2] + 16 * k[3] - k[4]) / (12 * h * h);
    *third = (-k[0] + 2 * k[1] - 2 * k[3] + k[4]) / (2 * h * h * h);
}

static Path path_of(const Problem *problem)
{
    double left = lowest(problem, left_pole(problem));
    double right = lowest(problem, problem->wanted > 0 ? problem->wanted : rising(problem, 1));
    Path path = {height(problem, left) < height(problem, right) ? left : right, 0, 0};
    double second, third;
    bends(problem, path.through, &second, &third);
    path.scale = 1 / sqrt(second + 1 / (path.through * path.through));
    /* As steepest descent of the moments bends; the pole at 0 would bend it more, but is left behind at once.
     */
    double lean = -third / (3 * second) * path.scale * path.scale;
    if (lean * problem->linear > 0) path.lean = fmax(-path.scale, fmin(path.scale, lean));
    return path;
}

/* ------------------------------------------------------------------ the sum */

/* The integrand by du at u, with its size. */
static double term(const Problem *problem, const Path *path, double u, double *size)
{
    double complex z = complex_of(path->through + path->lean * (1 - cosh(u)), path->scale * sinh(u));
    double complex turned = complex_of(path->scale * cosh(u), path->lean * sinh(u)); /* dz / du, by i */
    double complex value = cexp(cumulant(problem, z)) / z * turned;
    *size = cabs(value);
    return creal(value);
}

/* The sum of terms at first, first + step, ... until they are quiet. */
static bool sum_terms(const Problem *problem, const Path *path, double first, double step, double loud,
                      double *sum)
{
    int still = 0;
    *sum = 0;
    for (int i = 0; i < TERMS_MOST; i++) {
        double size;
        *sum += term(problem, path, first + i * step, &size);
        if (!isfinite(size)) return false;
        still = size <= quiet * loud ? still + 1 : 0;
        if (still == QUIET_TERMS) return true;
    }
    return false;
}

static bool integrate(const Problem *problem, double *chance)
{
    Path path = path_of(problem);
    if (!(path.scale > 0) || !isfinite(path.scale)) return false;
    double loud, more, step = 0.5, sum = 0.5 * term(problem, &path, 0, &loud);
    if (!isfinite(loud) || !sum_terms(problem, &path, step, step, loud, &more)) return false;
    sum += more;
    for (int i = 0; i < HALVINGS; i++) {
        double coarse = sum * step / pi;
        if (!sum_terms(problem, &path, step / 2, step, loud, &more)) return false;
        sum += more;
        step /= 2;
        if (fabs(sum * step / pi - coarse) > agree) continue;
        *chance = fmin(1, fmax(0, sum * step / pi + (path.through < 0 ? 1 : 0)));
        return true;
    }
    return false;
}

/* ------------------------------------------------------------------ the two questions */

static double fixed_stages(YieldStages stages)
{
    double sum = 0;
    for (size_t i = 0; i < stages.count; i++)
        if (stages.at[i].fixed) sum += log(stages.at[i].mean);
    return sum;
}

bool contour_chance(YieldStages stages, double stuck, double wanted, double *chance)
{
    Problem problem = {stages, wanted, stuck - wanted + 1, fixed_stages(stages)};
    return integrate(&problem, chance);
}

bool contour_share_at_least(YieldStages stages, double depth, double *chance)
{
    Problem problem = {stages, 0, 0, depth + fixed_stages(stages)};
    if (problem.linear <= 0) return *chance = 0, true;
    return integrate(&problem, chance);
}
