/* What goes wrong with the dates of batches: told once for each protocol, task or stage and fault, with the
 * number of batches. */
#include "analysis/lint_work.h"

static const DateFaultText texts[TIMELINE_FAULTS] = {
    [FAULT_UNTIL_JUMP] = {"until-jump", SEVERITY_WARNING,
                          "whether it comes early or late decides in which year the stage ends",
                          "whether it comes early or late decides in which year it falls",
                          "shorten what comes before, or give the stage a length", true},
    [FAULT_GATE_JUMP] = {"gate-jump", SEVERITY_WARNING,
                         "early it begins in one year, late it waits for the next",
                         "early it is done in one year, late it waits for the next", NULL, true},
    [FAULT_OFFSET_TOO_LONG] = {"offset-too-long", SEVERITY_WARNING, "it would begin before what it hangs on",
                               "it would fall before its stage begins and is put on the first day", NULL,
                               true},
    [FAULT_TASK_NEVER] = {"task-never", SEVERITY_WARNING, NULL, "it never comes",
                          "look at its first day and at the length of its stage", true},
    [FAULT_EMPTY_STAGE] = {"empty-stage", SEVERITY_WARNING, "it ends before it begins", NULL,
                           "stick earlier, or let it begin later", true},
    [FAULT_TOO_LATE] = {"too-late", SEVERITY_WARNING, NULL, "even at its earliest it is past its latest day",
                        NULL, true},
    [FAULT_TOO_MANY] = {"not-computed", SEVERITY_ERROR, NULL, "it comes more than 1,000 times",
                        "make it rarer, or its stage shorter", false},
    [FAULT_OUT_OF_RANGE] = {"not-computed", SEVERITY_ERROR, "its dates lie outside 1900 .. 2199",
                            "its dates lie outside 1900 .. 2199", NULL, false},
    [FAULT_NO_EVENT] = {"no-event", SEVERITY_ERROR, "it hangs on an event that the site does not declare",
                        "it hangs on an event that the site does not declare",
                        "declare it in the site, as last-frost 28 Apr", false},
    [FAULT_READY_BEFORE] = {"ready-before", SEVERITY_ERROR, "it is recorded as ready before it began", NULL,
                            "look at the dates in the record", false},
    [FAULT_NO_OPEN_DAY] = {"no-open-day", SEVERITY_WARNING, NULL,
                           "it falls on a closed day, and no open one is near enough",
                           "slack 7 days, or duty yes if it cannot wait", false},
    [FAULT_NOBODY_THERE] = {"nobody-there", SEVERITY_WARNING, NULL,
                            "it cannot wait, and nobody is there that day",
                            "give the site a duty on its closed days", false},
};

static DateFault *fault_called(Lint *lint, const Protocol *protocol, const TimelineNote *note)
{
    for (size_t i = 0; i < lint->date_faults.count; i++) {
        DateFault *known = &lint->date_faults.at[i];
        if (known->protocol == protocol && known->fault == note->fault && known->stage == note->stage &&
            known->task == note->task)
            return known;
    }
    DateFault *fault = VEC_ADD(lint->nursery->arena, &lint->date_faults);
    *fault = (DateFault){.protocol = protocol,
                         .fault = note->fault,
                         .stage = note->stage,
                         .task = note->task,
                         .day = DAY_NONE};
    return fault;
}

const DateFaultText *date_fault_text(TimelineFault fault)
{
    return &texts[fault];
}

void dates_told(Lint *lint, const Protocol *protocol, const TimelineNote *note)
{
    fault_called(lint, protocol, note)->told = true;
}

bool dates_have(const Lint *lint, TimelineFault fault)
{
    for (size_t i = 0; i < lint->date_faults.count; i++)
        if (lint->date_faults.at[i].fault == fault) return true;
    return false;
}

/* The stage hangs on an event that is not there: that its tasks have no dates follows from it. */
static bool has_no_event(const Timeline *timeline, int stage)
{
    for (size_t i = 0; i < timeline->note_count; i++)
        if (timeline->notes[i].fault == FAULT_NO_EVENT && timeline->notes[i].stage == stage) return true;
    return false;
}

