/* One plan under two nurseries: see plan_diff.h. */
#include "analysis/plan_diff.h"

#include "analysis/expand.h"
#include "analysis/forecast.h"
#include "analysis/lint.h"
#include "base/vec.h"

#include <stdlib.h>
#include <string.h>

typedef struct DatedTask {
    Name batch, path;
    int number;
    Day day;
} DatedTask;
typedef VEC(DatedTask) DatedTasks;

/* What a batch wants and how many that takes. */
typedef struct Needed {
    Name batch;
    int64_t wanted, stuck;
} Needed;
typedef VEC(Needed) Needs;

typedef struct Half {
    Nursery *nursery;
    Notes *notes;
    Lint *lint;
    Expansion *expansion;
    size_t rows;      /* read so far */
    DatedTasks tasks; /* not yet compared */
    Survey *survey;
    Needs needs; /* not yet compared */
} Half;

/* A batch while its changes are gathered. */
typedef struct Gathered {
    BatchChange change;
    VEC(TaskChange) tasks;
    VEC(const Note *) appear, vanish;
} Gathered;

struct PlanComparison {
    Arena *arena;
    Half halves[2];
    VEC(Name) order;         /* the plan's batches, each once */
    VEC(uint32_t) index_of;  /* by the number of a name: 1 + its place in `order` */
    VEC(Gathered *) batches; /* as many as `order`; NULL until something changes */
    PlanDiff result;
};

/* ------------------------------------------------------------------ both sides */

static bool keep_task(void *to, const WorkTask *task)
{
    Half *half = to;
    Day day = task->date->date.on[task->date->watch ? RUN_EARLY : RUN_PLANNED];
    if (day == DAY_NONE) return true;
    VEC_PUSH(half->nursery->arena, &half->tasks,
             ((DatedTask){names_intern(half->nursery->names, task->batch),
                          names_intern(half->nursery->names, slice_of(task->path + (*task->path == '/'))),
                          task->date->number, day}));
    return true;
}

static void keep_needed(void *to, const FactSource *source, const SurveyBatch *batch)
{
    Half *half = to;
    if (!plan_cell(batch->subject->plan, batch->subject->row, FIELD_ROW(WANT))) return;
    Forecast forecast = forecast_of(source, NULL, batch);
    if (!forecast.wants) return;
    bool known = !forecast.missing && forecast.needed_status == YIELD_COMPUTED;
    VEC_PUSH(half->nursery->arena, &half->needs,
             ((Needed){names_intern(half->nursery->names, batch->id), forecast.wanted,
                       known ? forecast.needed : NEEDED_UNKNOWN}));
}

PlanComparison *plan_diff_begin(Arena *arena, PlanSide before, PlanSide after, Day today,
                                ArenaExhausted *exhausted)
{
    static const WorkFilter everything = {.from = DAY_NONE, .to = DAY_NONE, .today = DAY_NONE};
    static const SurveyFilter every_batch = {.from = DAY_NONE, .to = DAY_NONE, .today = DAY_NONE};
    PlanComparison *comparison = ARENA_NEW(arena, PlanComparison);
    const PlanSide sides[] = {before, after};
    comparison->arena = arena;
    for (int i = 0; i < 2; i++) {
        Half *half = &comparison->halves[i];
        half->nursery = sides[i].nursery;
        half->notes = sides[i].notes;
        half->lint = lint_new(half->nursery, today, exhausted);
        half->expansion = expansion_new(half->nursery, &everything, keep_task, half, exhausted);
        half->survey = survey_new(half->nursery, &every_batch, exhausted);
        survey_visit(half->survey, keep_needed, half);
        lint_protocols(half->lint);
    }
    return comparison;
}

/* ------------------------------------------------------------------ which batch */

static void know_batch(PlanComparison *comparison, Name name)
{
    while (comparison->index_of.count <= name->number) VEC_PUSH(comparison->arena, &comparison->index_of, 0);
    if (comparison->index_of.at[name->number]) return;
    VEC_PUSH(comparison->arena, &comparison->order, name);
    VEC_PUSH(comparison->arena, &comparison->batches, NULL);
    comparison->index_of.at[name->number] = (uint32_t)comparison->order.count;
}

