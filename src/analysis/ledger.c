/* Writing a batch's ledger: which lines count, in which order, and what records say of each other. What a
 * line does to the numbers is in ledger_take.c. */
#include "analysis/ledger.h"

#include "analysis/ledger_work.h"

#include <stdlib.h>

struct Ledgers {
    const LedgerTransfer *at; /* by the batch that takes, then by day */
    size_t count;
};

/* ------------------------------------------------------------------ what records say of each other */

static int by_taker(const void *a, const void *b)
{
    const LedgerTransfer *x = a, *y = b;
    if (x->line->other != y->line->other) return x->line->other->number < y->line->other->number ? -1 : 1;
    if (x->line->day != y->line->day) return x->line->day < y->line->day ? -1 : 1;
    int order = slice_compare(name_slice(x->record->name), name_slice(y->record->name));
    if (order) return order;
    return x->line->item->span.begin < y->line->item->span.begin ? -1 : 1;
}

Ledgers *ledgers_new(Arena *arena, const Nursery *nursery)
{
    VEC(LedgerTransfer) transfers = {0};
    const BlockList *records = &nursery->lists[BLOCK_RECORD];
    for (size_t i = 0; i < records->count; i++)
        for (const RecordLine *line = records->at[i]->lines; line; line = line->next)
            if (record_says(line, PIECE_TO) && line->other != records->at[i]->name)
                VEC_PUSH(arena, &transfers, ((LedgerTransfer){records->at[i], line}));
    if (transfers.count) qsort(transfers.at, transfers.count, sizeof *transfers.at, by_taker);
    Ledgers *ledgers = ARENA_NEW(arena, Ledgers);
    ledgers->at = transfers.at;
    ledgers->count = transfers.count;
    return ledgers;
}

const LedgerTransfer *ledgers_came(const Ledgers *ledgers, Name batch, size_t *count)
{
    size_t low = 0, high = ledgers->count;
    while (batch && low < high) {
        size_t middle = low + (high - low) / 2;
        if (ledgers->at[middle].line->other->number < batch->number)
            low = middle + 1;
        else
            high = middle;
    }
    size_t end = low;
    while (batch && end < ledgers->count && ledgers->at[end].line->other == batch) end++;
    *count = end - low;
    return *count ? &ledgers->at[low] : NULL;
}

/* ------------------------------------------------------------------ faults */

LedgerFault *ledger_fault(LedgerWalk *walk, const char *finding, const RecordLine *line, Span place,
                          const char *format, ...)
{
    va_list values;
    va_start(values, format);
    LedgerFault *fault = VEC_ADD(walk->arena, &walk->faults);
    fault->finding = finding;
    fault->line = line;
    fault->place = place;
    fault->message = arena_print_values(walk->arena, format, values);
    va_end(values);
    return fault;
}

static const char *day_text(Arena *arena, Day day)
{
    char text[DAY_TEXT];
    return arena_copy(arena, text, day_write(text, day));
}

/* ------------------------------------------------------------------ the order of lines */

static bool ends(const RecordLine *line)
{
    return line->verb == VERB_ENDED || line->verb == VERB_ABANDONED;
}

/* Cuttings that wait to be stuck can be thrown out too. */
static bool may_wait(const LedgerWalk *walk, const RecordLine *line)
{
    return walk->ledger.has_waiting &&
           (line->verb == VERB_CULLED || line->verb == VERB_DIED || line->verb == VERB_LOST);
}

static bool is_in_order(LedgerWalk *walk, const RecordLine *line)
{
    const VerbInfo *verb = &verb_table[line->verb];
    const RecordLine *end = walk->ledger.ended;
    if (end && line->day > end->day && !(verb->flags & VERB_STILL)) {
        LedgerFault *fault = ledger_fault(walk, "record-order", line, line->item->span,
                                          "%s is recorded for %s, after the batch was over", verb->spelling,
                                          day_text(walk->arena, line->day));
        fault->other = end->item->span;
        fault->other_label = "it ended here";
        return false;
    }
    bool stuck_later = walk->first && walk->ledger.began == DAY_NONE;
    if (!stuck_later || !(verb->flags & VERB_OF_STUCK) || may_wait(walk, line)) return true;
    LedgerFault *fault = ledger_fault(walk, "record-order", line, line->item->span,
                                      "%s is recorded for %s, before the cuttings were stuck", verb->spelling,
                                      day_text(walk->arena, line->day));
    fault->other = walk->first->item->span;
    fault->other_label = walk->first->verb == VERB_STUCK ? "stuck here" : "they came with this";
    return false;
}

