/* Arithmetic on ranges: each operation takes the ends that lie farthest apart; the class of the result is the
 * weaker. */
#include "analysis/judge_sum.h"

void judge_missing(Judging *judging, const Ref *ref, const Fact *fact)
{
    judging->overflowed = judging->overflowed || fact->uncomputed;
    if (fact->class == FACT_SPOILED || fact->uncomputed) {
        judging->reasons |= REASON_SPOILED;
        return;
    }
    const Field *missing = ref->field ? ref->field : fact->missing;
    judging->reasons |= REASON_UNSTATED;
    if (missing) fieldset_add(&judging->missing, missing);
}

Truth judge_reason(Judging *judging, FactClass class, Truth truth)
{
    if (truth == TRUTH_UNSURE)
        judging->reasons |= class == FACT_PERMITTED ? REASON_PERMITTED : REASON_UNCERTAIN;
    return truth;
}

static const SumValue nothing = {.class = FACT_NOTHING, .days = {{DAY_NONE, DAY_NONE, DAY_NONE}}};

static SumValue value_of_interval(Judging *judging, Interval interval, FactClass class)
{
    Interval *kept = ARENA_NEW(judging->source->passing, Interval);
    *kept = interval;
    SumValue value = nothing;
    value.class = class;
    value.numbers = (IntervalSet){kept, 1};
    return value;
}

static SumValue value_of_ref(Judging *judging, const Sum *sum, const Subject *subject)
{
    Fact fact = fact_of(judging->source, subject, &sum->ref);
    bool empty = sum->is_day ? fact.days.on[RUN_EARLY] == DAY_NONE : fact.numbers.count == 0;
    if (fact.class >= FACT_NOTHING || empty) {
        judge_missing(judging, &sum->ref, &fact);
        return nothing;
    }
    return (SumValue){fact.class, fact.numbers, fact.days};
}

static SumValue value_of_moment(Judging *judging, const Sum *sum, const Subject *subject)
{
    const Subject *batch = subject_at(subject, SCOPE_BATCH);
    const Schedule *schedule = batch && batch->context->protocol ? batch->context->protocol->schedule : NULL;
    for (size_t i = 0; schedule && batch->timeline && batch->timeline->dated && i < schedule->stage_count;
         i++) {
        if (schedule->stages[i].role != sum->role) continue;
        const StageDates *dates = &batch->timeline->stages[i];
        SumValue value = nothing;
        value.days = sum->edge == EDGE_END ? dates->end : dates->begin;
        value.class = value.days.on[RUN_EARLY] == value.days.on[RUN_LATE] ? FACT_POINT : FACT_UNCERTAIN;
        return value;
    }
    judging->reasons |= REASON_UNSTATED;
    bool dated = batch && batch->timeline && batch->timeline->dated;
    if (!dated) fieldset_add(&judging->missing, FIELD_ROW(STICK));
    return nothing;
}

/* An end of a limit stays a limit in a rule about batches: the batch has not chosen. Elsewhere the clause
 * itself is judged. */
static FactClass class_of_point(const Sum *sum, FactClass class)
{
    while (sum->kind == SUM_POINT) sum = sum->a;
    bool of_batch = sum->kind == SUM_REF && sum->ref.level == SCOPE_BATCH;
    return class == FACT_PERMITTED && of_batch ? FACT_PERMITTED : FACT_POINT;
}

/* An end that nobody states, as of "at least -2 C"; or that only time will tell. */
static void miss_end(Judging *judging, const Sum *of, const Subject *subject)
{
    Fact fact = {.class = FACT_NOTHING};
    if (of->kind == SUM_REF) fact = fact_of(judging->source, subject, &of->ref);
    if (fact.reading && fact.reading->type == TYPE_LASTS && length_waits(fact.reading)) {
        judging->reasons |= REASON_UNCERTAIN;
        return;
    }
    judging->reasons |= REASON_UNSTATED;
    if (of->kind == SUM_REF && of->ref.field) fieldset_add(&judging->missing, of->ref.field);
}

/* A range around a share: its own ends lie somewhere in it. */
static bool is_rough(const Judging *judging, const Sum *of)
{
    return judging->source->roughly && of->kind == SUM_REF && !of->ref.field &&
           (of->ref.derived == DERIVED_STANDING || of->ref.derived == DERIVED_SURVIVAL);
}

static SumValue value_of_point(Judging *judging, const Sum *sum, const Subject *subject)
{
    SumValue of = sum_value(judging, sum->a, subject);
    if (of.class >= FACT_NOTHING || is_rough(judging, sum->a)) return of;
    if (sum->is_day) {
        Run run = sum->point == POINT_EARLIEST  ? RUN_EARLY
                  : sum->point == POINT_PLANNED ? RUN_PLANNED
                                                : RUN_LATE;
        Day day = of.days.on[run];
        of.days = (Dates){{day, day, day}};
        of.class = FACT_POINT;
        return of;
    }
    Interval hull = intervals_hull(of.numbers);
    Number at, two_ends;
    bool known = sum->point == POINT_LOW    ? !hull.low.unbounded
                 : sum->point == POINT_HIGH ? !hull.high.unbounded
                                            : !hull.low.unbounded && !hull.high.unbounded;
    if (!known) {
        miss_end(judging, sum->a, subject);
        return nothing;
    }
    at = sum->point == POINT_LOW ? hull.low.at : hull.high.at;
    if (sum->point == POINT_MIDDLE &&
        (!number_add(hull.low.at, hull.high.at, &two_ends) || !number_divide(two_ends, NUMBER(2), &at))) {
        judging->overflowed = true;
        return nothing;
    }
    return value_of_interval(judging, interval_closed(at, at), class_of_point(sum->a, of.class));
}

