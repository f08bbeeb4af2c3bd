/* Records beside promises: see review.h. */
#include "analysis/review.h"

#include "analysis/context.h"
#include "analysis/outlook.h"
#include "analysis/stays.h"
#include "base/vec.h"

#include <stdlib.h>

static const double TWENTIETH = 0.05;

/* One measure of one group while batches come. */
typedef struct Gathered {
    VEC(Tally) tallies;
    PromiseTrial trial;
    size_t left_out, lost, given_up; /* as in a figure */
    int64_t lost_stuck;
    bool mixed;          /* varieties promise different things: none of them is that of all */
    YieldStages promise; /* of the last batch */
} Gathered;

typedef struct Group {
    ReviewGroup told;
    Gathered gathered[REVIEW_MEASURES];
} Group;

/* What stages promise; groups of one protocol share it, and its points take milliseconds. */
typedef struct Promised {
    YieldStages stages;
    double mean, low, high;
} Promised;

struct Review {
    Arena *arena;
    Nursery *nursery;
    ReviewAsked asked;
    Ledgers *ledgers;
    Promised promised[REVIEW_MEASURES]; /* the last that was worked out */
    size_t unrecorded;
    VEC(Group) groups;
};

Review *review_new(Arena *arena, Nursery *nursery, const ReviewAsked *asked)
{
    Review *review = ARENA_NEW(arena, Review);
    *review =
        (Review){.arena = arena, .nursery = nursery, .asked = *asked, .ledgers = ledgers_new(arena, nursery)};
    return review;
}

size_t review_unrecorded(const Review *review)
{
    return review->unrecorded;
}

/* ------------------------------------------------------------------ into which group */

/* The version of a protocol that stood on a day; NULL: it is from before all that is kept. */
static const ReviewVersion *version_on(const Review *review, Name protocol, Day day)
{
    const ReviewVersion *stood = NULL;
    for (size_t i = 0; i < review->asked.versions.count; i++) {
        const ReviewVersion *version = &review->asked.versions.at[i];
        if (version->protocol == protocol && version->since <= day) stood = version;
    }
    return stood;
}

static const char *value_of(const Review *review, const SurveyBatch *batch, const ReviewVersion *version,
                            Day stuck)
{
    const Subject *subject = batch->subject;
    Name place;
    switch (review->asked.by) {
    case REVIEW_BY_YEAR: return arena_print(review->arena, "%d", day_year(stuck));
    case REVIEW_BY_PLACE:
        place = batch->dated ? stay_on(subject, stuck).place : NULL;
        return place ? place->text : "somewhere";
    case REVIEW_BY_PLANT:
        return context_plant(review->arena, subject->context,
                             plan_cell(subject->plan, subject->row, FIELD_ROW(PLANT_OF_BATCH)));
    case REVIEW_BY_VERSION: return version ? version->label : "(earlier)";
    case REVIEW_BY_PROTOCOL:
    case REVIEW_BYS: break;
    }
    return "";
}

static Group *group_of(Review *review, const Protocol *protocol, const char *value)
{
    for (size_t i = 0; i < review->groups.count; i++) {
        Group *group = &review->groups.at[i];
        if (group->told.protocol == protocol && slice_is(slice_of(value), group->told.value)) return group;
    }
    Group *group = VEC_ADD(review->arena, &review->groups);
    *group = (Group){.told = {.protocol = protocol, .value = value}};
    return group;
}

/* ------------------------------------------------------------------ what a batch came to */

/* Those stuck that had not gone on as another batch by the day before. */
static int64_t stuck_less_split(const Review *review, const FactSource *source, const SurveyBatch *batch,
                                const Ledger *ledger, Day counted)
{
    Name name = names_find(review->nursery->names, batch->id);
    Ledger then = ledger_of(review->ledgers, source->passing, name, batch->subject->record, counted - 1);
    return ledger->stuck - then.split;
}

