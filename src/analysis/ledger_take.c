/* What each line of a record does to the numbers of its batch.
 *
 * Given the ledger as it stands and one line that is in order, changes the one by the other. All that takes
 * plants off goes through one door, which also asks whether so many were there.
 */
#include "analysis/ledger_work.h"

/* ------------------------------------------------------------------ faults */

static const char *verb_of(const RecordLine *line)
{
    return verb_table[line->verb].spelling;
}

static void at_odds_with(LedgerFault *fault, const LedgerAlive *alive)
{
    static const char *const labels[] = {[LEDGER_UNKNOWN] = "",
                                         [LEDGER_STUCK] = "stuck here",
                                         [LEDGER_CAME] = "they came with this",
                                         [LEDGER_COUNTED] = "counted here",
                                         [LEDGER_CORRECTED] = "corrected here"};
    if (!alive->line) return;
    fault->other = alive->line->item->span;
    fault->other_label = labels[alive->basis];
}

/* More than there are. From here on the number is open, so the next that does not fit is no news. */
static void too_many(LedgerWalk *walk, const RecordLine *line, int64_t there, const char *what)
{
    if (!walk->doubtful) {
        LedgerFault *fault = ledger_fault(walk, "record-count", line, line->count_span,
                                          "%s %ld, and there %s %lld%s", verb_of(line), (long)line->count,
                                          there == 1 ? "was" : "were", (long long)there, what);
        at_odds_with(fault, &walk->ledger.alive);
    }
    walk->doubtful = true;
}

/* ------------------------------------------------------------------ lots */

static LedgerLot *lot_of(LedgerWalk *walk, const RecordLine *line)
{
    for (size_t i = 0; i < walk->lots.count; i++) {
        LedgerLot *lot = &walk->lots.at[i];
        if (line->lot ? lot->name == line->lot : !lot->name && lot->grade == line->grade) return lot;
    }
    return NULL;
}

/* Who lost plants without saying of which lot lost them from the rest first. With a single lot it is known
 * where they went. */
static void fit_lots(LedgerWalk *walk)
{
    Ledger *ledger = &walk->ledger;
    if (ledger->alive.basis == LEDGER_UNKNOWN || ledger->in_lots <= ledger->alive.count) return;
    ledger->in_lots = ledger->alive.count;
    if (walk->lots.count == 1) walk->lots.at[0].there = ledger->in_lots;
}

/* Plants of a lot that a line names; false: there is no such lot, or not so many in it. */
static bool take_from_lot(LedgerWalk *walk, const RecordLine *line, int64_t count)
{
    if (!line->lot && !line->grade) return true;
    LedgerLot *lot = lot_of(walk, line);
    if (!lot) {
        const char *name = line->lot ? line->lot->text : line->grade->text;
        LedgerFault *fault = ledger_fault(walk, "record-count", line, line->item->span, "there is no %s %s",
                                          line->lot ? "lot" : "grade", name);
        if (walk->lots.count) fault->instead = "name one that a line before has potted or lifted";
        return false;
    }
    if (count > lot->there) {
        too_many(walk, line, lot->there, " in the lot");
        return false;
    }
    lot->there -= count;
    walk->ledger.in_lots -= count;
    return true;
}

/* ------------------------------------------------------------------ taking off */

/* False: there were not so many, and nothing was taken. */
static bool take_off(LedgerWalk *walk, const RecordLine *line, int64_t count)
{
    LedgerAlive *alive = &walk->ledger.alive;
    if (alive->basis != LEDGER_UNKNOWN && count > alive->count) {
        too_many(walk, line, alive->count, "");
        return false;
    }
    if (!take_from_lot(walk, line, count)) return false;
    if (alive->basis == LEDGER_UNKNOWN) return true;
    alive->count -= count;
    alive->less += count;
    fit_lots(walk);
    return true;
}

