/* Records beside what they record: names of stages and tasks, the order of days, batches that nobody planned.
 *
 * A record and a batch name stages and tasks of a protocol that stands elsewhere, so their names are asked
 * for when batch and protocol have met. A line that does not fit is an error at the line: left alone it would
 * move nothing and say nothing.
 */
#include "analysis/record_check.h"

struct RecordCheck {
    Nursery *nursery;
    Day today;
    Summary *summary;
    bool *seen; /* by the order of records */
    struct {
        const Reading *stands;
        const Protocol *protocol;
        uint32_t generation;
        bool is_in_order;
    } last; /* neighbours in a plan mostly stand alike */
};

RecordCheck *record_check_new(Nursery *nursery, Day today, Summary *summary)
{
    RecordCheck *check = ARENA_NEW(nursery->arena, RecordCheck);
    check->nursery = nursery;
    check->today = today;
    check->summary = summary;
    check->seen = ARENA_ARRAY(nursery->arena, bool, nursery->lists[BLOCK_RECORD].count);
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

/* What can only have happened to cuttings that were stuck. */
static bool needs_sticking(Verb verb)
{
    switch (verb) {
    case VERB_SAMPLE:
    case VERB_COUNTED:
    case VERB_CULLED:
    case VERB_RESTUCK:
    case VERB_SPLIT:
    case VERB_WEANED:
    case VERB_POTTED:
    case VERB_LIFTED:
    case VERB_SOLD: return true;
    default: return false;
    }
}

static bool ends(Verb verb)
{
    return verb == VERB_ENDED || verb == VERB_ABANDONED;
}

static const RecordLine *first_of(const Block *record, bool wanted(Verb verb))
{
    const RecordLine *first = NULL;
    for (const RecordLine *line = record->lines; line; line = line->next)
        if (wanted(line->verb) && (!first || line->day < first->day)) first = line;
    return first;
}

static bool sticks(Verb verb)
{
    return verb == VERB_STUCK;
}

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

static void check_day(RecordCheck *check, const Subject *batch, const RecordLine *line,
                      const RecordLine *stuck, const RecordLine *end)
{
    Arena *arena = check->nursery->arena;
    const char *verb = verb_table[line->verb].spelling, *day = day_text(arena, line->day);
    if (check->today != DAY_NONE && line->day > check->today) tell_ahead(check, batch, line);
    if (stuck && line->day < stuck->day && needs_sticking(line->verb)) {
        Note *note =
            refuse(check, batch, SEVERITY_ERROR, line->item->span, "record-order",
                   arena_print(arena, "%s is recorded for %s, before the cuttings were stuck", verb, day));
        note_place(note, stuck->item->span, "stuck here");
    } else if (end && line->day > end->day && !ends(line->verb) && line->verb != VERB_CORRECT &&
               line->verb != VERB_NOTE) {
        Note *note = refuse(check, batch, SEVERITY_ERROR, line->item->span, "record-order",
                            arena_print(arena, "%s is recorded for %s, after the batch was over", verb, day));
        note_place(note, end->item->span, "it ended here");
    }
}

static void check_line(RecordCheck *check, const Subject *batch, const RecordLine *line)
{
    if (line->verb == VERB_READY) check_name(check, batch, SORT_STAGE, line->thing, line->thing_span);
    if (line->verb == VERB_DONE || line->verb == VERB_SKIPPED)
        check_name(check, batch, SORT_TASK_OR_DIAL, line->thing, line->thing_span);
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

void record_check_seen(RecordCheck *check, const Block *record)
{
    if (record) check->seen[index_of(&check->nursery->lists[BLOCK_RECORD], record)] = true;
}

void record_check_batch(RecordCheck *check, const Subject *batch)
{
    check_standing(check, batch);
    check_moves(check, batch);
    if (!batch->record) return;
    const RecordLine *stuck = first_of(batch->record, sticks), *end = first_of(batch->record, ends);
    for (const RecordLine *line = batch->record->lines; line; line = line->next) {
        check_line(check, batch, line);
        check_day(check, batch, line, stuck, end);
    }
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
    const BlockList *records = &check->nursery->lists[BLOCK_RECORD];
    for (size_t i = 0; i < records->count; i++) {
        const Block *record = records->at[i];
        if (!check->seen[i])
            record_check_unplanned(check->nursery, name_slice(record->name), record->name_span);
    }
}
