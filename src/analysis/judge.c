/* Atoms by the class of what they read, and, or, has. */
#include "analysis/judge.h"

#include "analysis/fact_derived.h"
#include "analysis/gathering.h"
#include "analysis/judge_sum.h"
#include "base/vec.h"
#include "model/record.h"

/* A range of values against a question: does all of it say yes, does none of it? */
static Truth by_class(FactClass class, bool all, bool none)
{
    if (class == FACT_POINT) return all ? TRUTH_TRUE : TRUTH_FALSE;
    if (class == FACT_SPREAD) return none ? TRUTH_FALSE : TRUTH_TRUE;
    return all ? TRUTH_TRUE : none ? TRUTH_FALSE : TRUTH_UNSURE;
}

/* ------------------------------------------------------------------ numbers and days */

static IntervalSet days_as_numbers(Judging *judging, const Dates *days)
{
    Interval *interval = ARENA_NEW(judging->source->passing, Interval);
    *interval = interval_closed(NUMBER(days->on[RUN_EARLY]), NUMBER(days->on[RUN_LATE]));
    return (IntervalSet){interval, 1};
}

static Truth judge_member(Judging *judging, const Code *code, const Subject *subject)
{
    SumValue value = sum_value(judging, code->a, subject);
    if (value.class >= FACT_NOTHING) return TRUTH_UNSURE;
    IntervalSet set = code->a->is_day ? days_as_numbers(judging, &value.days) : value.numbers;
    return judge_reason(
        judging, value.class,
        by_class(value.class, intervals_within(set, code->set), intervals_disjoint(set, code->set)));
}

enum { WINDOW_DAYS = 800 }; /* no date is less certain than that */

static Truth judge_window(Judging *judging, const Code *code, const Subject *subject)
{
    static const Calendar nowhere = {0};
    SumValue value = sum_value(judging, code->a, subject);
    if (value.class >= FACT_NOTHING) return TRUTH_UNSURE;
    Day first = value.days.on[RUN_EARLY], last = value.days.on[RUN_LATE];
    if (last - first > WINDOW_DAYS) last = first + WINDOW_DAYS;
    bool all = true, none = true;
    for (Day day = first; day <= last; day++) {
        bool in = false;
        for (size_t i = 0; i < code->window_count && !in; i++)
            in = window_has(&code->windows[i], &nowhere, day, RUN_PLANNED);
        if (in == code->negated)
            all = false;
        else
            none = false;
    }
    return judge_reason(judging, value.class, by_class(value.class, all, none));
}

static int compare_bounds(Bound a, Bound b, bool a_is_low, bool b_is_low)
{
    if (a.unbounded) return a_is_low ? -1 : 1;
    if (b.unbounded) return b_is_low ? 1 : -1;
    return number_compare(a.at, b.at);
}

/* Whether a < b (or a <= b) for some pair and for all pairs. */
static void below(Interval a, Interval b, bool or_equal, bool *some, bool *all)
{
    int near = compare_bounds(a.low, b.high, true, false), far = compare_bounds(a.high, b.low, false, true);
    *some = near < 0 || (near == 0 && or_equal && !a.low.open && !b.high.open);
    *all = far < 0 || (far == 0 && (or_equal || a.high.open || b.low.open));
}

static void compare_ranges(Compare compare, Interval a, Interval b, bool *some, bool *all)
{
    bool disjoint = interval_disjoint(a, b);
    bool same_point = interval_is_point(a) && interval_is_point(b) && !disjoint;
    switch (compare) {
    case COMPARE_LESS: below(a, b, false, some, all); break;
    case COMPARE_LESS_EQUAL: below(a, b, true, some, all); break;
    case COMPARE_MORE: below(b, a, false, some, all); break;
    case COMPARE_MORE_EQUAL: below(b, a, true, some, all); break;
    case COMPARE_EQUAL:
        *some = !disjoint;
        *all = same_point;
        break;
    case COMPARE_UNEQUAL:
        *some = !same_point;
        *all = disjoint;
        break;
    }
}

static bool compare_days(Compare compare, Day a, Day b)
{
    switch (compare) {
    case COMPARE_LESS: return a < b;
    case COMPARE_LESS_EQUAL: return a <= b;
    case COMPARE_MORE: return a > b;
    case COMPARE_MORE_EQUAL: return a >= b;
    case COMPARE_EQUAL: return a == b;
    case COMPARE_UNEQUAL: break;
    }
    return a != b;
}

