/* The difference between two nurseries as JSON, version 1; the schema is docs/diff.schema.json. */
#include "write/briefing.h"

#include "base/json.h"
#include "write/place.h"

static const char *const cell_name[CELLS] = {[CELL_LOW_RAISED] = "low-raised",
                                             [CELL_LOW_SET] = "low-set",
                                             [CELL_LOW_LOWERED] = "low-lowered",
                                             [CELL_LOW_UNSET] = "low-unset",
                                             [CELL_HIGH_LOWERED] = "high-lowered",
                                             [CELL_HIGH_SET] = "high-set",
                                             [CELL_HIGH_RAISED] = "high-raised",
                                             [CELL_HIGH_UNSET] = "high-unset",
                                             [CELL_MEMBER_ADDED] = "member-added",
                                             [CELL_MEMBER_REMOVED] = "member-removed",
                                             [CELL_CLAUSE_ADDED] = "clause-added",
                                             [CELL_CLAUSE_REMOVED] = "clause-removed",
                                             [CELL_REPLACED] = "replaced",
                                             [CELL_STRICTER] = "stricter",
                                             [CELL_MILDER] = "milder",
                                             [CELL_REASON] = "reason",
                                             [CELL_SOURCE] = "source"};

static const char *const kind_name[] = {
    [CHANGE_CLAUSE] = "clause",       [CHANGE_BLOCK] = "block", [CHANGE_RENAMED] = "renamed",
    [CHANGE_TITLE] = "title",         [CHANGE_ORDER] = "order", [CHANGE_SEVERITY] = "severity",
    [CHANGE_CONDITION] = "condition", [CHANGE_LINES] = "lines"};

static void write_place(Json *json, const char *key, Span span)
{
    Place place = place_of(span);
    json_key(json, key);
    if (!*place.file) {
        json_null(json);
        return;
    }
    json_object(json);
    json_field_text(json, "file", place.file);
    json_field_integer(json, "line", place.line);
    json_field_integer(json, "column", place.column);
    json_end_object(json);
}

static Span place_of_side(const Clause *clause, const Block *block)
{
    return clause ? clause_place(clause) : block ? block->name_span : (Span){0};
}

static void write_texts(Json *json, const char *key, const char *const *texts, size_t count)
{
    json_key(json, key);
    json_array(json);
    for (size_t i = 0; i < count; i++) json_text(json, texts[i]);
    json_end_array(json);
}

static void write_change(Json *json, const Change *change)
{
    bool clause = change->kind == CHANGE_CLAUSE;
    json_object(json);
    json_field_text(json, "chapter", chapter_name[change->chapter]);
    json_field_text(json, "direction", direction_name[change->direction]);
    json_field_text(json, "kind", kind_name[change->kind]);
    json_key(json, "owner");
    json_object(json);
    json_field_text(json, "block", block_types[change->owner_kind].spelling);
    json_field_text(json, "name", change->owner);
    json_end_object(json);
    json_field_text(json, "path", change->path);
    json_field_text(json, "field", change->field ? change->field->spelling : NULL);
    json_field_text(json, "strength", clause ? change->strength : NULL);
    json_key(json, "cells");
    json_array(json);
    for (int cell = 0; cell < CELLS; cell++)
        if (change->cells & (UINT32_C(1) << cell)) json_text(json, cell_name[cell]);
    json_end_array(json);
    json_field_text(json, "was", change->was);
    json_field_text(json, "is", change->is);
    json_field_text(json, "shape", change->shape);
    if (change->after && change->after->item->because.length)
        json_field_slice(json, "because", change->after->item->because);
    if (change->kind == CHANGE_RENAMED) {
        json_key(json, "guessed");
        json_bool(json, change->guessed);
    }
    write_place(json, "before",
                place_of_side(change->before, clause && change->after ? NULL : change->block_before));
    write_place(json, "after",
                place_of_side(change->after, clause && change->before ? NULL : change->block_after));
    write_texts(json, "reaches", change->reaches, change->reach_count);
    json_end_object(json);
}

