/* How full places are: see occupancy.h.
 *
 * For each place and kind of container the days keep by how much the number there changes, so that memory
 * grows with days and not with batches; shares are summed up when all batches are known.
 */
#include "analysis/occupancy.h"

#include "analysis/batch_size.h"
#include "analysis/thinning.h"
#include "base/vec.h"

#include <stdlib.h>

enum { DAYS_STEP = 256, YEAR_DAYS = 366 };

/* Changes of one number day by day. */
typedef struct Steps {
    Day base;
    int64_t *change;
    size_t room;
} Steps;

typedef struct Kind {
    const Block *container; /* NULL: rows of a bed */
    int64_t holds;
    Steps steps[CERTAINTIES];
} Kind;

typedef struct Filling {
    PlaceOccupancy result;
    VEC(Kind) kinds;
    VEC(OccupancyStay) stays;
    Day first, leave;
} Filling;

struct Occupancy {
    const FactSource *source;
    VEC(Filling *) places;
    VEC(OccupancyGap) gaps;
    PlaceOccupancy *results;
    Ledgers *ledgers; /* made when the first batch asks for them */
};

Occupancy *occupancy_new(const FactSource *source)
{
    Occupancy *occupancy = ARENA_NEW(source->lasting, Occupancy);
    occupancy->source = source;
    return occupancy;
}

/* ------------------------------------------------------------------ what fits */

static const Reading *said(const Block *block, const Field *field)
{
    const Clause *clause = field_stands_in(field, block->type->kind) ? block_clause(block, field) : NULL;
    return clause ? clause->reading : NULL;
}

/* Of two sides each: so many rows of so many; an area divided by an area would cut containers in two. */
static int64_t rows_of(const Number room[2], Number a, Number b)
{
    Number along, across;
    if (!number_divide(room[0], a, &along) || !number_divide(room[1], b, &across)) return 0;
    return number_floor(along) * number_floor(across);
}

static int64_t packed(const Reading *inside, const Reading *footprint)
{
    if (!inside || !footprint || inside->side_count < 2 || footprint->side_count < 2) return 0;
    int64_t one = rows_of(inside->sides, footprint->sides[0], footprint->sides[1]),
            other = rows_of(inside->sides, footprint->sides[1], footprint->sides[0]);
    return one > other ? one : other;
}

static int64_t row_of(const Block *place)
{
    const Reading *row = said(place, FIELD_ROW(ROW_LENGTH));
    return row && row->numbers.count ? number_floor(row->numbers.at[0].low.at) : 0;
}

bool place_can_be_filled(const Block *place)
{
    return said(place, FIELD_ROW(HOLDS)) || said(place, FIELD_ROW(INSIDE)) ||
           said(place, FIELD_ROW(ROW_LENGTH));
}

/* In the example of a rule a container has no name, and is any that the place holds. */
int64_t place_holds(const Block *place, const Block *container)
{
    if (!container) return row_of(place);
    for (const Clause *clause = place->clauses; clause; clause = clause->next) {
        if (clause->field != FIELD_ROW(HOLDS) || !clause->reading) continue;
        for (size_t i = 0; i < clause->reading->holding_count; i++)
            if (!container->name || clause->reading->holdings[i].container == container->name)
                return number_floor(clause->reading->holdings[i].count);
    }
    return packed(said(place, FIELD_ROW(INSIDE)), said(container, FIELD_ROW(FOOTPRINT)));
}

/* ------------------------------------------------------------------ days */

static void make_room(Arena *arena, Steps *steps, Day first, Day last)
{
    if (steps->room && first >= steps->base && last < steps->base + (Day)steps->room) return;
    Day low = steps->room && steps->base < first ? steps->base : first;
    Day high =
        steps->room && steps->base + (Day)steps->room > last ? steps->base + (Day)steps->room : last + 1;
    if (!steps->room || low < steps->base) low -= DAYS_STEP;
    high += DAYS_STEP;
    int64_t *change = ARENA_ARRAY(arena, int64_t, (size_t)(high - low));
    if (steps->room) memcpy(change + (steps->base - low), steps->change, steps->room * sizeof *change);
    *steps = (Steps){low, change, (size_t)(high - low)};
}