/* The closed day on which a task is planned, the first of several. */
static Day day_of(const Timeline *timeline, const TimelineNote *note)
{
    for (size_t i = 0; i < timeline->task_count; i++) {
        const TaskDate *date = &timeline->tasks[i];
        bool meant = (note->fault == FAULT_NO_OPEN_DAY && date->unopened) ||
                     (note->fault == FAULT_NOBODY_THERE && date->unattended);
        if (date->task == note->task && meant) return date->date.on[RUN_PLANNED];
    }
    return DAY_NONE;
}

void dates_take(Lint *lint, const Subject *batch)
{
    const Timeline *timeline = batch->timeline;
    for (size_t i = 0; timeline && timeline->dated && i < timeline->note_count; i++) {
        const TimelineNote *note = &timeline->notes[i];
        bool short_hold = note->stage == SECTION_HOLD; /* has no time for it */
        if (note->fault == FAULT_TASK_NEVER && (short_hold || has_no_event(timeline, note->stage))) continue;
        DateFault *fault = fault_called(lint, batch->context->protocol, note);
        if (!fault->told && fault->count < UNDECIDED_PLACES) {
            fault->places[fault->count] = plan_place(batch->plan, batch->row, FIELD_ROW(STICK));
            Slice id = batch->plan->ids[batch->row];
            fault->subjects[fault->count] = arena_copy(lint->nursery->arena, id.at, id.length);
        }
        if (!fault->count) fault->day = day_of(timeline, note);
        fault->count++;
        lint->summary.broken++;
    }
}

static DateFaultBearer bearing(const Block *block, const char *label)
{
    return (DateFaultBearer){block->id, block->name ? block->name->text : "the plan", block->name_span,
                             label};
}

DateFaultBearer date_fault_bearer(Arena *arena, const Protocol *protocol, const TimelineNote *note)
{
    if (note->task < 0)
        return bearing(note->stage >= 0 ? protocol->stages[note->stage] : protocol->effective, "the stage");
    DateFaultBearer bearer = bearing(protocol->tasks[note->task], "the task");
    const DialRow *setting = protocol->schedule->tasks[note->task].setting;
    if (!setting) return bearer;
    bearer.id = arena_print(arena, "%s/%d", bearer.id, (int)setting->first);
    bearer.name = arena_print(arena, "%s on day %d", bearer.name, (int)setting->first);
    bearer.span = clause_value_place(protocol->settings[note->task - (int)protocol->task_count]);
    bearer.label = "the setting";
    return bearer;
}

static const char *long_day(Arena *arena, Day day)
{
    char text[DAY_TEXT];
    return arena_copy(arena, text, day_write_long(text, day));
}

void dates_report(Lint *lint)
{
    for (size_t i = 0; i < lint->date_faults.count; i++) {
        const DateFault *fault = &lint->date_faults.at[i];
        const DateFaultText *text = &texts[fault->fault];
        Severity severity = nursery_judged(lint->nursery, text->name, text->severity);
        const char *what = fault->task >= 0 ? text->of_task : text->of_stage;
        if (severity == SEVERITY_OFF || !what || fault->told) continue;
        const TimelineNote found = {fault->fault, fault->stage, fault->task};
        DateFaultBearer bearer = date_fault_bearer(lint->nursery->arena, fault->protocol, &found);
        const char *others = fault->count == 1
                                 ? ""
                                 : arena_print(lint->nursery->arena, " (and in %llu more batches)",
                                               (unsigned long long)fault->count - 1);
        Note *note = notes_add(lint->nursery->notes, severity, text->name, fault->places[0], "%s of %s%s: %s",
                               bearer.name, fault->subjects[0], others, what);
        if (fault->day != DAY_NONE) note->found = long_day(lint->nursery->arena, fault->day);
        note->subject = fault->subjects[0];
        note->field = bearer.id;
        note->instead = text->instead;
        note_place(note, bearer.span, bearer.label);
        for (size_t k = 1; k < UNDECIDED_PLACES && k < fault->count; k++)
            note_place(note, fault->places[k], "here too");
    }
}
