/* Trials and their records beside each other: see trial_check.h. */
#include "analysis/trial_check.h"

/* ------------------------------------------------------------------ telling */

static Note *tell(Nursery *nursery, const Trial *trial, Span place, const char *message)
{
    Note *note = notes_add(nursery->notes, SEVERITY_ERROR, "trial", place, "%s", message);
    note->subject = trial->block->id;
    return note;
}

static Note *tell_unknown(Nursery *nursery, const char *subject, Span place, const char *message,
                          Nearest *nearest)
{
    Note *note = notes_add(nursery->notes, SEVERITY_ERROR, "unknown-word", place, "%s", message);
    note->subject = subject;
    if (nearest_found(nearest))
        note->instead = arena_print(nursery->arena, "did you mean %.*s?", SLICE_ARG(nearest->best));
    return note;
}

/* ------------------------------------------------------------------ a trial by itself */

static const Reading *said(const Block *block, const Field *field)
{
    const Clause *clause = block_clause(block, field);
    return clause ? clause->reading : NULL;
}

/* A clause that could not be read was reported, and is not missed. */
static bool lacks(const Trial *trial, const Field *field)
{
    return !block_clause(trial->block, field);
}

static bool all_say_the_same(const Trial *trial, const Field *field)
{
    const Reading *first = said(trial->ways[0], field);
    for (size_t i = 0; i < trial->way_count; i++) {
        const Reading *other = said(trial->ways[i], field);
        if (!first != !other || (first && !reading_equal(first, other))) return false;
    }
    return true;
}

static bool ways_differ(const Trial *trial)
{
    for (size_t i = 0; i < field_count; i++)
        if (fieldset_has(&trial->fields, &field_table[i]) && !all_say_the_same(trial, &field_table[i]))
            return true;
    return false;
}

static void check_names_of_ways(Nursery *nursery, const Trial *trial)
{
    for (size_t i = 0; i < trial->way_count; i++) {
        const Block *first = trial_way(trial, trial->ways[i]->name);
        if (first == trial->ways[i]) continue;
        Note *note = notes_add(nursery->notes, SEVERITY_ERROR, "duplicate", trial->ways[i]->name_span,
                               "there are two ways called %s", first->name->text);
        note->subject = trial->block->id;
        note_place(note, first->name_span, "the other one");
    }
}

static void check_trays(Nursery *nursery, const Trial *trial)
{
    for (size_t i = 1; i < trial->way_count; i++)
        for (size_t k = 0; k < i; k++) {
            const Clause *one = block_clause(trial->ways[i], FIELD_ROW(TRAYS_OF_WAY)),
                         *other = block_clause(trial->ways[k], FIELD_ROW(TRAYS_OF_WAY));
            if (!one || !other || !one->reading || !other->reading ||
                intervals_disjoint(one->reading->numbers, other->reading->numbers))
                continue;
            Note *note = tell(nursery, trial, clause_value_place(one),
                              arena_print(nursery->arena,
                                          "a container stands in %s and in %s: it can be of one way only",
                                          trial->ways[i]->name->text, trial->ways[k]->name->text));
            note_place(note, clause_value_place(other), "here too");
        }
}

static void check_difference(Nursery *nursery, const Trial *trial)
{
    const Clause *clause = block_clause(trial->block, FIELD_ROW(DIFFERENCE));
    if (!clause || !clause->reading) return;
    if (number_compare(trial->difference, NUMBER(0)) > 0 && number_compare(trial->difference, NUMBER(1)) < 0)
        return;
    tell(nursery, trial, clause_value_place(clause),
         "a difference between shares lies between 0 and 100 %: difference at least 15 %");
}

static void check_reading(Nursery *nursery, const Trial *trial)
{
    if (!trial->read) return;
    const WrittenMoment *moment = &trial->read->moment;
    bool of_stage = moment->kind == MOMENT_START || moment->kind == MOMENT_END;
    if (moment->kind != MOMENT_EVENT && (!of_stage || moment->stage)) return;
    tell(nursery, trial, clause_value_place(block_clause(trial->block, FIELD_ROW(READ))),
         of_stage ? "of which stage? a trial is read so long after stick, or end of STAGE"
                  : "a trial is read so long after its batch was stuck, not after a day of the year");
}

static void check_block(Nursery *nursery, const Trial *trial)
{
    Span name = trial->block->name_span;
    if (lacks(trial, FIELD_ROW(BATCH_OF_TRIAL)))
        tell(nursery, trial, name, "a trial lies in a batch")->instead = "say in which: in H27-05";
    if (lacks(trial, FIELD_ROW(MEASURE_OF_TRIAL)))
        tell(nursery, trial, name, "it is not said what is counted of each way")->instead =
            "say measure rooted";
    if (trial->way_count < 2)
        tell(nursery, trial, name, "a trial lays two ways or more side by side")->instead =
            "write way whole { … } and way halved { … }";
    else if (!ways_differ(trial))
        tell(nursery, trial, name, "its ways are all alike: what is done otherwise in one of them?");
    check_names_of_ways(nursery, trial);
    check_trays(nursery, trial);
    check_difference(nursery, trial);
    check_reading(nursery, trial);
}

void trial_check_blocks(Nursery *nursery, const Trials *trials)
{
    for (size_t i = 0; i < trials->count; i++) check_block(nursery, &trials->at[i]);
}

/* ------------------------------------------------------------------ in its batch */

static bool has_stage(const Protocol *protocol, Name name, Nearest *nearest)
{
    for (size_t i = 0; i < protocol->stage_count; i++) {
        nearest_try(nearest, name_slice(protocol->stages[i]->name));
        if (protocol->stages[i]->name == name || block_has_been(protocol->stages[i], name_slice(name)))
            return true;
    }
    return false;
}