static void take_stretch(Arena *arena, Steps *steps, DayStretch stretch, int64_t trays)
{
    if (stretch.first >= stretch.leave) return;
    make_room(arena, steps, stretch.first, stretch.leave);
    steps->change[stretch.first - steps->base] += trays;
    steps->change[stretch.leave - steps->base] -= trays;
}

static int64_t change_on(const Steps *steps, Day day)
{
    return steps->room && day >= steps->base && day < steps->base + (Day)steps->room
               ? steps->change[day - steps->base]
               : 0;
}

/* ------------------------------------------------------------------ adding */

static Filling *filling_of(Occupancy *occupancy, const Block *place)
{
    for (size_t i = 0; i < occupancy->places.count; i++)
        if (occupancy->places.at[i]->result.place == place) return occupancy->places.at[i];
    Filling *filling = ARENA_NEW(occupancy->source->lasting, Filling);
    filling->result.place = place;
    filling->first = DAY_LAST;
    filling->leave = DAY_FIRST;
    VEC_PUSH(occupancy->source->lasting, &occupancy->places, filling);
    return filling;
}

static Kind *kind_of(Occupancy *occupancy, Filling *filling, const Block *container)
{
    for (size_t i = 0; i < filling->kinds.count; i++)
        if (filling->kinds.at[i].container == container) return &filling->kinds.at[i];
    Kind *kind = VEC_ADD(occupancy->source->lasting, &filling->kinds);
    kind->container = container;
    kind->holds = place_holds(filling->result.place, container);
    return kind;
}

/* What keeps a batch from being counted. */
typedef struct Missing {
    const char *text; /* NULL: nothing does */
    const Field *field;
} Missing;

static void add_gap(Occupancy *occupancy, const Subject *batch, const Block *place, Missing missing,
                    const Block *container)
{
    PlaceOccupancy *result = &filling_of(occupancy, place)->result;
    if (plan_cell(batch->plan, batch->row, missing.field) == &reading_spoiled)
        result->unread = true;
    else
        result->uncounted = missing.field;
    if (occupancy->gaps.count >= OCCUPANCY_STAYS) return;
    Name name = names_intern(occupancy->source->nursery->names, batch->plan->ids[batch->row]);
    VEC_PUSH(occupancy->source->lasting, &occupancy->gaps,
             ((OccupancyGap){name, place, missing.text, missing.field, container}));
}

static const Missing none_missing = {NULL, NULL};
static const Missing count_missing = {"its count", FIELD_ROW(COUNT_OF_BATCH)};

/* What a batch takes of a place. Gives what is not known of it. */
static Missing taken_containers(const BatchSize *size, int64_t taken[CERTAINTIES])
{
    for (int i = 0; i < CERTAINTIES; i++) taken[i] = size->trays;
    if (size->has_trays) return none_missing;
    return size->has_count ? (Missing){"how many cells its container has", FIELD_ROW(CELLS)} : count_missing;
}

static Missing taken_row(const FactSource *source, const Subject *batch, const BatchSize *size,
                         int64_t taken[CERTAINTIES])
{
    if (!size->has_count) return count_missing;
    Fact apart = fact_of(source, batch, &(Ref){.level = SCOPE_BATCH, .field = FIELD_ROW(APART)});
    Interval hull = apart.numbers.count ? intervals_hull(apart.numbers) : interval_everything();
    Number ends, row[CERTAINTIES], count = NUMBER(size->count);
    bool known = !hull.low.unbounded && !hull.high.unbounded &&
                 number_add(hull.low.at, hull.high.at, &ends) &&
                 number_multiply(count, hull.low.at, &row[CERTAINTY_SURE]) &&
                 number_multiply(count, hull.high.at, &row[CERTAINTY_PERHAPS]) &&
                 number_multiply(count, ends, &row[CERTAINTY_PLANNED]) &&
                 number_divide(row[CERTAINTY_PLANNED], NUMBER(2), &row[CERTAINTY_PLANNED]);
    for (int i = 0; known && i < CERTAINTIES; i++) taken[i] = number_ceil(row[i]);
    return known ? none_missing : (Missing){"how far apart they stand in the row", FIELD_ROW(APART)};
}

