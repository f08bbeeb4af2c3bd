/* Two readings of a field laid beside each other: see change.h.
 *
 * Given what a clause meant and what it means now, finds the cells of the change: which bound was drawn in or
 * let out, which members came or went. Nothing is weighed here.
 */
#include "model/change.h"

#include "model/limit.h"

#include <stdlib.h>
#include <string.h>

/* ------------------------------------------------------------------ ends */

/* What can become of one end of a range; `open_moves`: which way a bound goes that is left out. */
typedef struct End {
    Cells set, unset, raised, lowered;
    int open_moves;
} End;

static const End low_end = {CELL_BIT(LOW_SET), CELL_BIT(LOW_UNSET), CELL_BIT(LOW_RAISED),
                            CELL_BIT(LOW_LOWERED), 1},
                 high_end = {CELL_BIT(HIGH_SET), CELL_BIT(HIGH_UNSET), CELL_BIT(HIGH_RAISED),
                             CELL_BIT(HIGH_LOWERED), -1};

static Cells end_cell(const End *end, Bound before, Bound after)
{
    if (before.unbounded && after.unbounded) return 0;
    if (before.unbounded) return end->set;
    if (after.unbounded) return end->unset;
    int order = number_compare(after.at, before.at);
    if (!order) order = end->open_moves * (after.open - before.open);
    return order > 0 ? end->raised : order < 0 ? end->lowered : 0;
}

static Cells interval_cells(Interval before, Interval after)
{
    return end_cell(&low_end, before.low, after.low) | end_cell(&high_end, before.high, after.high);
}

static const Cells drawn_in =
                       CELL_BIT(LOW_RAISED) | CELL_BIT(LOW_SET) | CELL_BIT(HIGH_LOWERED) | CELL_BIT(HIGH_SET),
                   let_out = CELL_BIT(LOW_LOWERED) | CELL_BIT(LOW_UNSET) | CELL_BIT(HIGH_RAISED) |
                             CELL_BIT(HIGH_UNSET);

/* Sets of several pieces: by their outer ends, and by what of the one lies between the pieces of the other.
 */
static Cells number_cells(const Reading *before, const Reading *after)
{
    if (before->relative != after->relative || before->of != after->of || before->per != after->per ||
        !before->numbers.count || !after->numbers.count)
        return CELL_BIT(REPLACED);
    Cells cells = interval_cells(intervals_hull(before->numbers), intervals_hull(after->numbers));
    if (!(cells & let_out) && !intervals_within(after->numbers, before->numbers))
        cells |= CELL_BIT(MEMBER_ADDED);
    if (!(cells & drawn_in) && !intervals_within(before->numbers, after->numbers))
        cells |= CELL_BIT(MEMBER_REMOVED);
    return cells;
}

/* ------------------------------------------------------------------ members */

static bool has_word(const Reading *reading, Name name)
{
    for (size_t i = 0; i < reading->word_count; i++)
        if (reading->words[i].name == name) return true;
    return false;
}

static Cells word_cells(const Reading *before, const Reading *after)
{
    Cells cells = 0;
    for (size_t i = 0; i < after->word_count; i++)
        if (!has_word(before, after->words[i].name)) cells |= CELL_BIT(MEMBER_ADDED);
    for (size_t i = 0; i < before->word_count; i++)
        if (!has_word(after, before->words[i].name)) cells |= CELL_BIT(MEMBER_REMOVED);
    return cells ? cells : CELL_BIT(REPLACED); /* the same words in another order, or of a sample */
}

static Cells one_dose_cells(const Dose *before, const Dose *after)
{
    Interval anything = interval_everything();
    if (before->none) return 0;
    return interval_cells(before->strength, after->strength) |
           interval_cells(before->has_time ? before->time : anything,
                          after->has_time ? after->time : anything);
}

static bool is_alike(const Dose *a, const Dose *b)
{
    return a->none == b->none && (a->none || (a->auxin == b->auxin && a->form == b->form));
}

static bool stands_in(const Dose *dose, const Reading *reading)
{
    for (size_t i = 0; i < reading->dose_count; i++)
        if (is_alike(dose, &reading->doses[i]) && !one_dose_cells(dose, &reading->doses[i])) return true;
    return false;
}

/* The nth of a substance and form in a reading that does not stand in the other as it is; NULL: there are
 * fewer. */