static bool stage_is_known(Nursery *nursery, const Trial *trial, const Subject *batch)
{
    Name stage = trial->read ? trial->read->moment.stage : NULL;
    const Protocol *protocol = batch->context->protocol;
    Nearest nearest;
    nearest_start(&nearest, name_slice(stage));
    if (!stage || has_stage(protocol, stage, &nearest)) return true;
    tell_unknown(nursery, trial->block->id, clause_value_place(block_clause(trial->block, FIELD_ROW(READ))),
                 arena_print(nursery->arena, "%s has no stage '%s'", protocol->name->text, stage->text),
                 &nearest);
    return false;
}

static bool trays_are_there(Nursery *nursery, const Trial *trial, const Subject *batch)
{
    BatchSize size = batch_size(batch);
    bool there = true;
    for (size_t i = 0; i < trial->way_count && size.has_trays; i++) {
        const Clause *clause = block_clause(trial->ways[i], FIELD_ROW(TRAYS_OF_WAY));
        Interval all = interval_closed(NUMBER(1), NUMBER(size.trays));
        if (!clause || !clause->reading || intervals_within(clause->reading->numbers, (IntervalSet){&all, 1}))
            continue;
        tell(nursery, trial, clause_value_place(clause),
             arena_print(nursery->arena, "the batch has %lld containers, numbered from 1",
                         (long long)size.trays));
        there = false;
    }
    return there;
}

bool trial_check_batch(Nursery *nursery, const Trial *trial, const Subject *batch)
{
    bool stage = stage_is_known(nursery, trial, batch), trays = trays_are_there(nursery, trial, batch);
    return stage && trays;
}

/* ------------------------------------------------------------------ records */

static const Trial *trial_of_line(Nursery *nursery, const Trials *trials, const Subject *batch,
                                  const RecordLine *line)
{
    const Trial *trial = trials_called(trials, line->thing);
    Slice id = batch->plan->ids[batch->row];
    const char *subject = arena_copy(nursery->arena, id.at, id.length);
    Nearest nearest;
    nearest_start(&nearest, name_slice(line->thing));
    for (size_t i = 0; i < trials->count; i++) nearest_try(&nearest, name_slice(trials->at[i].block->name));
    if (!trial) {
        tell_unknown(nursery, subject, line->thing_span,
                     arena_print(nursery->arena, "there is no trial '%s'", line->thing->text), &nearest);
        return NULL;
    }
    if (!trial->batch || slice_equal(name_slice(trial->batch), id)) return trial;
    Note *note = tell(nursery, trial, line->thing_span,
                      arena_print(nursery->arena, "%s lies in %s, and this is the record of %s",
                                  line->thing->text, trial->batch->text, subject));
    note_place(note, trial->block->name_span, "the trial");
    return NULL;
}

/* Gives whether the way is known. */
static bool check_count(Nursery *nursery, const Trial *trial, const RecordClass *count)
{
    bool known = trial_way(trial, count->name) != NULL;
    if (!known) {
        Nearest nearest;
        nearest_start(&nearest, name_slice(count->name));
        for (size_t i = 0; i < trial->way_count; i++) nearest_try(&nearest, name_slice(trial->ways[i]->name));
        Note *note = tell_unknown(
            nursery, trial->block->id, count->span,
            arena_print(nursery->arena, "%s has no way '%s'", trial->block->name->text, count->name->text),
            &nearest);
        note_place(note, trial->block->name_span, "the trial");
    } else if (count->count > count->of || !count->of) {
        tell(nursery, trial, count->span,
             count->of ? "more are counted than there are" : "of none nothing can be counted");
    }
    return known;
}

static bool is_counted(const RecordLine *line, Name way)
{
    for (size_t i = 0; i < line->class_count; i++)
        if (line->classes[i].name == way) return true;
    return false;
}

void trial_check_line(Nursery *nursery, const Trials *trials, const Subject *batch, const RecordLine *line)
{
    const Trial *trial = trial_of_line(nursery, trials, batch, line);
    BatchSize size = batch_size(batch);
    int64_t all = 0;
    bool known = true; /* all that is counted; else a way that is missed may be there under another name */
    if (!trial) return;
    for (size_t i = 0; i < line->class_count; i++) {
        known &= check_count(nursery, trial, &line->classes[i]);
        all += line->classes[i].of;
    }
    for (size_t i = 0; i < trial->way_count && known; i++)
        if (!is_counted(line, trial->ways[i]->name))
            tell(nursery, trial, line->thing_span,
                 arena_print(nursery->arena, "%s is not counted: a trial is read in all its ways at once",
                             trial->ways[i]->name->text));
    if (size.has_count && all > size.count)
        tell(nursery, trial, line->item->value.span,
             arena_print(nursery->arena, "its ways have %lld together, and the batch %lld", (long long)all,
                         (long long)size.count));
}

void trial_check_finish(Nursery *nursery, const Trials *trials, const bool *seen)
{
    for (size_t i = 0; i < trials->count; i++) {
        const Trial *trial = &trials->at[i];
        if (seen[i] || !trial->batch) continue;
        Note *note = notes_add(nursery->notes, SEVERITY_ERROR, "unknown-word",
                               clause_value_place(block_clause(trial->block, FIELD_ROW(BATCH_OF_TRIAL))),
                               "no batch is called '%s'", trial->batch->text);
        note->subject = trial->block->id;
        note->instead = nursery_nearest(nursery, BLOCK_BATCH, name_slice(trial->batch));
        if (!note->instead)
            note->instead = "if its plan is a table, name the table too, or use it in the nursery";
    }
}