typedef bool Operation(Number a, Number b, Number *out);

/* The hull of an operation over all pairs of ends. Unbounded ends give an unbounded result on both sides
 * where signs are mixed; adding keeps sides. */
static bool combine(Operation *operation, Interval a, Interval b, Interval *out)
{
    if (a.low.unbounded || a.high.unbounded || b.low.unbounded || b.high.unbounded) {
        *out = interval_everything();
        return true;
    }
    Number ends[4];
    if (!operation(a.low.at, b.low.at, &ends[0]) || !operation(a.low.at, b.high.at, &ends[1]) ||
        !operation(a.high.at, b.low.at, &ends[2]) || !operation(a.high.at, b.high.at, &ends[3]))
        return false;
    Number low = ends[0], high = ends[0];
    for (int i = 1; i < 4; i++) {
        if (number_compare(ends[i], low) < 0) low = ends[i];
        if (number_compare(ends[i], high) > 0) high = ends[i];
    }
    *out = interval_closed(low, high);
    return true;
}

enum { DAY_SECONDS = 86400 };

static SumValue days_between(Judging *judging, const SumValue *a, const SumValue *b, FactClass class)
{
    int64_t low = INT64_MAX, high = INT64_MIN;
    for (int run = 0; run < RUNS; run++) {
        int64_t seconds = (int64_t)(a->days.on[run] - b->days.on[run]) * DAY_SECONDS;
        if (seconds < low) low = seconds;
        if (seconds > high) high = seconds;
    }
    return value_of_interval(judging, interval_closed(NUMBER(low), NUMBER(high)),
                             low == high ? FACT_POINT : class);
}

static SumValue day_moved(Judging *judging, const SumValue *day, const SumValue *by, bool back,
                          FactClass class)
{
    Interval hull = intervals_hull(by->numbers);
    SumValue value = *day;
    value.class = class;
    if (hull.low.unbounded || hull.high.unbounded) return nothing;
    Number ends[2] = {back ? number_negate(hull.high.at) : hull.low.at,
                      back ? number_negate(hull.low.at) : hull.high.at};
    for (int run = 0; run < RUNS; run++) {
        Number days, seconds = run == RUN_EARLY  ? ends[0]
                               : run == RUN_LATE ? ends[1]
                                                 : (Number){ends[0].num / 2 + ends[1].num / 2, 1};
        if (!number_divide(seconds, NUMBER(DAY_SECONDS), &days)) {
            judging->overflowed = true;
            return nothing;
        }
        value.days.on[run] += (Day)number_floor(days);
    }
    return value;
}

static SumValue value_of_two(Judging *judging, const Sum *sum, const Subject *subject)
{
    SumValue a = sum_value(judging, sum->a, subject), b = sum_value(judging, sum->b, subject);
    FactClass class = a.class > b.class ? a.class : b.class;
    if (class >= FACT_NOTHING) return nothing;
    if (sum->a->is_day && sum->b->is_day) return days_between(judging, &a, &b, class);
    if (sum->is_day)
        return sum->a->is_day ? day_moved(judging, &a, &b, sum->kind == SUM_SUBTRACT, class)
                              : day_moved(judging, &b, &a, false, class);
    Interval y = intervals_hull(b.numbers), result;
    if (sum->kind == SUM_DIVIDE && interval_has(y, NUMBER(0))) return nothing;
    static Operation *const operations[] = {[SUM_ADD] = number_add,
                                            [SUM_SUBTRACT] = number_subtract,
                                            [SUM_MULTIPLY] = number_multiply,
                                            [SUM_DIVIDE] = number_divide};
    if (!combine(operations[sum->kind], intervals_hull(a.numbers), y, &result)) {
        judging->overflowed = true;
        judging->reasons |= REASON_SPOILED;
        return nothing;
    }
    return value_of_interval(judging, result, class);
}

SumValue sum_value(Judging *judging, const Sum *sum, const Subject *subject)
{
    switch (sum->kind) {
    case SUM_NUMBER: return value_of_interval(judging, interval_closed(sum->number, sum->number), FACT_POINT);
    case SUM_DAY: {
        SumValue value = nothing;
        value.class = FACT_POINT;
        value.days = (Dates){{sum->day, sum->day, sum->day}};
        return value;
    }
    case SUM_REF: return value_of_ref(judging, sum, subject);
    case SUM_POINT: return value_of_point(judging, sum, subject);
    case SUM_MOMENT: return value_of_moment(judging, sum, subject);
    case SUM_NEGATE: {
        SumValue of = sum_value(judging, sum->a, subject);
        if (of.class >= FACT_NOTHING) return of;
        Interval hull = intervals_hull(of.numbers), turned = hull;
        turned.low = hull.high;
        turned.high = hull.low;
        turned.low.at = number_negate(turned.low.at);
        turned.high.at = number_negate(turned.high.at);
        return value_of_interval(judging, turned, of.class);
    }
    case SUM_ADD:
    case SUM_SUBTRACT:
    case SUM_MULTIPLY:
    case SUM_DIVIDE: return value_of_two(judging, sum, subject);
    }
    return nothing;
}