static const Dose *changed_dose(const Reading *reading, const Reading *other, const Dose *like, size_t nth)
{
    for (size_t i = 0; i < reading->dose_count; i++)
        if (is_alike(like, &reading->doses[i]) && !stands_in(&reading->doses[i], other) && nth-- == 0)
            return &reading->doses[i];
    return NULL;
}

static size_t rank_among_alike(const Reading *reading, const Reading *other, const Dose *dose)
{
    size_t rank = 0;
    while (changed_dose(reading, other, dose, rank) != dose) rank++;
    return rank;
}

/* Alternatives that stand in both are no change; the others meet by substance and form. */
static Cells dose_cells(const Reading *before, const Reading *after)
{
    Cells cells = 0;
    for (size_t i = 0; i < after->dose_count; i++) {
        const Dose *dose = &after->doses[i];
        if (stands_in(dose, before)) continue;
        const Dose *old = changed_dose(before, after, dose, rank_among_alike(after, before, dose));
        cells |= old ? one_dose_cells(old, dose) : CELL_BIT(MEMBER_ADDED);
    }
    for (size_t i = 0; i < before->dose_count; i++) {
        const Dose *dose = &before->doses[i];
        if (stands_in(dose, after)) continue;
        if (!changed_dose(after, before, dose, rank_among_alike(before, after, dose)))
            cells |= CELL_BIT(MEMBER_REMOVED);
    }
    return cells;
}

/* ------------------------------------------------------------------ the year */

enum { YEAR_DAYS = 366, HALF_YEAR = YEAR_DAYS / 2, LEAP_YEAR = 2000 };

/* How far a mark was moved, in days, the shorter way round the year; false when one hangs on an event and the
 * other does not. */
static bool mark_moved(DayMark before, DayMark after, bool is_last, int32_t *days)
{
    if (before.event != after.event) return false;
    *days = after.days - before.days;
    if (before.event) return true;
    Day from = is_last ? year_day_last(before.day, LEAP_YEAR) : year_day_first(before.day, LEAP_YEAR);
    Day to = is_last ? year_day_last(after.day, LEAP_YEAR) : year_day_first(after.day, LEAP_YEAR);
    *days += to - from;
    if (*days > HALF_YEAR) *days -= YEAR_DAYS;
    if (*days < -HALF_YEAR) *days += YEAR_DAYS;
    return true;
}

static Cells shift_cells(int32_t low, int32_t high)
{
    return (low > 0   ? CELL_BIT(LOW_RAISED)
            : low < 0 ? CELL_BIT(LOW_LOWERED)
                      : 0) |
           (high > 0   ? CELL_BIT(HIGH_RAISED)
            : high < 0 ? CELL_BIT(HIGH_LOWERED)
                       : 0);
}

/* Round the year later and earlier are the shorter way only, so that drawn in and let out are asked of the
 * days themselves. */
static Cells one_window_cells(const Window *before, const Window *after, bool narrower, bool wider)
{
    int32_t low, high;
    if (before->all_year || after->all_year)
        return after->all_year ? CELL_BIT(LOW_UNSET) | CELL_BIT(HIGH_UNSET)
                               : CELL_BIT(LOW_SET) | CELL_BIT(HIGH_SET);
    if (!mark_moved(before->first, after->first, false, &low) ||
        !mark_moved(before->last, after->last, true, &high))
        return CELL_BIT(REPLACED);
    if (before->first.event || before->last.event) return shift_cells(low, high);
    if (narrower) return (low ? CELL_BIT(LOW_RAISED) : 0) | (high ? CELL_BIT(HIGH_LOWERED) : 0);
    if (wider) return (low ? CELL_BIT(LOW_LOWERED) : 0) | (high ? CELL_BIT(HIGH_RAISED) : 0);
    return (low > 0) == (high > 0) ? shift_cells(low, high) : CELL_BIT(REPLACED);
}

static Cells window_cells(const Field *field, const Reading *before, const Reading *after)
{
    bool narrower = limit_within(field, after, before) == TRUTH_TRUE,
         wider = limit_within(field, before, after) == TRUTH_TRUE;
    if (narrower && wider) return 0;
    if (before->window_count == 1 && after->window_count == 1)
        return one_window_cells(before->windows, after->windows, narrower, wider);
    return narrower ? CELL_BIT(MEMBER_REMOVED) : wider ? CELL_BIT(MEMBER_ADDED) : CELL_BIT(REPLACED);
}

/* ------------------------------------------------------------------ lengths */

