/* Rules beside each other: how severely each is judged, what it asks, what it tells.
 *
 * A rule that ships with the program is the same on both sides unless a house wrote it anew or judges it
 * otherwise.
 */
#include "analysis/diff_work.h"

#include "analysis/rule_terms.h"

/* The rule that a block is; rules lie in the order of their names. */
static const Rule *rule_of(const Nursery *nursery, const Block *block)
{
    size_t low = 0, high = block ? nursery->rule_count : 0;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        int order = slice_compare(name_slice(nursery->rules[middle].name), name_slice(block->name));
        if (!order) return &nursery->rules[middle];
        if (order < 0)
            low = middle + 1;
        else
            high = middle;
    }
    return NULL;
}

static Change *add(DiffWalk *walk, ChangeKind kind, Direction direction, const Block *before,
                   const Block *after)
{
    diff_set_owner(walk, before, after);
    Change *change = diff_add(walk, kind, before, after);
    change->path = "";
    change->chapter = direction == DIRECTION_EDITORIAL ? CHAPTER_EDITORIAL : CHAPTER_RULES;
    change->direction = direction;
    return change;
}

/* ------------------------------------------------------------------ severity */

/* Asked without marking a judgement as used: nothing is judged here. */
static Severity judged(const Nursery *nursery, Name name, Severity severity)
{
    for (size_t i = 0; i < nursery->judgement_count; i++)
        if (nursery->judgements[i].name == name) return nursery->judgements[i].severity;
    return severity;
}

static void compare_severity(DiffWalk *walk, const Rule *before, const Rule *after)
{
    Severity was = judged(walk->before, before->name, before->severity),
             is = judged(walk->after, after->name, after->severity);
    if (was == is) return;
    Change *change = add(walk, CHANGE_SEVERITY, is > was ? DIRECTION_TIGHTENED : DIRECTION_LOOSENED,
                         before->block, after->block);
    change->was = severity_name[was];
    change->is = severity_name[is];
}

static bool is_rule(const Nursery *nursery, Name name)
{
    for (size_t i = 0; i < nursery->rule_count; i++)
        if (nursery->rules[i].name == name) return true;
    return false;
}

/* What the nursery judges and no rule tells: the check of a field, a finding of the program. Unjudged it
 * stands between off and error. */
static void judge_other(DiffWalk *walk, Name name, const Judgement *before, const Judgement *after)
{
    Severity was = before ? before->severity : SEVERITY_WARNING,
             is = after ? after->severity : SEVERITY_WARNING;
    if (before && after && was == is) return;
    Direction direction = is > was ? DIRECTION_TIGHTENED : is < was ? DIRECTION_LOOSENED : DIRECTION_MOVED;
    diff_set_owner(walk, walk->before->self, walk->after->self);
    Change *change =
        diff_add(walk, CHANGE_SEVERITY, before ? walk->before->self : NULL, after ? walk->after->self : NULL);
    change->chapter = CHAPTER_RULES;
    change->direction = direction;
    change->path = name->text;
    change->was = before ? severity_name[was] : "as it ships";
    change->is = after ? severity_name[is] : "as it ships";
}

static const Judgement *judgement_of(const Nursery *nursery, Name name)
{
    for (size_t i = 0; i < nursery->judgement_count; i++)
        if (nursery->judgements[i].name == name) return &nursery->judgements[i];
    return NULL;
}

static void compare_judgements(DiffWalk *walk)
{
    const Nursery *both[2] = {walk->before, walk->after};
    for (int side = 0; side < 2; side++)
        for (size_t i = 0; i < both[side]->judgement_count; i++) {
            Name name = both[side]->judgements[i].name;
            const Judgement *before = judgement_of(walk->before, name),
                            *after = judgement_of(walk->after, name);
            if (is_rule(both[side], name) || (side == 1 && before)) continue;
            judge_other(walk, name, before, after);
        }
}

/* ------------------------------------------------------------------ what is asked and told */

static const Clause *condition_of(const Block *block, const Field *field)
{
    return block_clause(block, field);
}

static bool same_condition(const Block *a, const Block *b, const Field *field)
{
    const Clause *before = condition_of(a, field), *after = condition_of(b, field);
    if (!before || !after || !before->reading || !after->reading) return before == after;
    return reading_equal(before->reading, after->reading);
}