static void write_findings(Json *json, const char *key, const Note *const *notes, size_t count)
{
    json_key(json, key);
    json_array(json);
    for (size_t i = 0; i < count; i++) {
        json_object(json);
        json_field_text(json, "name", notes[i]->name);
        json_field_text(json, "severity", severity_name[notes[i]->severity]);
        json_field_text(json, "message", notes[i]->message);
        json_end_object(json);
    }
    json_end_array(json);
}

static void write_task_change(Json *json, const TaskChange *change)
{
    json_object(json);
    json_field_text(json, "path", change->path);
    json_field_integer(json, "added", (int64_t)change->added);
    json_field_integer(json, "dropped", (int64_t)change->dropped);
    json_field_integer(json, "moved", (int64_t)change->moved);
    json_key(json, "days-later");
    json_array(json);
    if (change->moved) json_integer(json, change->least);
    if (change->moved) json_integer(json, change->most);
    json_end_array(json);
    json_end_object(json);
}

static void write_needed(Json *json, const BatchChange *batch)
{
    static const char *const keys[] = {"was", "is"};
    if (batch->needed[0] == batch->needed[1]) return;
    json_key(json, "to-stick");
    json_object(json);
    json_field_integer(json, "wanted", batch->wanted);
    for (int side = 0; side < 2; side++)
        if (batch->needed[side] != NEEDED_UNKNOWN) json_field_integer(json, keys[side], batch->needed[side]);
    json_end_object(json);
}

static void write_plan(Json *json, const PlanDiff *plan, const char *name)
{
    json_key(json, "plan");
    json_object(json);
    json_field_text(json, "name", name);
    json_key(json, "batches");
    json_array(json);
    for (size_t i = 0; i < plan->batch_count; i++) {
        const BatchChange *batch = &plan->batches[i];
        json_object(json);
        json_field_text(json, "batch", batch->batch);
        write_findings(json, "appear", batch->appear, batch->appear_count);
        write_findings(json, "vanish", batch->vanish, batch->vanish_count);
        write_needed(json, batch);
        json_key(json, "tasks");
        json_array(json);
        for (size_t k = 0; k < batch->task_count; k++) write_task_change(json, &batch->tasks[k]);
        json_end_array(json);
        json_end_object(json);
    }
    json_end_array(json);
    json_key(json, "totals");
    json_object(json);
    json_field_integer(json, "batches", (int64_t)plan->all);
    json_field_integer(json, "findings-appear", (int64_t)plan->appear);
    json_field_integer(json, "findings-vanish", (int64_t)plan->vanish);
    json_field_integer(json, "tasks-added", (int64_t)plan->added);
    json_field_integer(json, "tasks-dropped", (int64_t)plan->dropped);
    json_field_integer(json, "tasks-moved", (int64_t)plan->moved);
    json_field_integer(json, "to-stick-otherwise", (int64_t)plan->needed);
    json_end_object(json);
    json_end_object(json);
}

void briefing_write_json(Buffer *out, const Briefing *briefing)
{
    const Diff *diff = briefing->diff;
    Json json;
    json_start(&json, out, true);
    json_object(&json);
    json_field_integer(&json, "version", 1);
    json_field_text(&json, "command", "diff");
    json_field_text(&json, "before", briefing->before);
    json_field_text(&json, "after", briefing->after);
    json_key(&json, "changes");
    json_array(&json);
    for (size_t i = 0; i < diff->count; i++) write_change(&json, &diff->changes[i]);
    json_end_array(&json);
    json_field_integer(&json, "left-out", (int64_t)briefing->left_out);
    json_key(&json, "totals");
    json_object(&json);
    for (int i = DIRECTION_EDITORIAL; i < DIRECTIONS; i++)
        json_field_integer(&json, direction_name[i], (int64_t)diff->directions[i]);
    json_field_integer(&json, "protocols", (int64_t)diff->protocols);
    json_field_integer(&json, "protocols-changed", (int64_t)diff->protocols_changed);
    json_end_object(&json);
    if (briefing->plan) write_plan(&json, briefing->plan, briefing->plan_name);
    json_end_object(&json);
    buffer_char(out, '\n');
}
