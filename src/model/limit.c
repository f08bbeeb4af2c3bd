/* Sets behind readings. */
#include "model/limit.h"

#include "base/vec.h"

static bool word_in(Name name, const Word *words, size_t count)
{
    for (size_t i = 0; i < count; i++)
        if (words[i].name == name) return true;
    return false;
}

static size_t words_in(const Reading *a, const Reading *b)
{
    size_t count = 0;
    for (size_t i = 0; i < a->word_count; i++) count += word_in(a->words[i].name, b->words, b->word_count);
    return count;
}

/* ------------------------------------------------------------------ days of a year */

enum { YEAR_DAYS = 366, LEAP_YEAR = 2000 };

typedef struct YearSet {
    bool has[YEAR_DAYS];
    bool known;
} YearSet;

/* The days of a leap year that windows name; not known when one hangs on an event of a site. */
static YearSet year_set(const Reading *reading)
{
    YearSet set = {.known = true};
    static const Calendar nowhere = {0};
    Day first;
    day_make(LEAP_YEAR, 1, 1, &first);
    for (size_t i = 0; i < reading->window_count; i++) {
        const Window *window = &reading->windows[i];
        if (!window->all_year && (window->first.event || window->last.event)) set.known = false;
        for (int day = 0; day < YEAR_DAYS && set.known; day++)
            if (window_has(window, &nowhere, first + day, RUN_PLANNED)) set.has[day] = true;
    }
    return set;
}

static size_t year_count(const YearSet *set)
{
    size_t count = 0;
    for (int day = 0; day < YEAR_DAYS; day++) count += set->has[day];
    return count;
}

static size_t year_common(const YearSet *a, const YearSet *b)
{
    size_t count = 0;
    for (int day = 0; day < YEAR_DAYS; day++) count += a->has[day] && b->has[day];
    return count;
}

/* ------------------------------------------------------------------ doses */

static bool dose_within(const Dose *inner, const Dose *outer)
{
    if (inner->none || outer->none) return inner->none && outer->none;
    return inner->auxin == outer->auxin && inner->form == outer->form &&
           interval_within(inner->strength, outer->strength) &&
           (!outer->has_time || !inner->has_time || interval_within(inner->time, outer->time));
}

static bool dose_disjoint(const Dose *a, const Dose *b)
{
    if (a->none || b->none) return a->none != b->none;
    return a->auxin != b->auxin || a->form != b->form || interval_disjoint(a->strength, b->strength);
}

static Truth doses_within(const Reading *inner, const Reading *outer)
{
    for (size_t i = 0; i < inner->dose_count; i++) {
        bool found = false;
        for (size_t k = 0; k < outer->dose_count && !found; k++)
            found = dose_within(&inner->doses[i], &outer->doses[k]);
        if (!found) return TRUTH_FALSE;
    }
    return TRUTH_TRUE;
}

static Truth doses_disjoint(const Reading *a, const Reading *b)
{
    for (size_t i = 0; i < a->dose_count; i++)
        for (size_t k = 0; k < b->dose_count; k++)
            if (!dose_disjoint(&a->doses[i], &b->doses[k])) return TRUTH_FALSE;
    return TRUTH_TRUE;
}

/* ------------------------------------------------------------------ how readings of a type are compared */

typedef enum Sort { SORT_NUMBERS, SORT_WORDS, SORT_DAYS, SORT_DOSES, SORT_WHOLE } Sort;

static Sort sort_of(const Field *field)
{
    static const Sort sorts[VALUE_TYPES] = {
        [TYPE_QUANTITY] = SORT_NUMBERS, [TYPE_RATED] = SORT_NUMBERS, [TYPE_HOURS] = SORT_NUMBERS,
        [TYPE_DILUTION] = SORT_NUMBERS, [TYPE_RATE] = SORT_NUMBERS,  [TYPE_SIZE] = SORT_WHOLE,
        [TYPE_WINDOW] = SORT_DAYS,      [TYPE_DATE] = SORT_WHOLE,    [TYPE_EVENT] = SORT_WHOLE,
        [TYPE_DAYS] = SORT_WHOLE,       [TYPE_LASTS] = SORT_WHOLE,   [TYPE_MOMENT] = SORT_WHOLE,
        [TYPE_AT] = SORT_WHOLE,         [TYPE_FIRST] = SORT_WHOLE,   [TYPE_LATEST] = SORT_WHOLE,
        [TYPE_SLACK] = SORT_WHOLE,      [TYPE_WORDS] = SORT_WORDS,   [TYPE_FREE] = SORT_WORDS,
        [TYPE_COUNTS] = SORT_WORDS,     [TYPE_NAME] = SORT_WORDS,    [TYPE_TAXON] = SORT_WHOLE,
        [TYPE_STANDS] = SORT_WHOLE,     [TYPE_HOLDS] = SORT_WHOLE,   [TYPE_DOSE] = SORT_DOSES,
        [TYPE_MIX] = SORT_WHOLE,        [TYPE_WANT] = SORT_WHOLE,    [TYPE_UNTIL] = SORT_WHOLE,
        [TYPE_TEXT] = SORT_WHOLE,       [TYPE_FIELDS] = SORT_WORDS,  [TYPE_CONDITION] = SORT_WHOLE,
        [TYPE_DROP] = SORT_WHOLE,       [TYPE_ACCEPT] = SORT_WHOLE,  [TYPE_JUDGE] = SORT_WHOLE,
        [TYPE_MOVE] = SORT_WHOLE,       [TYPE_ROW] = SORT_WHOLE};
    return sorts[field->type];
}