/* Before sticking there is nothing to take from but what waits. */
static bool take_from_waiting(LedgerWalk *walk, const RecordLine *line)
{
    Ledger *ledger = &walk->ledger;
    if (ledger->alive.basis != LEDGER_UNKNOWN || !ledger->has_waiting) return false;
    if (line->count > ledger->waiting)
        too_many(walk, line, ledger->waiting, " to be stuck");
    else
        ledger->waiting -= line->count;
    return true;
}

static void find_dead(LedgerWalk *walk, Day day, int64_t count)
{
    if (walk->dead_on != day) walk->dead_left = 0;
    walk->dead_on = day;
    walk->dead_left += count;
    walk->ledger.dead += count;
}

/* What is culled on the day on which dead ones were found is first of all these. */
static void take_culled(LedgerWalk *walk, const RecordLine *line)
{
    if (take_from_waiting(walk, line)) return;
    int64_t dead = walk->dead_on == line->day ? walk->dead_left : 0;
    if (dead > line->count) dead = line->count;
    if (!take_off(walk, line, line->count - dead)) return;
    walk->dead_left -= dead;
    walk->ledger.culled += line->count - dead;
}

static void take_died(LedgerWalk *walk, const RecordLine *line)
{
    if (!take_from_waiting(walk, line) && take_off(walk, line, line->count))
        find_dead(walk, line->day, line->count);
}

static void take_lost(LedgerWalk *walk, const RecordLine *line)
{
    if (!take_from_waiting(walk, line) && take_off(walk, line, line->count)) walk->ledger.lost += line->count;
}

static void take_given(LedgerWalk *walk, const RecordLine *line)
{
    if (!take_off(walk, line, line->count)) return;
    *(line->verb == VERB_SPLIT ? &walk->ledger.split : &walk->ledger.restuck) += line->count;
    VEC_PUSH(walk->arena, &walk->went, ((LedgerTransfer){walk->record, line}));
}

/* What is sold without a name is what was potted or lifted, as far as there is any. */
static void take_sold(LedgerWalk *walk, const RecordLine *line)
{
    Ledger *ledger = &walk->ledger;
    int64_t in_lots = ledger->in_lots;
    if (!take_off(walk, line, line->count)) return;
    ledger->sold += line->count;
    if (line->lot || line->grade) return;
    ledger->in_lots = line->count < in_lots ? in_lots - line->count : 0;
    if (walk->lots.count == 1) walk->lots.at[0].there = ledger->in_lots;
}

/* ------------------------------------------------------------------ before and at sticking */

static void take_taken(LedgerWalk *walk, const RecordLine *line)
{
    walk->ledger.waiting += line->count;
    walk->ledger.has_waiting = true;
}

static void take_held(LedgerWalk *walk, const RecordLine *line)
{
    const Ledger *ledger = &walk->ledger;
    if (record_says(line, PIECE_COUNT) && ledger->has_waiting && line->count > ledger->waiting)
        too_many(walk, line, ledger->waiting, " to be held");
}

/* `of 320`: so many wait. False: another number was known to. */
static bool agrees_on_waiting(LedgerWalk *walk, const RecordLine *line)
{
    Ledger *ledger = &walk->ledger;
    if (!record_says(line, PIECE_OF)) return true;
    bool agrees = !ledger->has_waiting || line->of == ledger->waiting;
    if (!agrees && !walk->doubtful)
        ledger_fault(walk, "record-count", line, line->of_span, "of %ld, and %lld were there to be stuck",
                     (long)line->of, (long long)ledger->waiting);
    ledger->waiting = line->of;
    ledger->has_waiting = true;
    return agrees;
}

/* `308 of 320, 12 thrown`: what waits is all accounted for, or the rest waits on. */
static void take_stuck_from_waiting(LedgerWalk *walk, const RecordLine *line)
{
    Ledger *ledger = &walk->ledger;
    bool agrees = agrees_on_waiting(walk, line);
    if (!ledger->has_waiting) return;
    int64_t all = (int64_t)line->count + line->thrown;
    bool adds_up = record_says(line, PIECE_THROWN) ? all == ledger->waiting : all <= ledger->waiting;
    if (!adds_up && agrees && !walk->doubtful)
        ledger_fault(walk, "record-count", line, line->count_span,
                     "%ld stuck and %ld thrown make %lld, not %lld", (long)line->count, (long)line->thrown,
                     (long long)all, (long long)ledger->waiting);
    ledger->waiting = record_says(line, PIECE_THROWN) || all > ledger->waiting ? 0 : ledger->waiting - all;
}