static Gathered *gathered(PlanComparison *comparison, Name name)
{
    know_batch(comparison, name);
    Gathered **slot = &comparison->batches.at[comparison->index_of.at[name->number] - 1];
    if (!*slot) {
        *slot = ARENA_NEW(comparison->arena, Gathered);
        (*slot)->change.batch = name->text;
    }
    return *slot;
}

/* ------------------------------------------------------------------ tasks */

static int by_identity(const void *a, const void *b)
{
    const DatedTask *x = a, *y = b;
    if (x->batch != y->batch) return x->batch->number < y->batch->number ? -1 : 1;
    if (x->path != y->path) return x->path->number < y->path->number ? -1 : 1;
    return x->number < y->number ? -1 : x->number > y->number;
}

static TaskChange *task_change(PlanComparison *comparison, const DatedTask *task)
{
    Gathered *batch = gathered(comparison, task->batch);
    for (size_t i = 0; i < batch->tasks.count; i++)
        if (!strcmp(batch->tasks.at[i].path, task->path->text)) return &batch->tasks.at[i];
    TaskChange *change = VEC_ADD(comparison->arena, &batch->tasks);
    change->path = task->path->text;
    return change;
}

static void add_moved(PlanComparison *comparison, const DatedTask *before, const DatedTask *after)
{
    int32_t days = after->day - before->day;
    if (!days) return;
    TaskChange *change = task_change(comparison, after);
    if (!change->moved || days < change->least) change->least = days;
    if (!change->moved || days > change->most) change->most = days;
    change->moved++;
    comparison->result.moved++;
}

static void compare_tasks(PlanComparison *comparison)
{
    DatedTasks *before = &comparison->halves[0].tasks, *after = &comparison->halves[1].tasks;
    if (before->count) qsort(before->at, before->count, sizeof *before->at, by_identity);
    if (after->count) qsort(after->at, after->count, sizeof *after->at, by_identity);
    size_t i = 0, k = 0;
    while (i < before->count || k < after->count) {
        int order = i == before->count  ? 1
                    : k == after->count ? -1
                                        : by_identity(&before->at[i], &after->at[k]);
        if (order < 0) {
            task_change(comparison, &before->at[i++])->dropped++;
            comparison->result.dropped++;
        } else if (order > 0) {
            task_change(comparison, &after->at[k++])->added++;
            comparison->result.added++;
        } else {
            add_moved(comparison, &before->at[i++], &after->at[k++]);
        }
    }
    before->count = after->count = 0;
}

/* ------------------------------------------------------------------ cuttings to stick */

static int by_batch(const void *a, const void *b)
{
    const Needed *x = a, *y = b;
    return x->batch->number < y->batch->number ? -1 : x->batch->number > y->batch->number;
}

/* Of batches that want something on both sides; who wants what is the plan's own matter. */
static void compare_needs(PlanComparison *comparison)
{
    Needs *before = &comparison->halves[0].needs, *after = &comparison->halves[1].needs;
    if (before->count) qsort(before->at, before->count, sizeof *before->at, by_batch);
    if (after->count) qsort(after->at, after->count, sizeof *after->at, by_batch);
    size_t i = 0, k = 0;
    while (i < before->count && k < after->count) {
        const Needed *was = &before->at[i], *is = &after->at[k];
        int order = by_batch(was, is);
        i += order <= 0;
        k += order >= 0;
        if (order || was->stuck == is->stuck) continue;
        Gathered *batch = gathered(comparison, is->batch);
        batch->change.wanted = is->wanted;
        batch->change.needed[0] = was->stuck;
        batch->change.needed[1] = is->stuck;
        comparison->result.needed++;
    }
    before->count = after->count = 0;
}

/* ------------------------------------------------------------------ stretch by stretch */

int plan_diff_behind(const PlanComparison *comparison)
{
    return comparison->halves[1].rows < comparison->halves[0].rows;
}

