/* Survivals from losses, and a memory of what was worked out from them: see outlook.h. */
#include "analysis/outlook.h"

#include "base/vec.h"

enum { OUTLOOK_SLOTS = 256, FIGURE_SLOTS = 16384, FIGURE_PROBES = 8, LATEST_SLOTS = 1024 };

static const double TWENTIETH = 0.05;

typedef struct Kept {
    const Protocol *protocol;
    const Reading *rate; /* of the variety; NULL */
    Outlook outlook;
} Kept;

/* A chance, or with nothing stuck the number that it takes. Where all slots are taken the first gives
 * way. */
enum { NOTHING_STUCK = -1 };
typedef struct Figure {
    const Outlook *outlook;
    int64_t stuck, wanted;
    YieldStatus status;
    double chance;
    int64_t needed;
} Figure;

typedef struct Latest {
    const Schedule *schedule;
    const Calendar *calendar;
    Day by, day;
} Latest;

struct Outlooks {
    Arena *lasting;
    VEC(Kept *) slots[OUTLOOK_SLOTS];
    Figure *figures; /* NULL until one is asked for */
    Latest *latest;
};

Outlooks *outlooks_new(Arena *lasting)
{
    Outlooks *outlooks = ARENA_NEW(lasting, Outlooks);
    outlooks->lasting = lasting;
    return outlooks;
}

Number nursery_sure(const Nursery *nursery)
{
    const Clause *clause = nursery->self ? block_clause(nursery->self, FIELD_ROW(SURE)) : NULL;
    if (clause && clause->reading && clause->reading->numbers.count)
        return clause->reading->numbers.at[0].low.at;
    return (Number){9, 10};
}

/* ------------------------------------------------------------------ stages */

/* A rate of "rooted" speaks of all up to the last stage whose role it is named after. -1: the protocol has
 * none. */
static int stage_of_rate(const Protocol *protocol, Name rated)
{
    int found = -1;
    for (size_t i = 0; i < protocol->stage_count; i++) {
        const StagePlan *plan = &protocol->schedule->stages[i];
        Name role = plan->role ? plan->role : plan->name;
        if (rated && slice_starts(name_slice(rated), role->text)) found = (int)i;
    }
    return found;
}

static const Reading *rate_of(const Context *context)
{
    const Clause *clause = context->variety ? block_clause(context->variety, FIELD_ROW(RATE)) : NULL;
    return clause && clause->reading && !clause->reading->unknown && clause->reading->numbers.count
               ? clause->reading
               : NULL;
}

/* The survivals of an outlook while it is made; there is room for all stages. */
typedef struct Ahead {
    Arena *arena;
    Survival *survivals;
    const char **names;
    Outlook *outlook;
} Ahead;

static void add(Ahead *ahead, const char *name, Survival survival, Interval share)
{
    size_t at = ahead->outlook->stages.count++;
    if (at == 0) ahead->outlook->first = share;
    ahead->survivals[at] = survival;
    ahead->names[at] = name;
}

static void end_before(Ahead *ahead, const char *missing, const Field *field)
{
    ahead->outlook->missing = missing;
    ahead->outlook->missing_field = field;
}

/* A range of shares with ends of its own, and what is left when so much is lost. */
static Interval bounded(Interval share)
{
    return interval_closed(share.low.unbounded ? NUMBER(0) : share.low.at,
                           share.high.unbounded ? NUMBER(1) : share.high.at);
}

static Interval left_of(Interval lost)
{
    Number least = NUMBER(0), most = NUMBER(1);
    Interval losses = bounded(lost);
    bool fits = number_subtract(NUMBER(1), losses.high.at, &least) &&
                number_subtract(NUMBER(1), losses.low.at, &most);
    return fits ? interval_closed(least, most) : interval_closed(NUMBER(0), NUMBER(1));
}

/* false: it ends here. */
static bool add_stage(Ahead *ahead, const Protocol *protocol, size_t index)
{
    const Clause *losses = block_limit(protocol->stages[index], FIELD_ROW(LOSSES));
    const char *name = protocol->stages[index]->name->text;
    Survival survival;
    if (!losses || !losses->reading || !losses->reading->numbers.count) {
        end_before(ahead, arena_print(ahead->arena, "the losses of %s in %s", name, protocol->name->text),
                   losses ? NULL : FIELD_ROW(LOSSES));
        return false;
    }
    Interval lost = intervals_hull(losses->reading->numbers);
    if (survival_of_losses(lost, &survival) == SURVIVAL_REFUSED) {
        end_before(ahead, arena_print(ahead->arena, "losses of %s that can be", name), NULL);
        return false;
    }
    add(ahead, name, survival, left_of(lost));
    return true;
}