static Truth judge_compare(Judging *judging, const Code *code, const Subject *subject)
{
    SumValue a = sum_value(judging, code->a, subject), b = sum_value(judging, code->b, subject);
    FactClass class = a.class > b.class ? a.class : b.class;
    if (class >= FACT_NOTHING) return TRUTH_UNSURE;
    bool all = true, some = false;
    if (code->a->is_day) { /* two dates of one batch: run by run */
        for (int run = 0; run < RUNS; run++) {
            bool holds = compare_days(code->compare, a.days.on[run], b.days.on[run]);
            all = all && holds;
            some = some || holds;
        }
        return judge_reason(judging, FACT_UNCERTAIN, all ? TRUTH_TRUE : some ? TRUTH_UNSURE : TRUTH_FALSE);
    }
    compare_ranges(code->compare, intervals_hull(a.numbers), intervals_hull(b.numbers), &some, &all);
    return judge_reason(judging, class, by_class(class, all, !some));
}

static Truth judge_within(Judging *judging, const Code *code, const Subject *subject)
{
    SumValue a = sum_value(judging, code->a, subject), b = sum_value(judging, code->b, subject);
    SumValue c = code->c ? sum_value(judging, code->c, subject) : b;
    if (a.class >= FACT_NOTHING || b.class >= FACT_NOTHING || c.class >= FACT_NOTHING) return TRUTH_UNSURE;
    IntervalSet inner = code->a->is_day ? days_as_numbers(judging, &a.days) : a.numbers;
    IntervalSet outer = code->b->is_day ? days_as_numbers(judging, &b.days) : b.numbers;
    if (code->c) {
        Interval *range = ARENA_NEW(judging->source->passing, Interval);
        range->low = intervals_hull(outer).low;
        range->high = intervals_hull(code->c->is_day ? days_as_numbers(judging, &c.days) : c.numbers).high;
        outer = (IntervalSet){range, 1};
    }
    bool within = intervals_within(inner, outer), disjoint = intervals_disjoint(inner, outer);
    return judge_reason(judging, a.class,
                        code->negated ? by_class(a.class, disjoint, within)
                                      : by_class(a.class, within, disjoint));
}

/* ------------------------------------------------------------------ words */

static bool has_word(const Word *words, size_t count, Name name)
{
    for (size_t i = 0; i < count; i++)
        if (words[i].name == name) return true;
    return false;
}

/* A quantity's `none` or `unknown`. */
static bool stands_for_number(const Reading *reading, Name word)
{
    return reading && ((reading->none && slice_is(name_slice(word), "none")) ||
                       (reading->unknown && slice_is(name_slice(word), "unknown")));
}

static Truth judge_is(Judging *judging, const Code *code, const Subject *subject)
{
    Fact fact = fact_of(judging->source, subject, &code->ref);
    if (fact.class >= FACT_NOTHING) {
        judge_missing(judging, &code->ref, &fact);
        return TRUTH_UNSURE;
    }
    size_t hits = 0;
    for (size_t i = 0; i < fact.word_count; i++)
        hits += has_word(code->words, code->word_count, fact.words[i].name);
    size_t count = fact.word_count ? fact.word_count : 1;
    if (!fact.word_count) hits = stands_for_number(fact.reading, code->words[0].name);
    bool all = code->negated ? hits == 0 : hits == count, none = code->negated ? hits == count : hits == 0;
    return judge_reason(judging, fact.class, by_class(fact.class, all, none));
}

static bool leads_either_way(const Word *a, size_t a_count, const Word *b, size_t b_count)
{
    return taxon_leads(a, a_count, b, b_count) || taxon_leads(b, b_count, a, a_count);
}

/* Plants by their leading words: one of the taxa of `other` leads, or is led by, what the fact names. */
static bool taxa_meet(const Fact *fact, const Fact *other)
{
    if (!other->clause)
        return leads_either_way(fact->words, fact->word_count, other->words, other->word_count);
    for (const Clause *clause = other->clause; clause; clause = clause->next) {
        if (clause->field != other->clause->field || !clause->reading) continue;
        if (leads_either_way(fact->words, fact->word_count, clause->reading->words,
                             clause->reading->word_count))
            return true;
    }
    return false;
}