/* The full count that found most rooted: before it they root, behind it they die. NULL: there is none. */
static const RecordLine *rooted_count(const Block *record, Day today, int64_t *rooted)
{
    const RecordLine *best = NULL;
    for (const RecordLine *line = record ? record->lines : NULL; line && line->day <= today;
         line = line->next) {
        if (line->verb != VERB_COUNTED) continue;
        bool named;
        int64_t sum = record_sum(line, CLASS_ROOTED, &named);
        if (!named || (best && sum <= *rooted)) continue;
        best = line;
        *rooted = sum;
    }
    return best;
}

static bool is_given_up(const Ledger *ledger)
{
    return ledger->ended && ledger->ended->verb == VERB_ABANDONED;
}

static bool tally_of(const Review *review, const FactSource *source, const SurveyBatch *batch,
                     const Ledger *ledger, ReviewMeasure measure, Tally *tally)
{
    if (measure == REVIEW_ROOTED) {
        const RecordLine *count = rooted_count(batch->subject->record, batch->today, &tally->hits);
        if (!count) return false;
        tally->of = stuck_less_split(review, source, batch, ledger, count->day);
    } else {
        if (!ledger->ended || ledger->alive.basis == LEDGER_UNKNOWN) return false;
        tally->hits = is_given_up(ledger) ? 0 : ledger->alive.count + ledger->sold;
        tally->of = ledger->stuck - ledger->split;
    }
    return tally->of > 0 && tally->hits >= 0 && tally->hits <= tally->of;
}

YieldStages review_promise(const Outlook *outlook, const Protocol *protocol, ReviewMeasure measure)
{
    size_t count = measure == REVIEW_ROOTED ? outlook_stages_of(outlook, protocol, SLICE("rooted"))
                                            : (outlook->missing ? 0 : outlook->stages.count);
    return (YieldStages){outlook->stages.at, count};
}

static void take_promise(const FactSource *source, const SurveyBatch *batch, const ReviewVersion *version,
                         ReviewMeasure measure, Tally tally, Gathered *gathered)
{
    const Context *context = batch->subject->context;
    YieldStages promise = version ? version->promise[measure]
                                  : review_promise(outlook_of(source, context), context->protocol, measure);
    if (gathered->promise.at && gathered->promise.at != promise.at) gathered->mixed = true;
    gathered->promise = promise;
    if (promise.count) promise_try(&gathered->trial, promise, tally);
}

static void leave_out(Gathered *gathered, const Ledger *ledger)
{
    gathered->left_out++;
    if (!is_given_up(ledger)) return;
    gathered->lost++;
    gathered->lost_stuck += ledger->stuck;
}

void review_batch(void *to, const FactSource *source, const SurveyBatch *batch)
{
    Review *review = to;
    Name name = names_find(review->nursery->names, batch->id);
    Ledger ledger = ledger_of(review->ledgers, source->passing, name, batch->subject->record, batch->today);
    if (ledger.began == DAY_NONE || !ledger.stuck) {
        review->unrecorded++;
        return;
    }
    if (review->asked.season && day_year(ledger.began) != review->asked.season) return;
    const ReviewVersion *version = version_on(review, batch->subject->context->protocol->name, ledger.began);
    const char *value = value_of(review, batch, version, ledger.began);
    Group *group = group_of(review, batch->subject->context->protocol, value);
    group->told.batches++;
    group->told.stuck += ledger.stuck;
    for (int measure = 0; measure < REVIEW_MEASURES; measure++) {
        Gathered *gathered = &group->gathered[measure];
        Tally tally;
        if (!tally_of(review, source, batch, &ledger, (ReviewMeasure)measure, &tally)) {
            leave_out(gathered, &ledger);
            continue;
        }
        if (measure == REVIEW_FINISHED && is_given_up(&ledger)) gathered->given_up++;
        VEC_PUSH(review->arena, &gathered->tallies, tally);
        bool unknown = review->asked.by == REVIEW_BY_VERSION && !version; /* what was promised then */
        if (!unknown) take_promise(source, batch, version, (ReviewMeasure)measure, tally, gathered);
    }
}

/* ------------------------------------------------------------------ what they say together */