static bool comparable(const Reading *a, const Reading *b)
{
    return a->relative == b->relative && (!a->relative || a->of == b->of);
}

/* ------------------------------------------------------------------ relations */

Truth limit_within(const Field *field, const Reading *inner, const Reading *outer)
{
    if (outer->any) return TRUTH_TRUE;
    switch (sort_of(field)) {
    case SORT_NUMBERS:
        if (!comparable(inner, outer)) return TRUTH_UNSURE;
        return intervals_within(inner->numbers, outer->numbers) ? TRUTH_TRUE : TRUTH_FALSE;
    case SORT_WORDS: return words_in(inner, outer) == inner->word_count ? TRUTH_TRUE : TRUTH_FALSE;
    case SORT_DAYS: {
        YearSet a = year_set(inner), b = year_set(outer);
        if (!a.known || !b.known) return TRUTH_UNSURE;
        return year_common(&a, &b) == year_count(&a) ? TRUTH_TRUE : TRUTH_FALSE;
    }
    case SORT_DOSES: return doses_within(inner, outer);
    case SORT_WHOLE: break;
    }
    return reading_equal(inner, outer) ? TRUTH_TRUE : TRUTH_FALSE;
}

Truth limit_disjoint(const Field *field, const Reading *a, const Reading *b)
{
    if (a->any || b->any) return TRUTH_FALSE;
    switch (sort_of(field)) {
    case SORT_NUMBERS:
        if (!comparable(a, b)) return TRUTH_UNSURE;
        return intervals_disjoint(a->numbers, b->numbers) ? TRUTH_TRUE : TRUTH_FALSE;
    case SORT_WORDS: return words_in(a, b) == 0 ? TRUTH_TRUE : TRUTH_FALSE;
    case SORT_DAYS: {
        YearSet x = year_set(a), y = year_set(b);
        if (!x.known || !y.known) return TRUTH_UNSURE;
        return year_common(&x, &y) == 0 ? TRUTH_TRUE : TRUTH_FALSE;
    }
    case SORT_DOSES: return doses_disjoint(a, b);
    case SORT_WHOLE: break;
    }
    return reading_equal(a, b) ? TRUTH_FALSE : TRUTH_TRUE;
}

/* ------------------------------------------------------------------ making new limits */

static const Reading *with_numbers(Arena *arena, const Reading *model, IntervalSet numbers)
{
    if (!numbers.count) return NULL;
    Reading *made = ARENA_NEW(arena, Reading);
    *made = *model;
    made->numbers = numbers;
    made->written = (Slice){0};
    return made;
}

/* The words of `a` that are (or are not) in a list; NULL: none. */
static const Reading *with_words(Arena *arena, const Reading *a, const Word *list, size_t length, bool in)
{
    Reading *made = ARENA_NEW(arena, Reading);
    *made = *a;
    made->written = (Slice){0};
    Word *words = ARENA_ARRAY(arena, Word, a->word_count);
    const Field **fields = ARENA_ARRAY(arena, const Field *, a->word_count);
    size_t count = 0;
    for (size_t i = 0; i < a->word_count; i++) {
        if (word_in(a->words[i].name, list, length) != in) continue;
        words[count] = a->words[i];
        fields[count++] = a->fields ? a->fields[i] : NULL;
    }
    made->words = words;
    made->word_count = count;
    if (a->fields) made->fields = fields;
    return count ? made : NULL;
}

const Reading *limit_less(Arena *arena, const Reading *list, const Word *words, size_t count)
{
    return list->word_count ? with_words(arena, list, words, count, false) : list;
}

static const Reading *with_windows(Arena *arena, const Reading *a, const Reading *b, bool in)
{
    YearSet x = year_set(a), y = year_set(b);
    if (!x.known || !y.known) return in ? b : a;
    VEC(Window) windows = {0};
    Day first;
    day_make(LEAP_YEAR, 1, 1, &first);
    for (int day = 0; day < YEAR_DAYS; day++) {
        if (!x.has[day] || y.has[day] != in) continue;
        int end = day;
        while (end + 1 < YEAR_DAYS && x.has[end + 1] && y.has[end + 1] == in) end++;
        int year, month, of_month;
        Window window = {0};
        day_split(first + day, &year, &month, &of_month);
        window.first.day = (YearDay){(uint8_t)month, PART_OF_MONTH_DAY, (uint8_t)of_month};
        day_split(first + end, &year, &month, &of_month);
        window.last.day = (YearDay){(uint8_t)month, PART_OF_MONTH_DAY, (uint8_t)of_month};
        VEC_PUSH(arena, &windows, window);
        day = end;
    }
    if (!windows.count) return NULL;
    Reading *made = ARENA_NEW(arena, Reading);
    *made = *a;
    made->written = (Slice){0};
    made->windows = windows.at;
    made->window_count = windows.count;
    return made;
}

