/* Figures as facts: what a batch will come to, what is left behind a stage, how full a place is.
 *
 * They are worked out only when a rule asks. What nobody states is named, so that whoever reads "could not be
 * judged" knows what to write; a figure that does not come out is no statement that is missing.
 */
#include "analysis/fact_derived.h"

#include "analysis/batch_size.h"
#include "analysis/occupancy.h"
#include "analysis/outlook.h"

static const Fact nothing = {.class = FACT_NOTHING, .days = {{DAY_NONE, DAY_NONE, DAY_NONE}}};

static Fact point_fact(const FactSource *source, Number number)
{
    return fact_number(source, interval_closed(number, number), FACT_POINT);
}

static Fact range_fact(const FactSource *source, Number least, Number most)
{
    return fact_number(source, interval_closed(least, most),
                       number_compare(least, most) == 0 ? FACT_POINT : FACT_UNCERTAIN);
}

static Fact uncomputed(void)
{
    Fact fact = nothing;
    fact.uncomputed = true;
    return fact;
}

static const Fact spoiled = {.class = FACT_SPOILED, .days = {{DAY_NONE, DAY_NONE, DAY_NONE}}};

/* ------------------------------------------------------------------ batches */

static const Reading *cell(const Subject *batch, const Field *field)
{
    return batch->plan ? plan_cell(batch->plan, batch->row, field) : NULL;
}

/* What is missing of a figure; class FACT_POINT: nothing is. */
static Fact missing_of(const Subject *batch, const Outlook *outlook, Derived derived)
{
    const Reading *count = cell(batch, FIELD_ROW(COUNT_OF_BATCH)), *want = cell(batch, FIELD_ROW(WANT));
    bool counts = derived != DERIVED_NEEDED, wants = derived != DERIVED_EXPECTED;
    if ((counts && count == &reading_spoiled) || (wants && want == &reading_spoiled)) return spoiled;
    if (outlook->missing) return outlook->missing_field ? fact_missing(outlook->missing_field) : spoiled;
    if (counts && !(count && batch_size(batch).has_count)) return fact_missing(FIELD_ROW(COUNT_OF_BATCH));
    if (wants && !want) return fact_missing(FIELD_ROW(WANT));
    return (Fact){.class = FACT_POINT};
}

static Fact expected_of(const FactSource *source, const Subject *batch, const Outlook *outlook)
{
    double expected;
    YieldBatch yield = yield_batch(outlook->stages, batch_size(batch).count);
    if (yield_expected(&yield, &expected) != YIELD_COMPUTED) return uncomputed();
    return point_fact(source, yield_number(expected));
}

static Fact chance_of(const FactSource *source, const Subject *batch, const Outlook *outlook)
{
    double chance;
    int64_t wanted = number_ceil(cell(batch, FIELD_ROW(WANT))->wanted);
    if (outlook_chance(source, outlook, batch_size(batch).count, wanted, &chance) != YIELD_COMPUTED)
        return uncomputed();
    return point_fact(source, yield_number(chance));
}

/* Where no number is enough it is over any that is asked about. */
static Fact needed_of(const FactSource *source, const Subject *batch, const Outlook *outlook)
{
    int64_t needed;
    int64_t wanted = number_ceil(cell(batch, FIELD_ROW(WANT))->wanted);
    YieldStatus status = outlook_needed(source, outlook, wanted, &needed);
    if (status == YIELD_NEVER)
        return fact_number(source, interval_at_least(NUMBER(YIELD_COUNT_MOST)), FACT_UNCERTAIN);
    return status == YIELD_COMPUTED ? point_fact(source, NUMBER(needed)) : uncomputed();
}