static const Promised *promised_of(Promised *last, YieldStages stages)
{
    if (last->stages.at == stages.at && last->stages.count == stages.count) return last;
    *last = (Promised){.stages = stages, .mean = yield_share_mean(stages)};
    last->low = last->high = last->mean;
    yield_share_point(stages, TWENTIETH, &last->low);
    yield_share_point(stages, 1 - TWENTIETH, &last->high);
    return last;
}

static void weigh(Review *review, const Group *group, int measure, ReviewFigure *figure)
{
    const Gathered *gathered = &group->gathered[measure];
    double level, outside;
    figure->left_out = gathered->left_out;
    figure->lost = gathered->lost;
    figure->lost_stuck = gathered->lost_stuck;
    figure->given_up = gathered->given_up;
    figure->spread = spread_of(review->arena, gathered->tallies.at, gathered->tallies.count);
    if (!figure->spread.batches) return;
    figure->bounds = proportion_interval(figure->spread.total, figure->spread.effect, REVIEW_SURE);
    figure->verdict = promise_verdict(&gathered->trial, &level, &outside);
    figure->chance = level < outside ? level : outside;
    figure->supported = promise_supported(&figure->spread, &figure->range);
    figure->held = gathered->trial.batches;
    figure->judged = gathered->promise.count > 0;
    figure->promised = figure->judged && !gathered->mixed;
    if (!figure->promised) return;
    const Promised *promised = promised_of(&review->promised[measure], gathered->promise);
    figure->promised_mean = promised->mean;
    figure->promised_low = promised->low;
    figure->promised_high = promised->high;
}

static void compare(const ReviewGroup *beside, const char *name, ReviewGroup *group)
{
    group->beside = name;
    for (int measure = 0; measure < REVIEW_MEASURES; measure++) {
        ReviewFigure *figure = &group->figures[measure];
        const ReviewFigure *other = &beside->figures[measure];
        if (!figure->spread.batches || !other->spread.batches) continue;
        figure->compared = true;
        figure->points = tally_share(figure->spread.total) - tally_share(other->spread.total);
        figure->difference = proportion_difference(figure->spread.total, figure->spread.effect,
                                                   other->spread.total, other->spread.effect, REVIEW_SURE);
    }
}

static int in_order(const void *a, const void *b)
{
    const ReviewGroup *x = &((const Group *)a)->told, *y = &((const Group *)b)->told;
    int order = slice_compare(name_slice(x->protocol->name), name_slice(y->protocol->name));
    return order ? order : slice_compare(slice_of(x->value), slice_of(y->value));
}

/* Each with the one before it of its protocol. */
static void compare_neighbours(ReviewGroup *groups, size_t count)
{
    for (size_t i = 1; i < count; i++)
        if (groups[i - 1].protocol == groups[i].protocol)
            compare(&groups[i - 1], groups[i - 1].value, &groups[i]);
}

/* Each with that of the other protocol with the same year, place or plant. */
static void compare_protocols(ReviewGroup *groups, size_t count, Name beside)
{
    for (size_t i = 0; i < count; i++)
        for (size_t k = 0; k < count; k++)
            if (groups[i].protocol->name != beside && groups[k].protocol->name == beside &&
                slice_is(slice_of(groups[k].value), groups[i].value))
                compare(&groups[k], beside->text, &groups[i]);
}

const ReviewGroup *review_finish(Review *review, size_t *count)
{
    Group *groups = review->groups.at;
    *count = review->groups.count;
    ReviewGroup *told = ARENA_ARRAY(review->arena, ReviewGroup, *count);
    if (*count) qsort(groups, *count, sizeof *groups, in_order);
    for (size_t i = 0; i < *count; i++) {
        for (int measure = 0; measure < REVIEW_MEASURES; measure++)
            weigh(review, &groups[i], measure, &groups[i].told.figures[measure]);
        told[i] = groups[i].told;
    }
    if (review->asked.beside)
        compare_protocols(told, *count, review->asked.beside);
    else
        compare_neighbours(told, *count);
    return told;
}
