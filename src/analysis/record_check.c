/* Records beside what they record: names of stages and tasks, the order of days, batches that nobody planned.
 *
 * A record and a batch name stages and tasks of a protocol that stands elsewhere, so their names are asked
 * for when batch and protocol have met. A line that does not fit is an error at the line: left alone it would
 * move nothing and say nothing.
 */
#include "analysis/record_check.h"

#include "analysis/ledger.h"
#include "analysis/trial_check.h"
#include "base/vec.h"

#include <stdlib.h>

/* A line that names a batch which no block declares, as a table may, or its own. */
typedef struct Sought {
    const Block *record;
    const RecordLine *line;
    bool found;
} Sought;

struct RecordCheck {
    Nursery *nursery;
    Day today;
    Summary *summary;
    Trials trials;
    Ledgers *ledgers; /* made when the first record comes */
    bool *seen;       /* by the order of records */
    VEC(Sought) sought;
    struct {
        const Reading *stands;
        const Protocol *protocol;
        uint32_t generation;
        bool is_in_order;
    } last; /* neighbours in a plan mostly stand alike */
};

static int by_sought(const void *a, const void *b)
{
    const Sought *x = a, *y = b;
    uint32_t first = x->line->other->number, second = y->line->other->number;
    return first < second ? -1 : first > second;
}

static void seek_batches(RecordCheck *check, const Block *record)
{
    Nursery *nursery = check->nursery;
    for (const RecordLine *line = record->lines; line; line = line->next)
        if (record_says(line, PIECE_TO) && line->other != record->name &&
            !nursery_find(nursery, BLOCK_BATCH, line->other))
            VEC_PUSH(nursery->arena, &check->sought, ((Sought){record, line, false}));
}

RecordCheck *record_check_new(Nursery *nursery, Day today, Summary *summary)
{
    RecordCheck *check = ARENA_NEW(nursery->arena, RecordCheck);
    check->nursery = nursery;
    check->today = today;
    check->summary = summary;
    check->trials = trials_of(nursery);
    const BlockList *records = &nursery->lists[BLOCK_RECORD];
    check->seen = ARENA_ARRAY(nursery->arena, bool, records->count);
    for (size_t i = 0; i < records->count; i++) seek_batches(check, records->at[i]);
    if (check->sought.count) qsort(check->sought.at, check->sought.count, sizeof(Sought), by_sought);
    return check;
}

static Note *refuse(RecordCheck *check, const Subject *batch, Severity severity, Span place, const char *name,
                    const char *message)
{
    Note *note = notes_add(check->nursery->notes, severity, name, place, "%s", message);
    Slice id = batch->plan->ids[batch->row];
    note->subject = arena_copy(check->nursery->arena, id.at, id.length);
    return note;
}

/* ------------------------------------------------------------------ names */

static bool is_called(const Block *block, Name name)
{
    return block->name == name || block_has_been(block, name_slice(name));
}

/* What can be named; a dial is set, and recorded like a task. */
typedef enum Sort { SORT_STAGE, SORT_TASK, SORT_TASK_OR_DIAL } Sort;

static size_t count_of(const Protocol *protocol, Sort sort)
{
    if (sort == SORT_STAGE) return protocol->stage_count;
    return sort == SORT_TASK ? protocol->task_count : protocol->schedule->task_count;
}

static const Block *at(const Protocol *protocol, Sort sort, size_t index)
{
    return sort == SORT_STAGE ? protocol->stages[index] : protocol->tasks[index];
}

static bool has_called(const Protocol *protocol, Sort sort, Name name)
{
    for (size_t i = 0; i < count_of(protocol, sort); i++)
        if (is_called(at(protocol, sort, i), name)) return true;
    return false;
}

