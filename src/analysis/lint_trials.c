/* Trials in the check: seen with their batch, and told when they are too small to show anything. */
#include "analysis/lint_work.h"

#include "analysis/trial_check.h"
#include "analysis/trial_plan.h"

void trials_begin(Lint *lint)
{
    lint->trials = trials_of(lint->nursery);
    lint->trials_seen = ARENA_ARRAY(lint->nursery->arena, bool, lint->trials.count);
    trial_check_blocks(lint->nursery, &lint->trials);
}

static void tell_small(Lint *lint, const Subject *batch, const Trial *trial, const TrialPlan *plan)
{
    Arena *arena = lint->source.passing;
    bool by_itself = trial->needs > plan->each; /* it is said in the trial */
    const Clause *clause =
        block_clause(trial->block, by_itself ? FIELD_ROW(NEEDS_OF_TRIAL) : FIELD_ROW(DIFFERENCE));
    Fault *fault = faults_add(lint->faults);
    fault->rank = RANK_RULE;
    fault->row = (uint32_t)batch->row;
    fault->severity = SEVERITY_WARNING;
    fault->name = "trial-small";
    fault->subject = trial->block->id;
    fault->value = arena_print(arena, "%lld", (long long)plan->each);
    fault->place = clause_value_place(clause);
    fault->second = plan_place(batch->plan, batch->row, FIELD_ROW(COUNT_OF_BATCH));
    fault->second_label = "the batch";
    fault->accepts = batch->plan->blocks ? batch->plan->blocks[batch->row] : NULL;
    fault->message =
        by_itself
            ? arena_print(arena, "a way has %lld cuttings, and the trial needs %lld", (long long)plan->each,
                          (long long)trial->needs)
            : arena_print(arena,
                          "a way has %lld cuttings, and to see that difference four times in five takes %lld",
                          (long long)plan->each, (long long)plan->needed);
    fault->instead = SLICE("lay it in a larger batch, look for a larger difference, or repeat it and read it "
                           "as a hint until then");
}

void trials_take(Lint *lint, const Subject *batch)
{
    if (!lint->trials.count) return;
    Slice id = batch->plan->ids[batch->row];
    for (size_t i = 0; i < lint->trials.count; i++) {
        const Trial *trial = &lint->trials.at[i];
        if (!trial->batch || !slice_equal(name_slice(trial->batch), id)) continue;
        Subject dated = *batch;
        if (dated.timeline && !dated.timeline->dated) dated.timeline = NULL;
        SurveyBatch surveyed = {&dated, id, batch_size(batch), dated.timeline != NULL, lint->today};
        if (!trial_check_batch(lint->nursery, trial, batch)) continue;
        TrialPlan plan = trial_plan(&lint->source, trial, &surveyed);
        bool small = plan.has_each && (plan.each < trial->needs || plan.each < plan.needed);
        if (small) tell_small(lint, batch, trial, &plan);
        lint->summary.broken += small;
        lint->summary.held += !small && (trial->needs || plan.needed);
    }
}

void trials_see(Lint *lint, Slice batch)
{
    for (size_t i = 0; i < lint->trials.count; i++)
        if (lint->trials.at[i].batch && slice_equal(name_slice(lint->trials.at[i].batch), batch))
            lint->trials_seen[i] = true;
}

void trials_finish(Lint *lint)
{
    trial_check_finish(lint->nursery, &lint->trials, lint->trials_seen);
}