static bool list_is_empty_here(const Ref *ref)
{
    return ref->level != SCOPE_BATCH; /* a protocol that does not list anything lists nothing */
}

static Truth judge_includes(Judging *judging, const Code *code, const Subject *subject)
{
    Fact fact = fact_of(judging->source, subject, &code->ref), other = {0};
    if (code->has_other) other = fact_of(judging->source, subject, &code->other);
    bool unknown = fact.class == FACT_SPOILED ||
                   (fact.class == FACT_NOTHING && (!list_is_empty_here(&code->ref) || code->has_other));
    if (unknown || (code->has_other && other.class >= FACT_NOTHING)) {
        judge_missing(judging, unknown ? &code->ref : &code->other, unknown ? &fact : &other);
        return TRUTH_UNSURE;
    }
    bool includes = true;
    if (code->has_other && code->other.type == TYPE_TAXON)
        includes = taxa_meet(&fact, &other);
    else if (code->has_other)
        for (size_t i = 0; i < other.word_count && includes; i++)
            includes = has_word(fact.words, fact.word_count, other.words[i].name);
    else
        includes = has_word(fact.words, fact.word_count, code->words[0].name);
    return includes != code->negated ? TRUTH_TRUE : TRUTH_FALSE;
}

static Truth judge_stated(Judging *judging, const Code *code, const Subject *subject)
{
    const Subject *at = subject_at(subject, code->ref.level);
    Fact fact = fact_of(judging->source, subject, &code->ref);
    bool open = at && (code->ref.field ? subject_leaves_open(at, code->ref.field)
                                       : at->open && fact.class == FACT_NOTHING);
    if (open) {
        judging->reasons |= REASON_UNSTATED;
        return TRUTH_UNSURE;
    }
    if (fact.class == FACT_SPOILED) {
        judging->reasons |= REASON_SPOILED;
        return TRUTH_UNSURE;
    }
    return fact.stated != code->negated ? TRUTH_TRUE : TRUTH_FALSE;
}

/* ------------------------------------------------------------------ stages, tasks, records */

/* A place on paper: stages one after the other, in each the start, what lies within, the end. */
typedef struct PaperPlace {
    int stage, rank;
} PaperPlace;

enum { BEFORE_STAGES = -10, RANK_START = 0, RANK_WITHIN = 1, RANK_END = 2 };

static PaperPlace place_of_task(const Schedule *schedule, const TaskPlan *task)
{
    if (task->stage >= 0) {
        bool own = task->timing == TIMING_DAYS &&
                   (task->moment.stage == STAGE_OWN || task->moment.stage == task->stage);
        bool at_start = own && task->moment.kind == MOMENT_START && task->after.high <= 0;
        bool at_end = own && task->moment.kind == MOMENT_END && task->after.low >= 0;
        return (PaperPlace){task->stage, at_start ? RANK_START : at_end ? RANK_END : RANK_WITHIN};
    }
    if (task->stage == SECTION_FINISH) return (PaperPlace){(int)schedule->stage_count, RANK_WITHIN};
    if (task->stage == SECTION_CLIMATE) return (PaperPlace){0, RANK_WITHIN};
    bool ahead = task->stage != SECTION_STICK || (task->timing == TIMING_DAYS && task->after.high < 0);
    return (PaperPlace){ahead ? BEFORE_STAGES - task->stage : -1, RANK_WITHIN};
}

static int compare_places(PaperPlace a, PaperPlace b)
{
    return a.stage != b.stage ? a.stage - b.stage : a.rank - b.rank;
}

typedef struct Things {
    Judging *judging;
    const Code *code;
    const Subject *subject; /* the one that has them */
    const Protocol *protocol;
    const Schedule *schedule;
} Things;

/* The place of what a thing is compared with; false: there is no such. The sticking itself is the task stick.
 */