/* ------------------------------------------------------------------ what only the last line counts of */

static bool opens_later(const RecordLine *line, const RecordLine *other)
{
    return !other || line->day_open > other->day_open ||
           (line->day_open == other->day_open && line->minutes > other->minutes);
}

static void take_state(Ledger *ledger, const RecordLine *line)
{
    if (verb_table[line->verb].flags & VERB_IS_LOOK) ledger->last_look = line;
    if (record_says(line, PIECE_SHUT) && opens_later(line, ledger->shut)) ledger->shut = line;
    if (ends(line) && !ledger->ended) ledger->ended = line;
    switch (line->verb) {
    case VERB_SAMPLE: ledger->last_sample = line; break;
    case VERB_COUNTED: ledger->last_count = line; break;
    case VERB_MOVED: ledger->place = line; break;
    case VERB_FAILING: ledger->failing = line; break;
    case VERB_READY:
    case VERB_ENDED:
    case VERB_ABANDONED: ledger->failing = NULL; break;
    default: break;
    }
}

static void step(LedgerWalk *walk, const RecordLine *line)
{
    const LedgerAlive *alive = &walk->ledger.alive;
    VEC_PUSH(walk->arena, &walk->steps, ((LedgerStep){line, alive->basis, alive->count}));
}

/* ------------------------------------------------------------------ the whole walk */

static bool is_over(Day until, Day day)
{
    return until != DAY_NONE && day > until;
}

static const RecordLine *first_stuck(const Block *record, Day until)
{
    const RecordLine *line = record ? record->lines : NULL;
    while (line && line->verb != VERB_STUCK) line = line->next;
    return line && !is_over(until, line->day) ? line : NULL;
}

/* Where the batch comes from. A batch that was stuck before anything came is one of its own to which others
 * were added; else what it calls stuck is what came. */
static void find_start(LedgerWalk *walk, Day until)
{
    Ledger *ledger = &walk->ledger;
    const RecordLine *stuck = first_stuck(walk->record, until);
    const RecordLine *came = ledger->came_count ? ledger->came[0].line : NULL;
    walk->came_as_stuck = stuck && came && stuck->day >= came->day;
    walk->first = stuck && (walk->came_as_stuck || !came || stuck->day < came->day) ? stuck : came;
}

static void compare_with_givers(LedgerWalk *walk)
{
    const Ledger *ledger = &walk->ledger;
    int64_t came = 0;
    for (size_t i = 0; i < ledger->came_count; i++) came += ledger->came[i].line->count;
    if (!walk->came_as_stuck || came == walk->said_stuck) return;
    const LedgerTransfer *last = &ledger->came[ledger->came_count - 1];
    LedgerFault *fault =
        ledger_fault(walk, "record-batches", walk->first, walk->first->count_span,
                     "%lld were stuck here, and %lld came from %s%s", (long long)walk->said_stuck,
                     (long long)came, last->record->name->text, ledger->came_count > 1 ? " and others" : "");
    fault->other = last->line->count_span;
    fault->other_label = "the other batch says";
}

Ledger ledger_of(const Ledgers *ledgers, Arena *arena, Name batch, const Block *record, Day until)
{
    LedgerWalk walk = {.arena = arena, .record = record, .dead_on = DAY_NONE};
    Ledger *ledger = &walk.ledger;
    ledger->began = ledger->alive.since = DAY_NONE;
    ledger->came = ledgers_came(ledgers, batch, &ledger->came_count);
    while (ledger->came_count && is_over(until, ledger->came[ledger->came_count - 1].line->day))
        ledger->came_count--;
    find_start(&walk, until);
    size_t came = 0;
    const RecordLine *line = record ? record->lines : NULL;
    while ((line && !is_over(until, line->day)) || came < ledger->came_count) {
        bool comes = came < ledger->came_count &&
                     (!line || is_over(until, line->day) || ledger->came[came].line->day <= line->day);
        const RecordLine *next = comes ? ledger->came[came++].line : line;
        if (!comes) line = line->next;
        if (comes) {
            ledger_come(&walk, next);
        } else {
            if (!is_in_order(&walk, next)) continue;
            ledger_take(&walk, next);
            take_state(ledger, next);
        }
        step(&walk, next);
    }
    compare_with_givers(&walk);
    ledger->lots = walk.lots.at;
    ledger->lot_count = walk.lots.count;
    ledger->went = walk.went.at;
    ledger->went_count = walk.went.count;
    ledger->steps = walk.steps.at;
    ledger->step_count = walk.steps.count;
    ledger->faults = walk.faults.at;
    ledger->fault_count = walk.faults.count;
    return *ledger;
}
