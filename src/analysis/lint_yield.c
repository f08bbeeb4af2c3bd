/* Plans that cannot come to what they want: too few cuttings, or too late for the day. */
#include "analysis/lint_work.h"

#include "analysis/batch_size.h"
#include "analysis/outlook.h"

enum { HALF_YEAR = 183 };

static const char *day_text(Arena *arena, Day day)
{
    char text[DAY_TEXT];
    return arena_copy(arena, text, day_write(text, day));
}

static Fault *fault_at(Lint *lint, const Subject *batch, const char *name, Severity severity,
                       const Field *field)
{
    Fault *fault = faults_add(lint->faults);
    fault->rank = RANK_RULE;
    fault->row = (uint32_t)batch->row;
    fault->severity = severity;
    fault->name = name;
    fault->subject = subject_id(lint, batch);
    fault->value = "";
    fault->place = plan_place(batch->plan, batch->row, field);
    fault->accepts = batch->plan->blocks ? batch->plan->blocks[batch->row] : NULL;
    return fault;
}

/* What a batch wants, and what it may come to. */
typedef struct Want {
    const Subject *batch;
    BatchSize size;
    int64_t wanted;
    Day by, latest; /* the last day to stick; DAY_NONE: there is none, or by no day */
    Number sure;
    int64_t needed; /* 0: no number is enough */
} Want;

/* "stick 300", and in whole containers where the batch has some; NULL where no number is enough. */
static const char *what_to_stick(Arena *arena, const Want *want)
{
    int64_t cells = want->size.cells, trays = cells ? (want->needed + cells - 1) / cells : 0;
    if (!want->needed) return NULL;
    if (!cells) return arena_print(arena, "stick %lld", (long long)want->needed);
    return arena_print(arena, "stick %lld: %lld containers, %lld cuttings", (long long)want->needed,
                       (long long)trays, (long long)(trays * cells));
}

static void tell_few(Lint *lint, const Want *want, double chance)
{
    Arena *arena = lint->source.passing;
    Fault *fault = fault_at(lint, want->batch, "too-few-stuck", SEVERITY_WARNING, FIELD_ROW(COUNT_OF_BATCH));
    fault->field = FIELD_ROW(COUNT_OF_BATCH); /* who finds fault with the same count finds the same fault */
    fault->value = arena_print(arena, "%lld of %lld", (long long)want->wanted, (long long)want->size.count);
    fault->message = arena_print(
        arena, "%lld stuck come to %lld finished with a chance of %.0f %%, and %.0f %% is asked for",
        (long long)want->size.count, (long long)want->wanted, chance * 100, number_double(want->sure) * 100);
    fault->instead = slice_of(what_to_stick(arena, want));
}

static void tell_late(Lint *lint, const Want *want)
{
    Arena *arena = lint->source.passing;
    Fault *fault = fault_at(lint, want->batch, "stuck-too-late", SEVERITY_WARNING, FIELD_ROW(STICK));
    fault->value = day_text(arena, want->by);
    fault->message = arena_print(arena, "stuck then it may not be finished by %s", day_text(arena, want->by));
    Day planned = want->batch->timeline->stick.on[RUN_PLANNED];
    bool this_season = planned - want->latest < HALF_YEAR;
    fault->instead = slice_of(
        this_season
            ? arena_print(arena, "stick by %s, if each stage takes its longest",
                          day_text(arena, want->latest))
            : "no day of this season's window is early enough: promise it for later, or from an older batch");
}

/* Whether so many are enough is asked by the number that it takes, which is worked out once for all batches
 * that want the same. */
static void judge_few(Lint *lint, Want *want)
{
    const Outlook *outlook = outlook_of(&lint->source, want->batch->context);
    if (outlook->missing || !want->size.has_count) return;
    YieldStatus status = outlook_needed(&lint->source, outlook, want->wanted, &want->needed);
    bool few = status == YIELD_NEVER || want->size.count < want->needed;
    double chance = 0;
    if (status != YIELD_COMPUTED && status != YIELD_NEVER) return;
    lint->summary.held += !few;
    lint->summary.broken += few;
    if (!few) return;
    if (!notes_full(lint->nursery->notes)) /* what is only counted needs no figures */
        outlook_chance(&lint->source, outlook, want->size.count, want->wanted, &chance);
    tell_few(lint, want, chance);
}

static void judge_late(Lint *lint, Want *want)
{
    const Timeline *timeline = want->batch->timeline;
    if (!timeline || !timeline->dated) return;
    want->latest = outlook_latest(&lint->source, want->batch->context, want->by);
    if (want->latest == DAY_NONE || timeline->stick.on[RUN_PLANNED] <= want->latest) return;
    lint->summary.broken++;
    tell_late(lint, want);
}

/* Only what is wanted is reckoned: a batch without `want` costs nothing here. */
void yield_take(Lint *lint, const Subject *batch)
{
    const Reading *said = plan_cell(batch->plan, batch->row, FIELD_ROW(WANT));
    if (!said || said == &reading_spoiled) return;
    Want want = {.batch = batch,
                 .size = batch_size(batch),
                 .wanted = number_ceil(said->wanted),
                 .by = said->last,
                 .sure = nursery_sure(lint->nursery)};
    judge_few(lint, &want);
    judge_late(lint, &want);
}