static void add_stages(Ahead *ahead, const Context *context, const Reading *rate)
{
    const Protocol *protocol = context->protocol;
    int rated = rate ? stage_of_rate(protocol, rate->per) : -1;
    Survival survival;
    if (rated >= 0 && survival_of_rate(intervals_hull(rate->numbers), &survival) == SURVIVAL_REFUSED) {
        end_before(ahead, arena_print(ahead->arena, "a rate of %s that can be", context->variety->name->text),
                   NULL);
        return;
    }
    if (rated >= 0) {
        ahead->outlook->skipped = (size_t)rated;
        add(ahead, protocol->stages[rated]->name->text, survival, bounded(intervals_hull(rate->numbers)));
    }
    for (size_t i = (size_t)(rated + 1); i < protocol->stage_count; i++)
        if (!add_stage(ahead, protocol, i)) return;
    if (!protocol->stage_count)
        end_before(ahead, arena_print(ahead->arena, "any stage in %s", protocol->name->text),
                   FIELD_ROW(LOSSES));
}

static Outlook make_outlook(Arena *arena, const Context *context, const Reading *rate)
{
    Outlook outlook = {0};
    Ahead ahead = {.arena = arena, .outlook = &outlook};
    ahead.survivals = ARENA_ARRAY(arena, Survival, context->protocol->stage_count);
    ahead.names = ARENA_ARRAY(arena, const char *, context->protocol->stage_count);
    add_stages(&ahead, context, rate);
    outlook.stages.at = ahead.survivals;
    outlook.names = ahead.names;
    return outlook;
}

Outlook *outlook_of(const FactSource *source, const Context *context)
{
    Outlooks *outlooks = source->outlooks;
    const Reading *rate = rate_of(context);
    Arena *arena = outlooks ? outlooks->lasting : source->passing;
    size_t slot = ((uintptr_t)context->protocol >> 4) % OUTLOOK_SLOTS;
    for (size_t i = 0; outlooks && i < outlooks->slots[slot].count; i++) {
        Kept *known = outlooks->slots[slot].at[i];
        if (known->protocol == context->protocol && known->rate == rate) return &known->outlook;
    }
    Kept *kept = ARENA_NEW(arena, Kept);
    *kept = (Kept){context->protocol, rate, make_outlook(arena, context, rate)};
    if (outlooks) VEC_PUSH(arena, &outlooks->slots[slot], kept);
    return &kept->outlook;
}

size_t outlook_stages_of(const Outlook *outlook, const Protocol *protocol, Slice measure)
{
    const Schedule *schedule = protocol->schedule;
    size_t last = 0;
    for (size_t i = 0; schedule && i < schedule->stage_count; i++) {
        const StagePlan *stage = &schedule->stages[i];
        if (!slice_starts(measure, (stage->role ? stage->role : stage->name)->text)) continue;
        for (size_t k = 0; k < outlook->stages.count; k++)
            if (slice_is(name_slice(stage->name), outlook->names[k])) last = k + 1;
    }
    return last;
}

const OutlookStage *outlook_share(const FactSource *source, Outlook *outlook, size_t index)
{
    Arena *arena = source->outlooks ? source->outlooks->lasting : source->passing;
    if (!outlook->shares) outlook->shares = ARENA_ARRAY(arena, OutlookStage, outlook->stages.count);
    OutlookStage *stage = &outlook->shares[index];
    if (stage->name) return stage;
    YieldStages so_far = {outlook->stages.at, index + 1};
    *stage = (OutlookStage){.name = outlook->names[index], .mean = yield_share_mean(so_far)};
    if (yield_share_point(so_far, TWENTIETH, &stage->low) != YIELD_COMPUTED) stage->low = stage->mean;
    if (yield_share_point(so_far, 1 - TWENTIETH, &stage->high) != YIELD_COMPUTED) stage->high = stage->mean;
    return stage;
}

const OutlookStage *outlook_shares(const FactSource *source, Outlook *outlook)
{
    for (size_t i = 0; i < outlook->stages.count; i++) outlook_share(source, outlook, i);
    return outlook->shares;
}