static void add_alive(LedgerWalk *walk, LedgerBasis basis, const RecordLine *line)
{
    Ledger *ledger = &walk->ledger;
    if (ledger->began == DAY_NONE) ledger->began = line->day;
    if (ledger->alive.basis == LEDGER_UNKNOWN)
        ledger->alive = (LedgerAlive){.basis = basis, .since = line->day, .line = line};
    ledger->alive.count += line->count;
    ledger->stuck += line->count;
}

static void take_stuck(LedgerWalk *walk, const RecordLine *line)
{
    take_stuck_from_waiting(walk, line);
    walk->ledger.thrown += line->thrown;
    walk->said_stuck += line->count;
    add_alive(walk, LEDGER_STUCK, line);
}

void ledger_come(LedgerWalk *walk, const RecordLine *line)
{
    if (!walk->came_as_stuck) add_alive(walk, LEDGER_CAME, line);
}

/* ------------------------------------------------------------------ counts */

static void take_rooted(LedgerRooted *rooted, const RecordLine *line, int64_t of)
{
    bool named;
    int64_t count = record_sum(line, CLASS_ROOTED, &named);
    if (named) *rooted = (LedgerRooted){line, count, of};
}

static void take_counted(LedgerWalk *walk, const RecordLine *line)
{
    LedgerAlive *alive = &walk->ledger.alive;
    bool named;
    int64_t all = record_sum(line, CLASS_ANY, &named), dead = record_sum(line, CLASS_DEAD, &named);
    Span place = record_says(line, PIECE_OF) ? line->of_span : line->item->value.span;
    if (record_says(line, PIECE_OF) && all != line->of) {
        ledger_fault(walk, "record-count", line, place, "what was counted makes %lld, not %ld",
                     (long long)all, (long)line->of);
        walk->doubtful = true;
        return;
    }
    if (alive->basis != LEDGER_UNKNOWN && all != alive->count && !walk->doubtful)
        at_odds_with(ledger_fault(walk, "record-count", line, place, "counted %lld, and there were %lld",
                                  (long long)all, (long long)alive->count),
                     alive);
    walk->doubtful = false;
    *alive = (LedgerAlive){LEDGER_COUNTED, line->day, line, all - dead, 0};
    find_dead(walk, line->day, dead);
    take_rooted(&walk->ledger.rooted, line, all);
    fit_lots(walk);
}

static void take_sample(LedgerWalk *walk, const RecordLine *line)
{
    bool named;
    int64_t all = record_sum(line, CLASS_ANY, &named);
    const LedgerAlive *alive = &walk->ledger.alive;
    if (all > line->count) {
        ledger_fault(walk, "record-count", line, line->count_span, "what was seen makes %lld, not %ld",
                     (long long)all, (long)line->count);
        return;
    }
    if (alive->basis != LEDGER_UNKNOWN && line->count > alive->count && !walk->doubtful) {
        at_odds_with(ledger_fault(walk, "record-count", line, line->count_span,
                                  "a sample of %ld, and there %s %lld", (long)line->count,
                                  alive->count == 1 ? "was" : "were", (long long)alive->count),
                     alive);
        return;
    }
    take_rooted(&walk->ledger.sampled, line, line->count);
}

/* What was known at the end of a day. */
static const LedgerStep *step_on(const LedgerWalk *walk, Day day)
{
    size_t count = walk->steps.count;
    while (count && walk->steps.at[count - 1].line->day > day) count--;
    return count ? &walk->steps.at[count - 1] : NULL;
}