static void check_name(RecordCheck *check, const Subject *batch, Sort sort, Name name, Span place)
{
    const Protocol *protocol = batch->context->protocol;
    if (has_called(protocol, sort, name)) return;
    Nearest nearest;
    nearest_start(&nearest, name_slice(name));
    for (size_t i = 0; i < count_of(protocol, sort); i++)
        nearest_try(&nearest, name_slice(at(protocol, sort, i)->name));
    Arena *arena = check->nursery->arena;
    const char *kind = block_types[sort == SORT_STAGE ? BLOCK_STAGE : BLOCK_TASK].spelling;
    Note *note = refuse(check, batch, SEVERITY_ERROR, place, "unknown-word",
                        arena_print(arena, "%s has no %s '%s'", protocol->name->text, kind, name->text));
    note_place(note, protocol->written->name_span, "the protocol it follows");
    if (nearest_found(&nearest))
        note->instead = arena_print(arena, "did you mean %.*s?", SLICE_ARG(nearest.best));
}

/* ------------------------------------------------------------------ the batch itself */

static bool is_section(Name name)
{
    const BlockType *type = block_find(name_slice(name));
    return type && (type->where & BLOCK_BIT(BLOCK_PROTOCOL)) && type->naming == NAMING_NONE;
}

static void check_standing(RecordCheck *check, const Subject *batch)
{
    const Reading *stands = plan_cell(batch->plan, batch->row, FIELD_ROW(STANDS_OF_BATCH));
    bool as_before = check->last.stands == stands && check->last.protocol == batch->protocol &&
                     check->last.generation == batch->plan->generation && check->last.is_in_order;
    if (!stands || as_before) return;
    size_t faults = notes_total(check->nursery->notes);
    for (size_t i = 0; i < stands->standing_count; i++)
        if (stands->standings[i].from && !is_section(stands->standings[i].from))
            check_name(check, batch, SORT_STAGE, stands->standings[i].from,
                       plan_place(batch->plan, batch->row, FIELD_ROW(STANDS_OF_BATCH)));
    check->last.stands = stands;
    check->last.protocol = batch->protocol;
    check->last.generation = batch->plan->generation;
    check->last.is_in_order = notes_total(check->nursery->notes) == faults;
}

static void check_moves(RecordCheck *check, const Subject *batch)
{
    const Block *block = batch->plan->blocks ? batch->plan->blocks[batch->row] : NULL;
    for (const Clause *clause = block ? block->clauses : NULL; clause; clause = clause->next)
        if (clause->field->type == TYPE_MOVE && clause->reading)
            check_name(check, batch, SORT_TASK, clause->reading->words[0].name,
                       clause->reading->words[0].span);
}

/* ------------------------------------------------------------------ days */

static const char *day_text(Arena *arena, Day day)
{
    char text[DAY_TEXT];
    return arena_copy(arena, text, day_write(text, day));
}

/* What is to come may be judged off: a nursery that is a story writes its records beforehand. */
static void tell_ahead(RecordCheck *check, const Subject *batch, const RecordLine *line)
{
    Arena *arena = check->nursery->arena;
    Severity severity = nursery_judged(check->nursery, "record-ahead", SEVERITY_ERROR);
    if (severity == SEVERITY_OFF) {
        check->summary->judged_off++;
        return;
    }
    Note *note =
        refuse(check, batch, severity, line->item->span, "record-ahead",
               arena_print(arena, "%s is recorded for %s, and today is %s", verb_table[line->verb].spelling,
                           day_text(arena, line->day), day_text(arena, check->today)));
    note->instead = "a record says what has happened; what is to come stands in the plan";
}

/* ------------------------------------------------------------------ numbers */

static void tell_fault(RecordCheck *check, const Subject *batch, const LedgerFault *fault)
{
    Note *note = refuse(check, batch, SEVERITY_ERROR, fault->place, fault->finding, fault->message);
    note->instead = fault->instead;
    if (fault->other.text) note_place(note, fault->other, fault->other_label);
}