static void add_stay(Occupancy *occupancy, const Subject *batch, const Stay *stay,
                     const int64_t taken[CERTAINTIES])
{
    Arena *arena = occupancy->source->lasting;
    const Block *container = batch->context->container;
    Filling *filling = filling_of(occupancy, stay->place);
    Kind *kind = kind_of(occupancy, filling, container);
    if (!kind->holds) {
        add_gap(occupancy, batch, stay->place, (Missing){"how many it holds", FIELD_ROW(HOLDS)}, container);
        return;
    }
    const DayStretch stretches[CERTAINTIES] = {[CERTAINTY_SURE] = stay->sure,
                                               [CERTAINTY_PLANNED] = stay->planned,
                                               [CERTAINTY_PERHAPS] = stay->perhaps};
    for (int i = 0; i < CERTAINTIES; i++) take_stretch(arena, &kind->steps[i], stretches[i], taken[i]);
    if (stay->perhaps.first < filling->first) filling->first = stay->perhaps.first;
    if (stay->perhaps.leave > filling->leave) filling->leave = stay->perhaps.leave;
    filling->result.all_stays++;
    if (filling->stays.count >= OCCUPANCY_STAYS) return;
    OccupancyStay *kept = VEC_ADD(arena, &filling->stays);
    kept->batch = names_intern(occupancy->source->nursery->names, batch->plan->ids[batch->row]);
    kept->container = container;
    memcpy(kept->taken, taken, sizeof kept->taken);
    memcpy(kept->stretch, stretches, sizeof stretches);
}

static Day later_of(Day a, Day b)
{
    return a > b ? a : b;
}

static DayStretch between(DayStretch stretch, Day first, Day leave)
{
    return (DayStretch){later_of(stretch.first, first), leave < stretch.leave ? leave : stretch.leave};
}

/* A stay in parts: from each day on which containers come free with what is left of them. */
static void add_thinned(Occupancy *occupancy, const Subject *batch, const Stay *stay,
                        const Thinning *thinnings, size_t count, const int64_t taken[CERTAINTIES])
{
    Dates first = {{DAY_FIRST, DAY_FIRST, DAY_FIRST}};
    int64_t left[CERTAINTIES] = {taken[0], taken[1], taken[2]};
    for (size_t k = 0; k <= count; k++) {
        const Dates leave = k < count ? thinnings[k].from : (Dates){{DAY_LAST, DAY_LAST, DAY_LAST}};
        Stay part = {.place = stay->place,
                     .sure = between(stay->sure, first.on[RUN_EARLY], leave.on[RUN_EARLY]),
                     .planned = between(stay->planned, first.on[RUN_PLANNED], leave.on[RUN_PLANNED]),
                     .perhaps = between(stay->perhaps, first.on[RUN_LATE], leave.on[RUN_LATE])};
        bool any = part.perhaps.first < part.perhaps.leave || part.planned.first < part.planned.leave;
        if (any) add_stay(occupancy, batch, &part, left);
        if (k == count) break;
        const int64_t stays[CERTAINTIES] = {[CERTAINTY_SURE] = thinnings[k].fewest,
                                            [CERTAINTY_PLANNED] = thinnings[k].mean,
                                            [CERTAINTY_PERHAPS] = thinnings[k].most};
        for (int i = 0; i < CERTAINTIES; i++)
            if (stays[i] < left[i]) left[i] = stays[i];
        first = leave;
    }
}

static const Ledgers *ledgers_of(Occupancy *occupancy)
{
    if (!occupancy->ledgers)
        occupancy->ledgers = ledgers_new(occupancy->source->lasting, occupancy->source->nursery);
    return occupancy->ledgers;
}

/* The day before which a batch was part of another: what it was split off or stuck again from. DAY_FIRST
 * where it was not. */
static Day came_on(Occupancy *occupancy, const Subject *batch)
{
    const Nursery *nursery = occupancy->source->nursery;
    if (!batch->plan || !nursery->lists[BLOCK_RECORD].count) return DAY_FIRST;
    for (const RecordLine *line = batch->record ? batch->record->lines : NULL; line; line = line->next)
        if (line->verb == VERB_STUCK) return DAY_FIRST;
    size_t count;
    Name name = names_find(nursery->names, batch->plan->ids[batch->row]);
    const LedgerTransfer *came = ledgers_came(ledgers_of(occupancy), name, &count);
    return count ? came->line->day : DAY_FIRST;
}