/* `correct 21 Sep 2027 alive 178`: what has been taken off since that day stays taken off. */
static void take_correction(LedgerWalk *walk, const RecordLine *line)
{
    LedgerAlive *alive = &walk->ledger.alive;
    if (!record_says(line, PIECE_COUNT)) return;
    const LedgerStep *then = step_on(walk, line->corrected);
    bool was_known = then && then->basis != LEDGER_UNKNOWN;
    int64_t less = was_known ? then->alive - alive->count : 0;
    if (!was_known && alive->basis != LEDGER_UNKNOWN) {
        at_odds_with(ledger_fault(walk, "record-order", line, line->item->span,
                                  "nothing was known yet on the day that this corrects"),
                     alive);
        return;
    }
    if (alive->basis == LEDGER_COUNTED && alive->since > line->corrected) {
        LedgerFault *fault = ledger_fault(walk, "record-count", line, line->item->span,
                                          "all were counted after the day that this corrects");
        fault->instead = "correct the count";
        at_odds_with(fault, alive);
        return;
    }
    if (walk->ledger.stuck && line->count > walk->ledger.stuck) {
        LedgerFault *fault =
            ledger_fault(walk, "record-count", line, line->count_span, "%ld alive, and %lld were stuck",
                         (long)line->count, (long long)walk->ledger.stuck);
        fault->other = walk->first->item->span;
        fault->other_label = "stuck here";
        return;
    }
    if (line->count < less) {
        ledger_fault(walk, "record-count", line, line->count_span,
                     "%ld alive, and %lld have been taken off since that day", (long)line->count,
                     (long long)less);
        return;
    }
    walk->doubtful = false;
    *alive = (LedgerAlive){LEDGER_CORRECTED, line->corrected, line, line->count - less, less};
    fit_lots(walk);
}

/* ------------------------------------------------------------------ potting and lifting */

/* A lot that goes into another container is potted on; nothing new comes into it. */
static bool is_potted_on(const LedgerLot *lot, const RecordLine *line)
{
    return lot && lot->container && line->container && lot->container != line->container;
}

static void take_into_lot(LedgerWalk *walk, const RecordLine *line)
{
    Ledger *ledger = &walk->ledger;
    LedgerLot *lot = lot_of(walk, line);
    int64_t rest = ledger->alive.count - ledger->in_lots;
    if (is_potted_on(lot, line)) {
        if (line->count > lot->there)
            too_many(walk, line, lot->there, " in the lot");
        else
            lot->container = line->container;
        return;
    }
    if (ledger->alive.basis != LEDGER_UNKNOWN && line->count > rest) {
        too_many(walk, line, rest, ledger->in_lots ? " in no lot yet" : "");
        return;
    }
    if (!lot) {
        lot = VEC_ADD(walk->arena, &walk->lots);
        *lot = (LedgerLot){.name = line->lot,
                           .grade = line->grade,
                           .container = line->container,
                           .verb = line->verb,
                           .on = line->day};
    }
    lot->count += line->count;
    lot->there += line->count;
    ledger->in_lots += line->count;
}

/* ------------------------------------------------------------------ all verbs */

void ledger_take(LedgerWalk *walk, const RecordLine *line)
{
    static void (*const takers[VERBS])(LedgerWalk *, const RecordLine *) = {
        [VERB_ARRIVED] = take_taken,   [VERB_TAKEN] = take_taken,     [VERB_HELD] = take_held,
        [VERB_STUCK] = take_stuck,     [VERB_SAMPLE] = take_sample,   [VERB_COUNTED] = take_counted,
        [VERB_CULLED] = take_culled,   [VERB_DIED] = take_died,       [VERB_LOST] = take_lost,
        [VERB_RESTUCK] = take_given,   [VERB_SPLIT] = take_given,     [VERB_SOLD] = take_sold,
        [VERB_POTTED] = take_into_lot, [VERB_LIFTED] = take_into_lot, [VERB_CORRECT] = take_correction,
    };
    if (takers[line->verb]) takers[line->verb](walk, line);
}