/* The share of all lies below the product of points only if one of them lies below its own: with a twentieth
 * shared out among them that happens in less than one of twenty batches. */
void outlook_share_bounds(const Outlook *outlook, size_t index, double *least, double *most)
{
    double part = TWENTIETH / (double)(index + 1);
    *least = *most = 1;
    for (size_t i = 0; i <= index; i++) {
        const Survival *stage = &outlook->stages.at[i];
        double best = survival_point(stage, 1 - TWENTIETH);
        *least *= survival_point(stage, part);
        if (best < *most) *most = best;
    }
}

/* ------------------------------------------------------------------ figures */

static size_t mixed(uint64_t a, uint64_t b, uint64_t c, size_t slots)
{
    uint64_t all = (a * 1000003U + b) * 1000003U + c;
    return (size_t)((all ^ all >> 29) % slots);
}

/* Where a figure is remembered; *known: it is. NULL without a memory. */
static Figure *figure_of(Outlooks *outlooks, const Outlook *outlook, int64_t stuck, int64_t wanted,
                         bool *known)
{
    *known = false;
    if (!outlooks) return NULL;
    if (!outlooks->figures) outlooks->figures = ARENA_ARRAY(outlooks->lasting, Figure, FIGURE_SLOTS);
    size_t first = mixed((uintptr_t)outlook >> 4, (uint64_t)stuck, (uint64_t)wanted, FIGURE_SLOTS);
    for (size_t i = 0; i < FIGURE_PROBES; i++) {
        Figure *at = &outlooks->figures[(first + i) % FIGURE_SLOTS];
        *known = at->outlook == outlook && at->stuck == stuck && at->wanted == wanted;
        if (*known || !at->outlook) return at;
    }
    return &outlooks->figures[first];
}

YieldStatus outlook_chance(const FactSource *source, const Outlook *outlook, int64_t stuck, int64_t wanted,
                           double *chance)
{
    bool known;
    Figure *figure = figure_of(source->outlooks, outlook, stuck, wanted, &known);
    if (known) return *chance = figure->chance, figure->status;
    YieldBatch batch = yield_batch(outlook->stages, stuck);
    *chance = 0;
    YieldStatus status = yield_chance(&batch, wanted, chance);
    if (figure) *figure = (Figure){outlook, stuck, wanted, status, *chance, 0};
    return status;
}

YieldStatus outlook_needed(const FactSource *source, const Outlook *outlook, int64_t wanted, int64_t *needed)
{
    bool known;
    Figure *figure = figure_of(source->outlooks, outlook, NOTHING_STUCK, wanted, &known);
    if (known) return *needed = figure->needed, figure->status;
    *needed = 0;
    YieldStatus status = yield_needed(outlook->stages, wanted, nursery_sure(source->nursery), needed);
    if (figure) *figure = (Figure){outlook, NOTHING_STUCK, wanted, status, 0, *needed};
    return status;
}

/* ------------------------------------------------------------------ days */

static Day latest_of(Arena *passing, const Context *context, Day by)
{
    static const Dates nothing = {{DAY_NONE, DAY_NONE, DAY_NONE}};
    TimelineInput input = {.take = nothing,
                           .stick = nothing,
                           .stuck = DAY_NONE,
                           .wanted_by = by,
                           .ended = DAY_NONE,
                           .today = DAY_NONE};
    Timeline timeline = timeline_make(passing, context->protocol->schedule, context->calendar, &input);
    return timeline.dated ? timeline.stick.on[RUN_LATE] : DAY_NONE;
}

Day outlook_latest(const FactSource *source, const Context *context, Day by)
{
    Outlooks *outlooks = source->outlooks;
    const Schedule *schedule = context->protocol->schedule;
    if (by == DAY_NONE || !schedule) return DAY_NONE;
    if (!outlooks) return latest_of(source->passing, context, by);
    if (!outlooks->latest) outlooks->latest = ARENA_ARRAY(outlooks->lasting, Latest, LATEST_SLOTS);
    Latest *latest = &outlooks->latest[mixed((uintptr_t)schedule >> 4, (uintptr_t)context->calendar >> 4,
                                             (uint32_t)by, LATEST_SLOTS)];
    if (latest->schedule != schedule || latest->calendar != context->calendar || latest->by != by)
        *latest = (Latest){schedule, context->calendar, by, latest_of(source->passing, context, by)};
    return latest->day;
}
