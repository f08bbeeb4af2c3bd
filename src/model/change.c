/* Readings laid beside each other: see change.h. */
#include "model/change.h"

#include "model/limit.h"

#include <string.h>

const char *const direction_name[DIRECTIONS] = {[DIRECTION_NONE] = "",
                                                [DIRECTION_EDITORIAL] = "editorial",
                                                [DIRECTION_TIGHTENED] = "tightened",
                                                [DIRECTION_LOOSENED] = "loosened",
                                                [DIRECTION_MOVED] = "moved"};

Direction direction_joined(Direction a, Direction b)
{
    Direction less = a < b ? a : b, more = a < b ? b : a;
    if (less == DIRECTION_TIGHTENED && more == DIRECTION_LOOSENED) return DIRECTION_MOVED;
    return more;
}

Direction direction_mirrored(Direction direction)
{
    if (direction == DIRECTION_TIGHTENED) return DIRECTION_LOOSENED;
    if (direction == DIRECTION_LOOSENED) return DIRECTION_TIGHTENED;
    return direction;
}

/* ------------------------------------------------------------------ the table */

enum { ANY = 255 };
typedef enum Decides { DECIDES_BOTH, DECIDES_HIGH, DECIDES_LOW } Decides;

typedef struct ChangeRow {
    uint8_t role, type, dimension;
    unsigned flag;
    Chapter chapter;
    Decides decides;
    Direction low_raised, low_lowered, high_lowered, high_raised, member_added, member_removed, clause_added,
        clause_removed, replaced;
} ChangeRow;

#define T DIRECTION_TIGHTENED
#define L DIRECTION_LOOSENED
#define M DIRECTION_MOVED
#define E DIRECTION_EDITORIAL
#define ROLE_ANY ANY
#define TYPE_ANY ANY
#define DIM_ANY ANY
#define FIELD_0 0
static const ChangeRow rows[] = {
#define CHANGE(role, type, dimension, flag, chapter, decides, a, b, c, d, e, f, g, h, i)                     \
    {ROLE_##role,                                                                                            \
     TYPE_##type,                                                                                            \
     DIM_##dimension,                                                                                        \
     FIELD_##flag,                                                                                           \
     CHAPTER_##chapter,                                                                                      \
     DECIDES_##decides,                                                                                      \
     a,                                                                                                      \
     b,                                                                                                      \
     c,                                                                                                      \
     d,                                                                                                      \
     e,                                                                                                      \
     f,                                                                                                      \
     g,                                                                                                      \
     h,                                                                                                      \
     i},
#include "changes.def"
#undef CHANGE
};
#undef T
#undef L
#undef M
#undef E

/* The last row fits every field. */
static const ChangeRow *row_of(const Field *field)
{
    const ChangeRow *row = rows;
    while (!((row->role == ANY || row->role == field->role) &&
             (row->type == ANY || row->type == field->type) &&
             (row->dimension == ANY || row->dimension == field->dimension) &&
             (field->flags & row->flag) == row->flag))
        row++;
    return row;
}

Chapter change_chapter(const Field *field)
{
    return row_of(field)->chapter;
}

static const Cells low_cells =
                       CELL_BIT(LOW_RAISED) | CELL_BIT(LOW_SET) | CELL_BIT(LOW_LOWERED) | CELL_BIT(LOW_UNSET),
                   high_cells = CELL_BIT(HIGH_LOWERED) | CELL_BIT(HIGH_SET) | CELL_BIT(HIGH_RAISED) |
                                CELL_BIT(HIGH_UNSET);

static Direction direction_of(const ChangeRow *row, Cell cell)
{
    switch (cell) {
    case CELL_LOW_RAISED:
    case CELL_LOW_SET: return row->low_raised;
    case CELL_LOW_LOWERED:
    case CELL_LOW_UNSET: return row->low_lowered;
    case CELL_HIGH_LOWERED:
    case CELL_HIGH_SET: return row->high_lowered;
    case CELL_HIGH_RAISED:
    case CELL_HIGH_UNSET: return row->high_raised;
    case CELL_MEMBER_ADDED: return row->member_added;
    case CELL_MEMBER_REMOVED: return row->member_removed;
    case CELL_CLAUSE_ADDED: return row->clause_added;
    case CELL_CLAUSE_REMOVED: return row->clause_removed;
    case CELL_REPLACED: return row->replaced;
    case CELL_STRICTER: return DIRECTION_TIGHTENED;
    case CELL_MILDER: return DIRECTION_LOOSENED;
    case CELL_REASON:
    case CELL_SOURCE: return DIRECTION_EDITORIAL;
    case CELLS: break;
    }
    return DIRECTION_NONE;
}