static Fact yield_of(const FactSource *source, const Subject *batch, Derived derived)
{
    if (!batch->context->protocol || !batch->context->protocol->schedule) return nothing;
    const Outlook *outlook = outlook_of(source, batch->context);
    Fact missing = missing_of(batch, outlook, derived);
    if (missing.class >= FACT_NOTHING) return missing;
    Fact fact = derived == DERIVED_EXPECTED ? expected_of(source, batch, outlook)
                : derived == DERIVED_CHANCE ? chance_of(source, batch, outlook)
                                            : needed_of(source, batch, outlook);
    fact.field = derived == DERIVED_NEEDED ? FIELD_ROW(WANT) : FIELD_ROW(COUNT_OF_BATCH);
    return fact;
}

/* ------------------------------------------------------------------ stages */

/* What stands behind the stage of an index in the protocol: what a single one leaves is exact, behind several
 * it is the range in which nine batches of ten are. */
static Fact share_behind(const FactSource *source, const Context *context, size_t stage)
{
    Outlook *outlook = outlook_of(source, context);
    if (stage < outlook->skipped) return nothing; /* a variety's rate speaks of it and later ones together */
    size_t index = stage - outlook->skipped;
    if (index >= outlook->stages.count)
        return outlook->missing_field ? fact_missing(outlook->missing_field) : spoiled;
    if (index == 0) return range_fact(source, outlook->first.low.at, outlook->first.high.at);
    double least, most;
    if (source->roughly) {
        outlook_share_bounds(outlook, index, &least, &most);
        return fact_number(source, interval_closed(yield_number(least), yield_number(most)), FACT_UNCERTAIN);
    }
    const OutlookStage *share = outlook_share(source, outlook, index);
    return range_fact(source, yield_number(share->low), yield_number(share->high));
}

static Fact standing_of(const FactSource *source, const Subject *stage)
{
    if (!stage->context || !stage->context->protocol || !stage->context->protocol->schedule) return nothing;
    return stage->index < 0 ? nothing : share_behind(source, stage->context, (size_t)stage->index);
}

static Fact survival_of(const FactSource *source, const Subject *protocol)
{
    const Context *context = protocol->context;
    if (!context || !context->protocol || !context->protocol->schedule) return nothing;
    size_t stages = context->protocol->stage_count;
    return stages ? share_behind(source, context, stages - 1) : fact_missing(FIELD_ROW(LOSSES));
}

/* ------------------------------------------------------------------ places */

static const char *fullest_text(const FactSource *source, const PlaceOccupancy *place, Certainty certainty,
                                Day day)
{
    char text[DAY_TEXT];
    day_write(text, day);
    return arena_print(source->passing, "on %s: %s", text,
                       occupancy_names(source->passing, place, certainty, day));
}

static Fact load_of(const FactSource *source, const Subject *subject)
{
    const PlaceOccupancy *place = subject->occupancy;
    if (!place_can_be_filled(subject->place)) return fact_missing(FIELD_ROW(HOLDS));
    if (!place) return point_fact(source, NUMBER(0));
    if (place->unread) return spoiled;
    if (place->uncounted) return fact_missing(place->uncounted);
    Number sure, perhaps;
    Day surely_on, day;
    if (!occupancy_fullest(place, CERTAINTY_SURE, &sure, &surely_on) ||
        !occupancy_fullest(place, CERTAINTY_PERHAPS, &perhaps, &day))
        return point_fact(source, NUMBER(0));
    Fact fact = range_fact(source, sure, perhaps);
    bool surely = number_compare(sure, NUMBER(0)) > 0;
    fact.with =
        fullest_text(source, place, surely ? CERTAINTY_SURE : CERTAINTY_PERHAPS, surely ? surely_on : day);
    return fact;
}

Fact fact_of_figure(const FactSource *source, const Subject *subject, Derived derived)
{
    switch (derived) {
    case DERIVED_STANDING: return standing_of(source, subject);
    case DERIVED_SURVIVAL: return survival_of(source, subject);
    case DERIVED_LOAD: return load_of(source, subject);
    default: return yield_of(source, subject, derived);
    }
}