void occupancy_add(Occupancy *occupancy, const Subject *batch)
{
    size_t count;
    const Stay *stays = stays_of(occupancy->source, batch, &count);
    if (!count) return;
    BatchSize size = batch_size(batch);
    bool contained = batch->context->container;
    size_t thinned = 0;
    const Thinning *thinnings =
        contained && batch->context->protocol->schedule->closes_up
            ? thinnings_of(occupancy->source, ledgers_of(occupancy), batch, &size, &thinned)
            : NULL;
    Day came = came_on(occupancy, batch);
    for (size_t i = 0; i < count; i++) {
        int64_t taken[CERTAINTIES];
        Stay stay = {.place = stays[i].place,
                     .sure = between(stays[i].sure, came, DAY_LAST),
                     .planned = between(stays[i].planned, came, DAY_LAST),
                     .perhaps = between(stays[i].perhaps, came, DAY_LAST)};
        Missing missing = contained                ? taken_containers(&size, taken)
                          : row_of(stays[i].place) ? taken_row(occupancy->source, batch, &size, taken)
                                                   : (Missing){"its container", FIELD_ROW(INTO)};
        if (missing.text)
            add_gap(occupancy, batch, stays[i].place, missing, NULL);
        else
            add_thinned(occupancy, batch, &stay, thinnings, thinned, taken);
    }
}

/* ------------------------------------------------------------------ shares */

/* Shares of one day, from the numbers there; an overflow counts as far over full. */
static void share_of(const Filling *filling, const int64_t *there, Number share[CERTAINTIES])
{
    for (int i = 0; i < CERTAINTIES; i++) {
        share[i] = NUMBER(0);
        for (size_t k = 0; k < filling->kinds.count; k++) {
            Number part, sum;
            if (!filling->kinds.at[k].holds || !there[k * CERTAINTIES + (size_t)i]) continue;
            bool fits = number_divide(NUMBER(there[k * CERTAINTIES + (size_t)i]),
                                      NUMBER(filling->kinds.at[k].holds), &part) &&
                        number_add(share[i], part, &sum);
            share[i] = fits ? sum : NUMBER(INT32_MAX);
        }
    }
}

static void make_spans(Arena *arena, Filling *filling)
{
    VEC(OccupancySpan) spans = {0};
    int64_t *there = ARENA_ARRAY(arena, int64_t, filling->kinds.count * CERTAINTIES);
    for (Day day = filling->first; day < filling->leave; day++) {
        bool changed = day == filling->first;
        for (size_t k = 0; k < filling->kinds.count; k++)
            for (size_t i = 0; i < CERTAINTIES; i++) {
                int64_t change = change_on(&filling->kinds.at[k].steps[i], day);
                there[k * CERTAINTIES + i] += change;
                changed = changed || change;
            }
        if (changed) {
            OccupancySpan *span = VEC_ADD(arena, &spans);
            span->first = day;
            share_of(filling, there, span->share);
        }
        spans.at[spans.count - 1].leave = day + 1;
    }
    filling->result.spans = spans.at;
    filling->result.span_count = spans.count;
    filling->result.stays = filling->stays.at;
    filling->result.stay_count = filling->stays.count;
}

static int by_name(const void *a, const void *b)
{
    const PlaceOccupancy *x = a, *y = b;
    return slice_compare(name_slice(x->place->name), name_slice(y->place->name));
}

const PlaceOccupancy *occupancy_places(Occupancy *occupancy, size_t *count)
{
    Arena *arena = occupancy->source->lasting;
    *count = occupancy->places.count;
    if (occupancy->results) return occupancy->results;
    occupancy->results = ARENA_ARRAY(arena, PlaceOccupancy, *count);
    for (size_t i = 0; i < *count; i++) {
        make_spans(arena, occupancy->places.at[i]);
        occupancy->results[i] = occupancy->places.at[i]->result;
    }
    if (*count) qsort(occupancy->results, *count, sizeof *occupancy->results, by_name);
    return occupancy->results;
}

const OccupancyGap *occupancy_gaps(const Occupancy *occupancy, size_t *count)
{
    *count = occupancy->gaps.count;
    return occupancy->gaps.at;
}

/* ------------------------------------------------------------------ the fullest day */

bool occupancy_fullest(const PlaceOccupancy *place, Certainty certainty, Number *share, Day *day)
{
    for (size_t i = 0; i < place->span_count; i++) {
        const OccupancySpan *span = &place->spans[i];
        if (i && number_compare(span->share[certainty], *share) <= 0) continue;
        *share = span->share[certainty];
        *day = span->first;
    }
    return place->span_count > 0;
}