static bool place_of_other(const Things *things, const Code *code, PaperPlace *from, PaperPlace *to)
{
    const Schedule *schedule = things->schedule;
    for (size_t i = 0; code->other_thing == THING_STAGE && i < schedule->stage_count; i++) {
        if (schedule->stages[i].role != code->other_role) continue;
        *from = (PaperPlace){(int)i, code->edge == EDGE_END ? RANK_END : RANK_START};
        *to = (PaperPlace){(int)i, code->edge == EDGE_START ? RANK_START : RANK_END};
        return true;
    }
    for (size_t i = 0; code->other_thing == THING_TASK && i < things->protocol->task_count; i++) {
        if (schedule->tasks[i].role != code->other_role) continue;
        *from = *to = place_of_task(schedule, &schedule->tasks[i]);
        return true;
    }
    if (code->other_thing != THING_TASK || !slice_is(name_slice(code->other_role), "stick")) return false;
    *from = *to = (PaperPlace){-1, RANK_END};
    return true;
}

static bool stands_right(const Things *things, PaperPlace begin, PaperPlace end)
{
    PaperPlace from, to;
    const Code *code = things->code;
    if (code->relation == RELATION_NONE) return true;
    if (!place_of_other(things, code, &from, &to)) return false;
    if (code->relation == RELATION_BEFORE) return compare_places(begin, from) < 0;
    if (code->relation == RELATION_AFTER) return compare_places(end, to) > 0;
    return compare_places(begin, from) >= 0 && compare_places(end, to) <= 0;
}

static Truth judge_inside(const Things *things, const Subject *thing)
{
    return things->code->first ? judge_condition(things->judging, things->code->first, thing) : TRUTH_TRUE;
}

static Subject stage_subject(const Things *things, size_t index)
{
    return (Subject){.scope = SCOPE_STAGE,
                     .outer = things->subject,
                     .block = things->protocol->stages[index],
                     .index = (int)index,
                     .context = things->subject->context,
                     .protocol = things->protocol,
                     .open = things->subject->open};
}

static Truth any_stage(const Things *things)
{
    Truth found = TRUTH_FALSE;
    for (size_t i = 0; i < things->schedule->stage_count && found != TRUTH_TRUE; i++) {
        if (things->code->role && things->schedule->stages[i].role != things->code->role) continue;
        if (!stands_right(things, (PaperPlace){(int)i, RANK_START}, (PaperPlace){(int)i, RANK_END})) continue;
        Subject stage = stage_subject(things, i);
        found = truth_or(found, judge_inside(things, &stage));
    }
    return found;
}

/* In a batch the dated occurrences of a task are asked one by one; where it has no dates the task itself is.
 */
static Truth one_task(const Things *things, size_t index)
{
    const TaskPlan *plan = &things->schedule->tasks[index];
    const Subject *batch = subject_at(things->subject, SCOPE_BATCH);
    const Timeline *timeline = batch ? batch->timeline : NULL;
    Subject stage =
        plan->stage >= 0
            ? stage_subject(things, (size_t)plan->stage)
            : (Subject){.scope = SCOPE_STAGE, .index = plan->stage, .context = things->subject->context};
    stage.outer = things->subject;
    Subject task = {.scope = SCOPE_TASK,
                    .outer = &stage,
                    .block = things->protocol->tasks[index],
                    .index = (int)index,
                    .context = things->subject->context,
                    .protocol = things->protocol,
                    .open = things->subject->open};
    if (!things->code->first || !timeline || !timeline->dated) return judge_inside(things, &task);
    Truth found = TRUTH_FALSE;
    bool occurs = false;
    for (size_t i = 0; i < timeline->task_count && found != TRUTH_TRUE; i++) {
        if (timeline->tasks[i].task != (int)index) continue;
        occurs = true;
        task.date = &timeline->tasks[i];
        found = truth_or(found, judge_inside(things, &task));
    }
    return occurs ? found : TRUTH_FALSE;
}

static Truth any_task(const Things *things)
{
    Truth found = TRUTH_FALSE;
    int own_stage = things->subject->scope == SCOPE_STAGE ? things->subject->index
                                                          : INT32_MAX; /* a stage has its own tasks only */
    for (size_t i = 0; i < things->protocol->task_count && found != TRUTH_TRUE; i++) {
        const TaskPlan *plan = &things->schedule->tasks[i];
        if (own_stage != INT32_MAX && plan->stage != own_stage) continue;
        if (things->code->role && plan->role != things->code->role) continue;
        PaperPlace place = place_of_task(things->schedule, plan);
        if (stands_right(things, place, place)) found = truth_or(found, one_task(things, i));
    }
    return found;
}

