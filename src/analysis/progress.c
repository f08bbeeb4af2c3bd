/* Outlooks beside records: see progress.h. */
#include "analysis/progress.h"

typedef struct Walk {
    const FactSource *source;
    const Ledgers *ledgers;
    const SurveyBatch *batch;
    const Outlook *outlook;
    Ledger ledger;
} Walk;

/* ------------------------------------------------------------------ stages */

/* The stage of the protocol at whose end a stage of the outlook ends. */
static size_t stage_of(const Walk *walk, size_t of_outlook)
{
    const Protocol *protocol = walk->batch->subject->context->protocol;
    for (size_t i = 0; i < protocol->stage_count; i++)
        if (slice_is(name_slice(protocol->stages[i]->name), walk->outlook->names[of_outlook])) return i;
    return protocol->stage_count;
}

/* The first stands for all before it too, and begins with the sticking. */
static Day begin_of(const Walk *walk, size_t of_outlook)
{
    if (!of_outlook) return walk->ledger.began;
    return walk->batch->subject->timeline->stages[stage_of(walk, of_outlook)].begin.on[RUN_PLANNED];
}

static bool has_ended(const Walk *walk, size_t of_outlook)
{
    const Protocol *protocol = walk->batch->subject->context->protocol;
    for (size_t i = stage_of(walk, of_outlook); i < protocol->stage_count; i++)
        if (walk->batch->subject->timeline->stages[i].ready) return true;
    return false;
}

/* The last full count, or the day for which a correction gives one. DAY_NONE: there is none. */
static Day counted_on(const Walk *walk)
{
    const LedgerAlive *alive = &walk->ledger.alive;
    bool is_count = alive->basis == LEDGER_COUNTED || alive->basis == LEDGER_CORRECTED;
    return is_count ? alive->since : DAY_NONE;
}

static size_t closed_stages(const Walk *walk)
{
    size_t closed = 0;
    Day counted = counted_on(walk);
    if (!walk->batch->dated || counted == DAY_NONE) return 0;
    while (closed < walk->outlook->stages.count && has_ended(walk, closed) &&
           counted >= begin_of(walk, closed))
        closed++;
    return closed;
}

/* ------------------------------------------------------------------ counts */

static bool is_culled_in(const Block *stage, Name class)
{
    for (const Block *task = stage->blocks; task; task = task->next) {
        const Clause *cull = block_clause(task, FIELD_ROW(CULL));
        for (size_t i = 0; cull && cull->reading && i < cull->reading->word_count; i++)
            if (cull->reading->words[i].name == class) return true;
    }
    return false;
}

/* Those that a full count found and that its stage keeps: neither dead nor of a class that its tasks throw
 * out. Where the stages up to there are known as those that root, only rooted ones have come through. */
static int64_t kept_of(const Walk *walk, const RecordLine *count, size_t of_outlook)
{
    const Protocol *protocol = walk->batch->subject->context->protocol;
    const Block *stage = protocol->stages[stage_of(walk, of_outlook)];
    bool only_rooted = !of_outlook && walk->outlook->skipped;
    int64_t kept = 0;
    for (size_t i = 0; i < count->class_count; i++) {
        const RecordClass *class = &count->classes[i];
        ClassMeaning meaning = class_meaning(class->name);
        if (class->count < 0 || meaning == CLASS_DEAD || is_culled_in(stage, class->name)) continue;
        if (!only_rooted || meaning == CLASS_ROOTED) kept += class->count;
    }
    return kept;
}

/* Those that live now and those that died or were culled since a day. */
static int64_t entered(const Walk *walk, Day since)
{
    const Ledger *now = &walk->ledger;
    Subject subject = *walk->batch->subject;
    Name name = names_find(walk->source->nursery->names, walk->batch->id);
    Ledger then = ledger_of(walk->ledgers, walk->source->passing, name, subject.record, since);
    return now->alive.count + now->dead - then.dead + now->culled - then.culled;
}

static int64_t least_of(int64_t a, int64_t b)
{
    return a < b ? a : b;
}

static YieldBatch lies_ahead(const Walk *walk, size_t closed)
{
    const Outlook *outlook = walk->outlook;
    const LedgerAlive *alive = &walk->ledger.alive;
    YieldStages stages = {outlook->stages.at + closed, outlook->stages.count - closed};
    const RecordLine *count = alive->basis == LEDGER_COUNTED ? alive->line : NULL;
    if (!stages.count || !walk->batch->dated) return yield_batch(stages, alive->count);
    int64_t came_in = closed ? entered(walk, begin_of(walk, closed)) : entered(walk, walk->ledger.began - 1);
    bool within = counted_on(walk) != DAY_NONE && (!closed || counted_on(walk) > begin_of(walk, closed));
    if (count && closed && !within) came_in = least_of(came_in, kept_of(walk, count, closed - 1));
    YieldBatch ahead = yield_batch(stages, came_in);
    ahead.most = least_of(alive->count, came_in);
    if (count && within) ahead.least = least_of(kept_of(walk, count, closed), ahead.most);
    return ahead;
}

Progress progress_of(const FactSource *source, const Ledgers *ledgers, const SurveyBatch *batch,
                     const Outlook *outlook)
{
    Name name = names_find(source->nursery->names, batch->id);
    Walk walk = {source, ledgers, batch, outlook,
                 ledger_of(ledgers, source->passing, name, batch->subject->record, batch->today)};
    Progress progress = {.begun = walk.ledger.began != DAY_NONE && walk.ledger.alive.basis != LEDGER_UNKNOWN};
    if (!progress.begun) return progress;
    const RecordLine *ended = walk.ledger.ended;
    progress.over = ended != NULL;
    progress.closed = progress.over ? outlook->stages.count : closed_stages(&walk);
    progress.ahead = lies_ahead(&walk, progress.closed);
    if (ended) /* known: what lives and what was sold, and nothing of what was given up */
        progress.ahead =
            yield_batch(progress.ahead.stages,
                        ended->verb == VERB_ABANDONED ? 0 : walk.ledger.alive.count + walk.ledger.sold);
    progress.stuck = walk.ledger.stuck;
    progress.alive = walk.ledger.alive;
    return progress;
}
