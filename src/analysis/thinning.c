/* Containers that come free: see thinning.h. */
#include "analysis/thinning.h"

#include "analysis/outlook.h"
#include "analysis/stays.h"
#include "base/vec.h"

#include <math.h>

static int64_t filled_by(double cuttings, const BatchSize *size)
{
    int64_t containers = (int64_t)ceil(cuttings / (double)size->each - 1e-9);
    return containers < size->trays ? containers : size->trays;
}

/* False: nothing is stated of what is lost until then. */
static bool take_expected(const FactSource *source, const Subject *batch, const BatchSize *size, int stage,
                          Thinning *thinning)
{
    const Protocol *protocol = batch->context->protocol;
    Outlook *outlook = outlook_of(source, batch->context);
    for (size_t k = 0; stage >= 0 && k < outlook->stages.count; k++) {
        if (!slice_is(name_slice(protocol->stages[stage]->name), outlook->names[k])) continue;
        const OutlookStage *share = outlook_share(source, outlook, k);
        thinning->fewest = filled_by(share->low * (double)size->count, size);
        thinning->mean = filled_by(share->mean * (double)size->count, size);
        thinning->most = filled_by(share->high * (double)size->count, size);
        return true;
    }
    return false;
}

/* False: the task is not recorded, or the number is not known then. */
static bool take_recorded(const FactSource *source, const Ledgers *ledgers, const Subject *batch,
                          const BatchSize *size, const TaskDate *date, Thinning *thinning)
{
    if (date->recorded == DAY_NONE || date->state != STATE_DONE || !batch->record) return false;
    Ledger ledger = ledger_of(ledgers, source->passing, batch->record->name, batch->record, date->recorded);
    if (ledger.alive.basis == LEDGER_UNKNOWN) return false;
    thinning->fewest = thinning->mean = thinning->most = filled_by((double)ledger.alive.count, size);
    return true;
}

const Thinning *thinnings_of(const FactSource *source, const Ledgers *ledgers, const Subject *batch,
                             const BatchSize *size, size_t *count)
{
    VEC(Thinning) list = {0};
    const Schedule *schedule = batch->context->protocol->schedule;
    const Timeline *timeline = batch->timeline;
    *count = 0;
    if (!schedule->closes_up || !size->has_count || !size->has_trays || size->each <= 0) return NULL;
    for (size_t i = 0; i < timeline->task_count; i++) {
        const TaskDate *date = &timeline->tasks[i];
        const TaskPlan *plan = &schedule->tasks[date->task];
        if (!plan->closes_up || date->watch || date->state == STATE_SKIPPED) continue;
        Thinning thinning = {.from = stay_day_after(date)};
        if (take_recorded(source, ledgers, batch, size, date, &thinning) ||
            take_expected(source, batch, size, plan->stage, &thinning))
            VEC_PUSH(source->passing, &list, thinning);
    }
    *count = list.count;
    return list.at;
}