static Truth any_record(const Things *things)
{
    const Subject *batch = subject_at(things->subject, SCOPE_BATCH);
    Truth found = TRUTH_FALSE;
    for (const RecordLine *line = batch && batch->record ? batch->record->lines : NULL;
         line && found != TRUTH_TRUE; line = line->next) {
        if (things->code->role && !record_line_is(line, name_slice(things->code->role))) continue;
        found = truth_or(found, judge_inside(things, things->subject));
    }
    return found;
}

static Truth judge_has(Judging *judging, const Code *code, const Subject *subject)
{
    Things things = {judging, code, subject, NULL, NULL};
    things.protocol = subject->context ? subject->context->protocol : NULL;
    things.schedule = things.protocol ? things.protocol->schedule : NULL;
    Truth found;
    if (code->thing == THING_RECORD)
        found = any_record(&things);
    else if (!things.schedule)
        return TRUTH_UNSURE;
    else
        found = code->thing == THING_STAGE ? any_stage(&things) : any_task(&things);
    return code->negated ? truth_not(found) : found;
}

/* ------------------------------------------------------------------ and, or */

static Truth judge_list(Judging *judging, const Code *code, const Subject *subject)
{
    bool conjunction = code->kind == CODE_AND;
    Truth result = conjunction ? TRUTH_TRUE : TRUTH_FALSE, settled = conjunction ? TRUTH_FALSE : TRUTH_TRUE;
    unsigned reasons = judging->reasons;
    FieldSet missing = judging->missing;
    for (const Code *member = code->first; member; member = member->next) {
        Truth one = judge_condition(judging, member, subject);
        result = conjunction ? truth_and(result, one) : truth_or(result, one);
        if (result != settled) continue;
        judging->reasons = reasons; /* what was unsure before no longer matters */
        judging->missing = missing;
        return settled;
    }
    return result;
}

static Truth judge_atom(Judging *judging, const Code *code, const Subject *subject)
{
    switch (code->kind) {
    case CODE_MEMBER: return judge_member(judging, code, subject);
    case CODE_WINDOW: return judge_window(judging, code, subject);
    case CODE_IS: return judge_is(judging, code, subject);
    case CODE_INCLUDES: return judge_includes(judging, code, subject);
    case CODE_STATED: return judge_stated(judging, code, subject);
    case CODE_COMPARE: return judge_compare(judging, code, subject);
    case CODE_WITHIN: return judge_within(judging, code, subject);
    case CODE_MIXED:
        return judge_reason(judging, FACT_UNCERTAIN,
                            gathering_mixed(subject->together, code, subject->place));
    case CODE_HAS: return judge_has(judging, code, subject);
    case CODE_AND:
    case CODE_OR: break;
    }
    return TRUTH_UNSURE;
}

Truth judge_condition(Judging *judging, const Code *code, const Subject *subject)
{
    if (code->kind == CODE_AND || code->kind == CODE_OR) return judge_list(judging, code, subject);
    Truth truth = judge_atom(judging, code, subject);
    return judging->turned && judging->turned == code->atom ? truth_not(truth) : truth;
}

static Truth judge_once(Judging *judging, const RuleBody *body, const Subject *subject, bool *about)
{
    judging->reasons = 0;
    judging->missing = (FieldSet){{0}};
    *about = true;
    Truth where = body->where ? judge_condition(judging, body->where, subject) : TRUTH_TRUE;
    if (where == TRUTH_FALSE) {
        *about = false;
        return TRUTH_FALSE;
    }
    Truth when = judge_condition(judging, body->when, subject);
    return truth_and(where, when);
}

/* What is decided with a range around a share is decided with the share. */
Truth judge_rule(Judging *judging, const RuleBody *body, const Subject *subject, bool *about)
{
    const FactSource *exactly = judging->source;
    FactSource roughly = *exactly;
    if (!body->asks_shares) return judge_once(judging, body, subject, about);
    roughly.roughly = true;
    judging->source = &roughly;
    Truth truth = judge_once(judging, body, subject, about);
    judging->source = exactly;
    return truth == TRUTH_UNSURE ? judge_once(judging, body, subject, about) : truth;
}