void plan_diff_add(PlanComparison *comparison, int side, const Plan *plan)
{
    Half *half = &comparison->halves[side];
    for (size_t row = 0; row < plan->rows; row++)
        know_batch(comparison, names_intern(half->nursery->names, plan->ids[row]));
    half->rows += plan->rows;
    lint_plan(half->lint, plan);
    expansion_plan(half->expansion, plan);
    survey_plan(half->survey, plan);
    if (comparison->halves[0].rows != comparison->halves[1].rows) return;
    compare_tasks(comparison);
    compare_needs(comparison);
}

/* ------------------------------------------------------------------ findings */

typedef struct Keyed {
    const char *key;
    const Note *note;
} Keyed;

static int by_key(const void *a, const void *b)
{
    return strcmp(((const Keyed *)a)->key, ((const Keyed *)b)->key);
}

/* Findings about the plan's batches. */
static size_t keyed_notes(PlanComparison *comparison, Half *half, Keyed **list)
{
    size_t count, kept = 0;
    Note *const *notes = notes_sorted(half->notes, &count);
    *list = ARENA_ARRAY(comparison->arena, Keyed, count);
    for (size_t i = 0; i < count; i++) {
        Name subject = names_find(half->nursery->names, slice_of(notes[i]->subject));
        bool of_plan = subject && subject->number < comparison->index_of.count &&
                       comparison->index_of.at[subject->number];
        if (!of_plan) continue;
        (*list)[kept++] = (Keyed){note_key(comparison->arena, notes[i]), notes[i]};
    }
    if (kept) qsort(*list, kept, sizeof **list, by_key);
    return kept;
}

static void compare_notes(PlanComparison *comparison)
{
    Keyed *before, *after;
    size_t before_count = keyed_notes(comparison, &comparison->halves[0], &before);
    size_t after_count = keyed_notes(comparison, &comparison->halves[1], &after);
    Names *names = comparison->halves[1].nursery->names;
    size_t i = 0, k = 0;
    while (i < before_count || k < after_count) {
        int order = i == before_count ? 1 : k == after_count ? -1 : by_key(&before[i], &after[k]);
        if (order < 0) {
            Gathered *batch = gathered(comparison, names_intern(names, slice_of(before[i].note->subject)));
            VEC_PUSH(comparison->arena, &batch->vanish, before[i].note);
            comparison->result.vanish++;
        } else if (order > 0) {
            Gathered *batch = gathered(comparison, names_intern(names, slice_of(after[k].note->subject)));
            VEC_PUSH(comparison->arena, &batch->appear, after[k].note);
            comparison->result.appear++;
        }
        i += order <= 0;
        k += order >= 0;
    }
}

/* ------------------------------------------------------------------ the end */

const PlanDiff *plan_diff_end(PlanComparison *comparison)
{
    for (int i = 0; i < 2; i++) lint_finish(comparison->halves[i].lint);
    compare_tasks(comparison);
    compare_needs(comparison);
    compare_notes(comparison);
    comparison->result.all = comparison->order.count;
    BatchChange *batches = ARENA_ARRAY(comparison->arena, BatchChange, comparison->batches.count);
    for (size_t i = 0; i < comparison->batches.count; i++) {
        Gathered *batch = comparison->batches.at[i];
        if (!batch) continue;
        batch->change.appear = batch->appear.at;
        batch->change.appear_count = batch->appear.count;
        batch->change.vanish = batch->vanish.at;
        batch->change.vanish_count = batch->vanish.count;
        batch->change.tasks = batch->tasks.at;
        batch->change.task_count = batch->tasks.count;
        batches[comparison->result.batch_count++] = batch->change;
    }
    comparison->result.batches = batches;
    for (int i = 0; i < 2; i++) {
        expansion_finish(comparison->halves[i].expansion);
        expansion_free(comparison->halves[i].expansion);
        survey_free(comparison->halves[i].survey);
        lint_free(comparison->halves[i].lint);
    }
    return &comparison->result;
}