/* Whether `never` turns a cell round: a wider `never` forbids more. */
static bool is_of_value(Cell cell)
{
    return cell <= CELL_MEMBER_REMOVED;
}

Direction change_direction(const Field *field, bool never, Cells cells)
{
    const ChangeRow *row = row_of(field);
    if (row->decides == DECIDES_HIGH && (cells & high_cells)) cells &= ~low_cells;
    if (row->decides == DECIDES_LOW && (cells & low_cells)) cells &= ~high_cells;
    Direction direction = DIRECTION_NONE;
    for (int cell = 0; cell < CELLS; cell++) {
        if (!(cells & (UINT32_C(1) << cell))) continue;
        Direction one = direction_of(row, (Cell)cell);
        direction =
            direction_joined(direction, never && is_of_value((Cell)cell) ? direction_mirrored(one) : one);
    }
    return direction;
}

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

/* Sets of several pieces: by their outer ends, and where these stay by what lies in the other. */
static Cells number_cells(const Reading *before, const Reading *after)
{
    if (before->relative != after->relative || before->of != after->of || before->per != after->per ||
        !before->numbers.count || !after->numbers.count)
        return CELL_BIT(REPLACED);
    Cells cells = interval_cells(intervals_hull(before->numbers), intervals_hull(after->numbers));
    if (cells || intervals_equal(before->numbers, after->numbers)) return cells;
    if (intervals_within(after->numbers, before->numbers)) return CELL_BIT(MEMBER_REMOVED);
    return intervals_within(before->numbers, after->numbers) ? CELL_BIT(MEMBER_ADDED) : CELL_BIT(REPLACED);
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

static const Dose *dose_like(const Reading *reading, const Dose *like)
{
    for (size_t i = 0; i < reading->dose_count; i++) {
        const Dose *dose = &reading->doses[i];
        if (dose->none != like->none) continue;
        if (dose->none || (dose->auxin == like->auxin && dose->form == like->form)) return dose;
    }
    return NULL;
}

static Cells one_dose_cells(const Dose *before, const Dose *after)
{
    Interval anything = interval_everything();
    if (before->none) return 0;
    return interval_cells(before->strength, after->strength) |
           interval_cells(before->has_time ? before->time : anything,
                          after->has_time ? after->time : anything);
}

static Cells dose_cells(const Reading *before, const Reading *after)
{
    Cells cells = 0;
    for (size_t i = 0; i < after->dose_count; i++) {
        const Dose *old = dose_like(before, &after->doses[i]);
        cells |= old ? one_dose_cells(old, &after->doses[i]) : CELL_BIT(MEMBER_ADDED);
    }
    for (size_t i = 0; i < before->dose_count; i++)
        if (!dose_like(after, &before->doses[i])) cells |= CELL_BIT(MEMBER_REMOVED);
    return cells ? cells : CELL_BIT(REPLACED);
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

static Cells window_cells(const Field *field, const Reading *before, const Reading *after)
{
    const Window *old = before->windows, *new = after->windows;
    int32_t low, high;
    if (before->window_count == 1 && after->window_count == 1 && old->all_year != new->all_year)
        return new->all_year ? CELL_BIT(LOW_UNSET) | CELL_BIT(HIGH_UNSET)
                             : CELL_BIT(LOW_SET) | CELL_BIT(HIGH_SET);
    if (before->window_count == 1 && after->window_count == 1 &&
        mark_moved(old->first, new->first, false, &low) && mark_moved(old->last, new->last, true, &high))
        return (low > 0   ? CELL_BIT(LOW_RAISED)
                : low < 0 ? CELL_BIT(LOW_LOWERED)
                          : 0) |
               (high > 0   ? CELL_BIT(HIGH_RAISED)
                : high < 0 ? CELL_BIT(HIGH_LOWERED)
                           : 0);
    if (limit_within(field, after, before) == TRUTH_TRUE) return CELL_BIT(MEMBER_REMOVED);
    return limit_within(field, before, after) == TRUTH_TRUE ? CELL_BIT(MEMBER_ADDED) : CELL_BIT(REPLACED);
}

/* ------------------------------------------------------------------ lengths */

static Interval days_of(DaySpan span)
{
    return interval_closed(NUMBER(span.low), NUMBER(span.high));
}

/* A length that is planned otherwise is another one, whatever its ends do. */
static Cells length_cells(const Reading *before, const Reading *after)
{
    if (before->length != LENGTH_DAYS || after->length != LENGTH_DAYS ||
        before->span.planned != after->span.planned)
        return CELL_BIT(REPLACED) | (before->length == LENGTH_DAYS && after->length == LENGTH_DAYS
                                         ? interval_cells(days_of(before->span), days_of(after->span))
                                         : 0);
    return interval_cells(days_of(before->span), days_of(after->span));
}

static Cells slack_cells(const Reading *before, const Reading *after)
{
    if (before->side != after->side) return CELL_BIT(REPLACED);
    return end_cell(&high_end, (Bound){.at = NUMBER(before->span.low)},
                    (Bound){.at = NUMBER(after->span.low)});
}

/* ------------------------------------------------------------------ the whole */

static Cells text_cells(const Field *field)
{
    return field->flags & FIELD_UNSILENCED ? CELL_BIT(MEMBER_ADDED) | CELL_BIT(MEMBER_REMOVED)
                                           : CELL_BIT(REPLACED);
}

Cells change_of_readings(const Field *field, const Reading *before, const Reading *after)
{
    if (reading_equal(before, after)) return 0;
    if (before->any != after->any) return after->any ? CELL_BIT(MEMBER_ADDED) : CELL_BIT(MEMBER_REMOVED);
    if (before->none != after->none || before->unknown != after->unknown) return CELL_BIT(REPLACED);
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
        if (field->flags & FIELD_BINDING)
            return has_word(after, before->words[0].name)              ? CELL_BIT(REPLACED)
                   : slice_is(name_slice(after->words[0].name), "yes") ? CELL_BIT(STRICTER)
                                                                       : CELL_BIT(MILDER);
        return word_cells(before, after);
    case TYPE_DOSE: return dose_cells(before, after);
    case TYPE_WINDOW: return window_cells(field, before, after);
    case TYPE_LASTS: return length_cells(before, after);
    case TYPE_SLACK: return slack_cells(before, after);
    case TYPE_TEXT: return text_cells(field);
    default: return CELL_BIT(REPLACED);
    }
}

/* ------------------------------------------------------------------ words for it */

typedef struct Comparatives {
    const char *up, *down;
} Comparatives;

static Comparatives comparatives_of(const Field *field)
{
    if (field->type == TYPE_WINDOW) return (Comparatives){"later", "earlier"};
    if (field->type == TYPE_LASTS || field->dimension == DIM_DURATION)
        return (Comparatives){"longer", "shorter"};
    return (Comparatives){"higher", "lower"};
}

const char *change_shape(const Field *field, const Reading *before, const Reading *after, Cells cells)
{
    const Cells in = CELL_BIT(LOW_RAISED) | CELL_BIT(LOW_SET) | CELL_BIT(HIGH_LOWERED) | CELL_BIT(HIGH_SET),
                out = CELL_BIT(LOW_LOWERED) | CELL_BIT(LOW_UNSET) | CELL_BIT(HIGH_RAISED) |
                      CELL_BIT(HIGH_UNSET);
    Comparatives words = comparatives_of(field);
    if (!before || !after || !(cells & (in | out))) return NULL;
    bool sets = (field->type == TYPE_QUANTITY || field->type == TYPE_WINDOW) && role_judges(field->role);
    if (sets && limit_disjoint(field, before, after) == TRUTH_TRUE && !limit_is_one_value(before) &&
        !limit_is_one_value(after))
        return "nothing in common";
    if (!(cells & out)) return "narrower";
    if (!(cells & in)) return "wider";
    return cells & (CELL_BIT(LOW_RAISED) | CELL_BIT(LOW_SET)) ? words.up : words.down;
}