static bool is_there(const OccupancyStay *stay, Certainty certainty, Day day)
{
    return stay->stretch[certainty].first <= day && day < stay->stretch[certainty].leave;
}

const char *occupancy_names(Arena *arena, const PlaceOccupancy *place, Certainty certainty, Day day)
{
    enum { NAMES_TOLD = 4 };
    const char *names = "";
    size_t count = 0;
    for (size_t i = 0; i < place->stay_count; i++) {
        if (!is_there(&place->stays[i], certainty, day) || count++ >= NAMES_TOLD) continue;
        names = arena_print(arena, "%s%s%s", names, *names ? ", " : "", place->stays[i].batch->text);
    }
    return count > NAMES_TOLD ? arena_print(arena, "%s and %zu more", names, count - NAMES_TOLD) : names;
}

/* ------------------------------------------------------------------ over full */

static bool is_over(Number share)
{
    return number_compare(share, NUMBER(1)) > 0;
}

/* Who came last has to look for another day. */
static const OccupancyStay *last_come(const PlaceOccupancy *place, Certainty certainty, Day day)
{
    const OccupancyStay *last = NULL;
    if (place->all_stays > place->stay_count) return NULL;
    for (size_t i = 0; i < place->stay_count; i++) {
        const OccupancyStay *stay = &place->stays[i];
        if (is_there(stay, certainty, day) &&
            (!last || stay->stretch[CERTAINTY_PLANNED].first >= last->stretch[CERTAINTY_PLANNED].first))
            last = stay;
    }
    return last;
}

/* Whether beside the others there is room on all of so many days. */
static bool has_room(const PlaceOccupancy *place, const OccupancyStay *mover, Certainty certainty,
                     DayStretch wanted, Number needed)
{
    for (size_t i = 0; i < place->span_count; i++) {
        const OccupancySpan *span = &place->spans[i];
        if (span->leave <= wanted.first || span->first >= wanted.leave) continue;
        /* a span is one piece also for the mover: where it comes or goes another begins */
        Number share = span->share[certainty], sum;
        if (is_there(mover, certainty, span->first) && !number_subtract(share, needed, &share)) return false;
        if (!number_add(share, needed, &sum) || is_over(sum)) return false;
    }
    return true;
}

static Day first_fit(const PlaceOccupancy *place, const OccupancyStay *mover, Certainty certainty)
{
    Number needed;
    Day begin = mover->stretch[certainty].first, days = mover->stretch[certainty].leave - begin;
    int64_t holds = place_holds(place->place, mover->container);
    if (!holds || !number_divide(NUMBER(mover->taken[certainty]), NUMBER(holds), &needed) || is_over(needed))
        return DAY_NONE;
    for (Day day = begin + 1; day <= begin + YEAR_DAYS; day++)
        if (has_room(place, mover, certainty, (DayStretch){day, day + days}, needed)) return day;
    return DAY_NONE;
}

bool occupancy_over(const PlaceOccupancy *place, OverFull *over)
{
    static const Certainty order[] = {CERTAINTY_SURE, CERTAINTY_PERHAPS};
    for (size_t k = 0; k < sizeof order / sizeof *order; k++) {
        Certainty certainty = order[k];
        *over = (OverFull){
            .at = place, .certainty = certainty, .first = DAY_NONE, .worst = DAY_NONE, .fits = DAY_NONE};
        for (size_t i = 0; i < place->span_count; i++) {
            const OccupancySpan *span = &place->spans[i];
            if (!is_over(span->share[certainty])) continue;
            over->days += (size_t)(span->leave - span->first);
            if (over->first == DAY_NONE) {
                over->first = span->first;
                over->leave = span->leave;
            } else if (over->leave == span->first) {
                over->leave = span->leave;
            }
            if (over->worst != DAY_NONE && number_compare(span->share[certainty], over->share) <= 0) continue;
            over->worst = span->first;
            over->share = span->share[certainty];
        }
        if (!over->days) continue;
        over->last = last_come(place, certainty, over->first);
        if (over->last) over->fits = first_fit(place, over->last, certainty);
        return true;
    }
    return false;
}