static Interval days_of(DaySpan span)
{
    return interval_closed(NUMBER(span.low), NUMBER(span.high));
}

/* A length that is planned otherwise is another one, whatever its ends do. */
static Cells length_cells(const Reading *before, const Reading *after)
{
    int32_t low, high;
    if (before->length == LENGTH_DAYS && after->length == LENGTH_DAYS)
        return interval_cells(days_of(before->span), days_of(after->span)) |
               (before->span.planned == after->span.planned ? 0 : CELL_BIT(REPLACED));
    if (before->length != after->length || before->window_count != 1 || after->window_count != 1)
        return CELL_BIT(REPLACED);
    const Window *old = before->windows, *new = after->windows;
    bool same = mark_moved(old->first, new->first, false, &low) &&
                mark_moved(old->last, new->last, true, &high) && !low && !high;
    return same ? 0 : CELL_BIT(REPLACED);
}

/* The days round its own to which a closed day may move a task. */
static Interval days_round(int32_t days, SlackSide side)
{
    return interval_closed(NUMBER(side == SLACK_AFTER ? 0 : -days), NUMBER(side == SLACK_BEFORE ? 0 : days));
}

static Cells slack_cells(const Reading *before, const Reading *after)
{
    return interval_cells(days_round(before->span.low, before->side),
                          days_round(after->span.low, after->side));
}

/* ------------------------------------------------------------------ lists of words */

static Cells binding_cells(bool before, bool after)
{
    return before == after ? 0 : after ? CELL_BIT(STRICTER) : CELL_BIT(MILDER);
}

static bool says_yes(const Reading *reading)
{
    return reading->word_count && slice_is(name_slice(reading->words[0].name), "yes");
}

/* ------------------------------------------------------------------ the whole */

/* A list of texts, each of which must be heard: another wording is one gone and one new. */
static Cells text_cells(const Field *field)
{
    const unsigned heard = FIELD_REPEATS | FIELD_UNSILENCED;
    return (field->flags & heard) == heard ? CELL_BIT(MEMBER_ADDED) | CELL_BIT(MEMBER_REMOVED)
                                           : CELL_BIT(REPLACED);
}

/* One of them says a word (none, unknown) instead of a value. */
static bool says_no_value(const Reading *before, const Reading *after)
{
    bool listed = (before->word_count || before->dose_count) && (after->word_count || after->dose_count);
    return !listed && (before->none != after->none || before->unknown != after->unknown);
}

Cells change_of_readings(const Field *field, const Reading *before, const Reading *after)
{
    if (reading_equal(before, after)) return 0;
    if (before->any != after->any) return after->any ? CELL_BIT(MEMBER_ADDED) : CELL_BIT(MEMBER_REMOVED);
    if (says_no_value(before, after)) return CELL_BIT(REPLACED);
    switch (field->type) {
    case TYPE_QUANTITY:
    case TYPE_RATE:
    case TYPE_RATED:
    case TYPE_HOURS:
    case TYPE_DILUTION: return number_cells(before, after);
    case TYPE_WORDS:
    case TYPE_FREE:
    case TYPE_COUNTS:
    case TYPE_NAME:
    case TYPE_FIELDS:
        return field->flags & FIELD_BINDING ? binding_cells(says_yes(before), says_yes(after))
                                            : word_cells(before, after);
    case TYPE_DOSE: return dose_cells(before, after);
    case TYPE_WINDOW: return window_cells(field, before, after);
    case TYPE_LASTS: return length_cells(before, after);
    case TYPE_SLACK: return slack_cells(before, after);
    case TYPE_TEXT: return text_cells(field);
    default: return CELL_BIT(REPLACED);
    }
}

Cells change_of_presence(const Field *field, const Reading *reading, bool came)
{
    static const Reading unsaid = {.span = {SLACK_DEFAULT, SLACK_DEFAULT, SLACK_DEFAULT},
                                   .side = SLACK_EITHER};
    Cells cells = came ? CELL_BIT(CLAUSE_ADDED) : CELL_BIT(CLAUSE_REMOVED);
    if (!reading) return cells;
    if (field->flags & FIELD_BINDING)
        return cells |
               (came ? binding_cells(false, says_yes(reading)) : binding_cells(says_yes(reading), false));
    if (field->type != TYPE_SLACK) return cells;
    return cells | (came ? slack_cells(&unsaid, reading) : slack_cells(reading, &unsaid));
}
