/* Any bytes as a plan in CSV, beside a small nursery: every row is read, and the place of every cell asked
 * for. It must end, stay in its memory, and give the same rows and faults whether its bytes come at once or
 * one by one. */
#include "model/plan.h"
#include "syntax/read.h"

#include <stdlib.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length);

static const char nursery_text[] =
    "nursery small { language 1 }\n"
    "site yard { latitude 51 deg }\n"
    "place bench { site yard; enclosure mist }\n"
    "container tray-77 { cells 77 }\n"
    "variety white-mophead { species Hydrangea macrophylla }\n"
    "protocol tips { for Hydrangea macrophylla; stage root { lasts 4 weeks } }\n"
    "batch B1 { follow tips; depth 15 mm; stands bench }\n"
    "record H1 { 18 Jun 2027 stuck 50 }\n";

static void exhausted(size_t wanted)
{
    (void)wanted;
    abort();
}

typedef struct Source {
    const uint8_t *bytes;
    size_t length, step;
} Source;

static ptrdiff_t give(void *from, char *to, size_t room)
{
    Source *source = from;
    size_t count = source->length < room ? source->length : room;
    if (count > source->step) count = source->step;
    if (count) memcpy(to, source->bytes, count);
    source->bytes += count;
    source->length -= count;
    return (ptrdiff_t)count;
}

static void look_at(const Plan *plan)
{
    if (!plan->rows || plan->rows > PLAN_ROWS) abort();
    for (size_t row = 0; row < plan->rows; row++)
        for (size_t column = 0; column < plan->column_count; column++) {
            const Field *field = plan->columns[column];
            const Reading *reading = plan->cells[column][row];
            Span place = plan_place(plan, row, field);
            if (place.begin > place.end || place.end > place.text->length) abort();
            if (reading && reading != &reading_spoiled && reading->type != field->type) abort();
            if (plan_cell(plan, row, field) != reading) abort();
        }
}

typedef struct Result {
    size_t rows, faults;
} Result;

static Result read_all(Source source)
{
    Result result = {0, 0};
    Arena *arena = arena_new(exhausted);
    Notes *notes = notes_new(arena, 100);
    Nursery *nursery = nursery_new(arena, notes);
    const Text *text = text_new(arena, "n.heel", nursery_text, sizeof nursery_text - 1, 1);
    nursery_add(nursery, syntax_read(arena, text, notes), false);
    nursery_finish(nursery);
    if (notes_total(notes)) abort();
    PlanTable *table = plan_table_open(nursery, "p.csv", give, &source, exhausted);
    for (const Plan *plan; (plan = plan_table_next(table)); result.rows += plan->rows) look_at(plan);
    plan_table_close(table);
    size_t count;
    Note *const *sorted = notes_sorted(notes, &count);
    for (size_t i = 0; i < count; i++) {
        Span span = sorted[i]->place[0].span;
        if (span.text && (span.begin > span.end || span.end > span.text->length)) abort();
    }
    result.faults = notes_total(notes);
    arena_free(arena);
    return result;
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length)
{
    if (length > 1 << 16) return 0;
    Result at_once = read_all((Source){bytes, length, SIZE_MAX});
    Result one_by_one = read_all((Source){bytes, length, 1});
    if (at_once.rows != one_by_one.rows || at_once.faults != one_by_one.faults) abort();
    return 0;
}