/* False: the two have nothing in common. */
static bool common(Arena *arena, Interval *a, Interval b)
{
    IntervalSet both = intervals_intersect(arena, (IntervalSet){a, 1}, (IntervalSet){&b, 1});
    if (both.count) *a = both.at[0];
    return both.count > 0;
}

static bool dose_both(Arena *arena, Dose *dose, const Dose *other)
{
    if (dose_disjoint(dose, other)) return false;
    if (dose->none) return true;
    if (!common(arena, &dose->strength, other->strength)) return false;
    if (!other->has_time) return true;
    if (dose->has_time) return common(arena, &dose->time, other->time);
    dose->time = other->time;
    dose->has_time = true;
    return true;
}

static const Reading *with_doses(Arena *arena, const Reading *a, const Reading *b)
{
    VEC(Dose) doses = {0};
    for (size_t i = 0; i < a->dose_count; i++)
        for (size_t k = 0; k < b->dose_count; k++) {
            Dose dose = a->doses[i];
            if (dose_both(arena, &dose, &b->doses[k])) VEC_PUSH(arena, &doses, dose);
        }
    if (!doses.count) return NULL;
    Reading *made = ARENA_NEW(arena, Reading);
    *made = *a;
    made->written = (Slice){0};
    made->doses = doses.at;
    made->dose_count = doses.count;
    return made;
}

const Reading *limit_both(Arena *arena, const Field *field, const Reading *a, const Reading *b)
{
    if (a->any) return b;
    if (b->any) return a;
    switch (sort_of(field)) {
    case SORT_NUMBERS:
        return comparable(a, b) ? with_numbers(arena, a, intervals_intersect(arena, a->numbers, b->numbers))
                                : b;
    case SORT_WORDS: return with_words(arena, a, b->words, b->word_count, true);
    case SORT_DAYS: return with_windows(arena, a, b, true);
    case SORT_DOSES: return with_doses(arena, a, b);
    case SORT_WHOLE: break;
    }
    return reading_equal(a, b) ? a : NULL;
}

const Reading *limit_without(Arena *arena, const Field *field, const Reading *limit, const Reading *never)
{
    if (never->any) return NULL;
    if (limit->any) return limit;
    switch (sort_of(field)) {
    case SORT_NUMBERS:
        return comparable(limit, never)
                   ? with_numbers(arena, limit, intervals_minus(arena, limit->numbers, never->numbers))
                   : limit;
    case SORT_WORDS: return with_words(arena, limit, never->words, never->word_count, false);
    case SORT_DAYS: return with_windows(arena, limit, never, false);
    case SORT_DOSES: return doses_within(limit, never) == TRUTH_TRUE ? NULL : limit;
    case SORT_WHOLE: break;
    }
    return reading_equal(limit, never) ? NULL : limit;
}

const Reading *limit_united(Arena *arena, const Reading *a, const Reading *b)
{
    Reading *made = ARENA_NEW(arena, Reading);
    *made = *a;
    made->written = (Slice){0};
    Word *words = ARENA_ARRAY(arena, Word, a->word_count + b->word_count);
    const Field **fields = ARENA_ARRAY(arena, const Field *, a->word_count + b->word_count);
    size_t count = 0;
    for (size_t i = 0; i < a->word_count; i++, count++) {
        words[count] = a->words[i];
        if (a->fields) fields[count] = a->fields[i];
    }
    for (size_t i = 0; i < b->word_count; i++) {
        if (word_in(b->words[i].name, words, count)) continue;
        words[count] = b->words[i];
        if (b->fields) fields[count] = b->fields[i];
        count++;
    }
    made->words = words;
    made->word_count = count;
    made->fields = a->fields ? fields : NULL;
    return made;
}

bool limit_is_one_value(const Reading *limit)
{
    if (limit->any || limit->relative) return false;
    switch (limit->type) {
    case TYPE_QUANTITY:
    case TYPE_RATED:
    case TYPE_HOURS:
    case TYPE_RATE:
    case TYPE_DILUTION: return limit->numbers.count == 1 && interval_is_point(limit->numbers.at[0]);
    case TYPE_WORDS:
    case TYPE_NAME: return limit->word_count == 1;
    case TYPE_DOSE:
        return limit->dose_count == 1 &&
               (limit->doses[0].none || interval_is_point(limit->doses[0].strength));
    default: return true;
    }
}

bool taxon_leads(const Word *general, size_t general_count, const Word *special, size_t special_count)
{
    if (general_count > special_count) return false;
    for (size_t i = 0; i < general_count; i++)
        if (general[i].name != special[i].name) return false;
    return true;
}