static const char *condition_text(DiffWalk *walk, const Block *block)
{
    const Clause *where = condition_of(block, FIELD_ROW(WHERE)),
                 *when = condition_of(block, FIELD_ROW(WHEN_OF_RULE));
    const char *fault =
        when && when->reading ? reading_print(walk->arena, when->field, when->reading, NULL) : "";
    if (!where || !where->reading) return fault;
    return arena_print(walk->arena, "where %s: %s",
                       reading_print(walk->arena, where->field, where->reading, NULL), fault);
}

/* To find fault with more is tightened, with less loosened; the same asked in other words is editorial. */
static Direction condition_direction(DiffWalk *walk, const Rule *before, const Rule *after)
{
    Arena *arena = walk->arena;
    TermMaker maker = {arena, names_new(arena)};
    RuleTerms was = rule_terms_of(&maker, before), is = rule_terms_of(&maker, after);
    bool more = rule_terms_lie_in(&maker, &was, &is), less = rule_terms_lie_in(&maker, &is, &was);
    if (more && less) return DIRECTION_EDITORIAL;
    return more ? DIRECTION_TIGHTENED : less ? DIRECTION_LOOSENED : DIRECTION_MOVED;
}

static void compare_condition(DiffWalk *walk, const Rule *before, const Rule *after)
{
    if (same_condition(before->block, after->block, FIELD_ROW(WHERE)) &&
        same_condition(before->block, after->block, FIELD_ROW(WHEN_OF_RULE)))
        return;
    Change *change =
        add(walk, CHANGE_CONDITION, condition_direction(walk, before, after), before->block, after->block);
    change->was = condition_text(walk, before->block);
    change->is = condition_text(walk, after->block);
}

static void compare_told(DiffWalk *walk, const Rule *before, const Rule *after)
{
    const Clause *old = rule_message(walk->before, before), *new = rule_message(walk->after, after);
    if (!old || !new || !old->reading || !new->reading) return;
    if (slice_same_text(old->reading->text, new->reading->text)) return;
    Change *change = add(walk, CHANGE_TITLE, DIRECTION_EDITORIAL, before->block, after->block);
    change->was = arena_copy(walk->arena, old->reading->text.at, old->reading->text.length);
    change->is = arena_copy(walk->arena, new->reading->text.at, new->reading->text.length);
}

/* ------------------------------------------------------------------ all */

static void came_or_went(DiffWalk *walk, const Rule *before, const Rule *after)
{
    bool off = before ? judged(walk->before, before->name, before->severity) == SEVERITY_OFF
                      : judged(walk->after, after->name, after->severity) == SEVERITY_OFF;
    Direction direction = off ? DIRECTION_EDITORIAL : after ? DIRECTION_TIGHTENED : DIRECTION_LOOSENED;
    add(walk, CHANGE_BLOCK, direction, before ? before->block : NULL, after ? after->block : NULL);
}

static void compare_rule(DiffWalk *walk, const Rule *before, const Rule *after)
{
    if (before->name != after->name) {
        Change *change = add(walk, CHANGE_RENAMED, DIRECTION_EDITORIAL, before->block, after->block);
        change->was = before->name->text;
        change->is = after->name->text;
    }
    compare_severity(walk, before, after);
    if (before->block->built_in && after->block->built_in) return;
    compare_condition(walk, before, after);
    compare_told(walk, before, after);
    diff_set_owner(walk, before->block, after->block);
    size_t from = walk->changes.count;
    diff_clauses(walk, before->block, after->block);
    for (; from < walk->changes.count; from++)
        if (walk->changes.at[from].chapter != CHAPTER_EDITORIAL)
            walk->changes.at[from].chapter = CHAPTER_RULES;
}

void diff_rules(DiffWalk *walk)
{
    const Pairs *pairs = &walk->pairs[BLOCK_RULE];
    for (size_t i = 0; i < pairs->count; i++) {
        const Rule *before = rule_of(walk->before, pairs->at[i].before),
                   *after = rule_of(walk->after, pairs->at[i].after);
        if (before && after)
            compare_rule(walk, before, after);
        else if (before || after)
            came_or_went(walk, before, after);
    }
    compare_judgements(walk);
}