/* What a ledger without a fault took is given back. */
static void check_numbers(RecordCheck *check, const Subject *batch)
{
    Arena *arena = check->nursery->arena;
    if (!check->ledgers) check->ledgers = ledgers_new(arena, check->nursery);
    ArenaMark mark = arena_mark(arena);
    Ledger ledger = ledger_of(check->ledgers, arena, batch->record->name, batch->record, DAY_NONE);
    for (size_t i = 0; i < ledger.fault_count; i++) tell_fault(check, batch, &ledger.faults[i]);
    if (!ledger.fault_count) arena_release(arena, mark);
}

/* ------------------------------------------------------------------ lines */

static void check_line(RecordCheck *check, const Subject *batch, const RecordLine *line)
{
    if (line->verb == VERB_READY) check_name(check, batch, SORT_STAGE, line->thing, line->thing_span);
    if (line->verb == VERB_DONE || line->verb == VERB_SKIPPED)
        check_name(check, batch, SORT_TASK_OR_DIAL, line->thing, line->thing_span);
    if (line->verb == VERB_TRIAL) trial_check_line(check->nursery, &check->trials, batch, line);
    if (check->today != DAY_NONE && line->day > check->today) tell_ahead(check, batch, line);
}

static size_t index_of(const BlockList *records, const Block *record)
{
    size_t low = 0, high = records->count;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        if (slice_compare(name_slice(records->at[middle]->name), name_slice(record->name)) < 0)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

/* The first line that seeks a batch of this name or of one behind it. */
static size_t first_sought(const RecordCheck *check, Name name)
{
    size_t low = 0, high = check->sought.count;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        if (check->sought.at[middle].line->other->number < name->number)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

void record_check_seen(RecordCheck *check, Slice batch, const Block *record)
{
    Name name = check->sought.count ? names_find(check->nursery->names, batch) : NULL;
    for (size_t i = name ? first_sought(check, name) : check->sought.count;
         i < check->sought.count && check->sought.at[i].line->other == name; i++)
        check->sought.at[i].found = true;
    if (record) check->seen[index_of(&check->nursery->lists[BLOCK_RECORD], record)] = true;
}

void record_check_batch(RecordCheck *check, const Subject *batch)
{
    check_standing(check, batch);
    check_moves(check, batch);
    if (!batch->record) return;
    for (const RecordLine *line = batch->record->lines; line; line = line->next)
        check_line(check, batch, line);
    check_numbers(check, batch);
}

static void tell_sought(RecordCheck *check, const Sought *sought)
{
    const RecordLine *line = sought->line;
    if (!sought->found) record_check_goal(check->nursery, sought->record->id, line);
}

void record_check_goal(Nursery *nursery, const char *batch, const RecordLine *line)
{
    Note *note = notes_add(nursery->notes, SEVERITY_ERROR, "unknown-word", line->other_span,
                           "no batch is called '%s'", line->other->text);
    note->subject = batch;
    note->instead = nursery_nearest(nursery, BLOCK_BATCH, name_slice(line->other));
    if (!note->instead) note->instead = "what is split off or stuck again is a batch of its own: declare it";
}

void record_check_unplanned(Nursery *nursery, Slice batch, Span place)
{
    Note *note = notes_add(nursery->notes, SEVERITY_ERROR, "unknown-word", place, "no batch is called '%.*s'",
                           SLICE_ARG(batch));
    note->subject = arena_copy(nursery->arena, batch.at, batch.length);
    note->instead = nursery_nearest(nursery, BLOCK_BATCH, batch);
    if (!note->instead)
        note->instead = "if its plan is a table, name the table too, or use it in the nursery";
}

void record_check_finish(RecordCheck *check)
{
    for (size_t i = 0; i < check->sought.count; i++) tell_sought(check, &check->sought.at[i]);
    const BlockList *records = &check->nursery->lists[BLOCK_RECORD];
    for (size_t i = 0; i < records->count; i++) {
        const Block *record = records->at[i];
        if (!check->seen[i])
            record_check_unplanned(check->nursery, name_slice(record->name), record->name_span);
    }
}
