/* Conditions compiled to code: negation is pushed to the atoms, comparisons with a constant become membership
 * in a set, and atoms on one value inside one `and` become one atom, so that 4 .. 12 cm is not "over 10 and
 * under 5". */
#include "model/rule_compile.h"

static Code *new_code(Compiler *compiler, CodeKind kind, const Expr *expr)
{
    Code *code = ARENA_NEW(compiler->arena, Code);
    code->kind = kind;
    code->span = expr->span;
    if (kind != CODE_AND && kind != CODE_OR) code->atom = ++compiler->body->atoms;
    return code;
}

/* ------------------------------------------------------------------ comparisons */

static Compare compare_of(const Expr *expr, bool negated)
{
    static const Compare plain[] = {COMPARE_LESS,       COMPARE_LESS_EQUAL, COMPARE_MORE,
                                    COMPARE_MORE_EQUAL, COMPARE_EQUAL,      COMPARE_UNEQUAL};
    static const Compare turned[] = {COMPARE_MORE_EQUAL, COMPARE_MORE,    COMPARE_LESS_EQUAL,
                                     COMPARE_LESS,       COMPARE_UNEQUAL, COMPARE_EQUAL};
    return (negated ? turned : plain)[expr->kind - EXPR_LESS];
}

Compare compare_mirrored(Compare compare)
{
    static const Compare mirrored[] = {COMPARE_MORE,       COMPARE_MORE_EQUAL, COMPARE_LESS,
                                       COMPARE_LESS_EQUAL, COMPARE_EQUAL,      COMPARE_UNEQUAL};
    return mirrored[compare];
}

IntervalSet compare_set(Arena *arena, Compare compare, Number number)
{
    Interval below = interval_at_most(number), above = interval_at_least(number);
    Interval *set = ARENA_ARRAY(arena, Interval, 2);
    below.high.open = compare == COMPARE_LESS || compare == COMPARE_UNEQUAL;
    above.low.open = compare == COMPARE_MORE || compare == COMPARE_UNEQUAL;
    switch (compare) {
    case COMPARE_LESS:
    case COMPARE_LESS_EQUAL: set[0] = below; return (IntervalSet){set, 1};
    case COMPARE_MORE:
    case COMPARE_MORE_EQUAL: set[0] = above; return (IntervalSet){set, 1};
    case COMPARE_EQUAL: set[0] = interval_closed(number, number); return (IntervalSet){set, 1};
    case COMPARE_UNEQUAL: break;
    }
    set[0] = below;
    set[1] = above;
    return (IntervalSet){set, 2};
}

static bool is_constant(const Expr *expr)
{
    if (expr->kind == EXPR_NEGATE) return is_constant(expr->a);
    return expr->kind == EXPR_QUANTITY || expr->kind == EXPR_DATE;
}

static bool constant_of(const Sum *sum, Number *number)
{
    if (sum->kind == SUM_NEGATE && constant_of(sum->a, number)) {
        *number = number_negate(*number);
        return true;
    }
    if (sum->kind == SUM_NUMBER) *number = sum->number;
    if (sum->kind == SUM_DAY) *number = NUMBER(sum->day);
    return sum->kind == SUM_NUMBER || sum->kind == SUM_DAY;
}

static bool comparable(Compiler *compiler, const Sum *a, const Sum *b)
{
    if (a->is_day == b->is_day && (a->is_day || a->dimension == b->dimension)) return true;
    Note *note = compile_refuse(compiler, b->span, "%s cannot be compared with %s", sum_sort(a), sum_sort(b));
    note_place(note, a->span, a->is_day ? "this is a day" : dimension_name[a->dimension]);
    return false;
}

/* Both sides, the one that is not constant first, so that it says what a bare % means. */
static bool compile_pair(Compiler *compiler, const Expr *x, const Expr *y, const Sum **a, const Sum **b)
{
    if (is_constant(x) && !is_constant(y)) {
        *b = compile_sum(compiler, y, DIM_NONE);
        *a = *b ? compile_sum(compiler, x, (*b)->dimension) : NULL;
    } else {
        *a = compile_sum(compiler, x, DIM_NONE);
        *b = *a ? compile_sum(compiler, y, (*a)->dimension) : NULL;
    }
    return *a && *b && comparable(compiler, *a, *b);
}

static bool ref_is_per(const Ref *ref, Slice per)
{
    if (ref->field) return field_has_word(ref->field, per);
    Slice word;
    for (size_t i = 0; derived_word_at(ref->derived, i, &word); i++)
        if (slice_equal(word, per)) return true;
    return false;
}

/* `work > 1360 per hour`: the rate must be of that kind. */
static bool check_per(Compiler *compiler, const Expr *constant, const Sum *other)
{
    if (!constant->per.length) return true;
    while (other->kind == SUM_POINT) other = other->a;
    if (other->kind == SUM_REF && ref_is_per(&other->ref, constant->per)) return true;
    compile_refuse(compiler, constant->span, "this is compared with something that is not per %.*s",
                   SLICE_ARG(constant->per));
    return false;
}

static Code *compile_compare(Compiler *compiler, const Expr *expr, bool negated)
{
    const Sum *a, *b;
    if (!compile_pair(compiler, expr->a, expr->b, &a, &b)) return NULL;
    Compare compare = compare_of(expr, negated);
    Number left, right;
    bool left_fixed = constant_of(a, &left), right_fixed = constant_of(b, &right);
    if (left_fixed && right_fixed) {
        compile_refuse(compiler, expr->span, "both sides are fixed: this is always the same");
        return NULL;
    }
    if (!check_per(compiler, left_fixed ? expr->a : expr->b, left_fixed ? b : a)) return NULL;
    Code *code = new_code(compiler, left_fixed || right_fixed ? CODE_MEMBER : CODE_COMPARE, expr);
    code->a = left_fixed ? b : a;
    code->b = left_fixed ? a : b;
    code->compare = left_fixed ? compare_mirrored(compare) : compare;
    if (left_fixed || right_fixed)
        code->set = compare_set(compiler->arena, code->compare, left_fixed ? left : right);
    return code;
}

/* ------------------------------------------------------------------ in, outside */

static Code *compile_window(Compiler *compiler, const Expr *expr, bool negated)
{
    const Sum *a = compile_sum(compiler, expr->a, DIM_NONE);
    if (!a) return NULL;
    if (!a->is_day || (expr->c && expr->c->kind != EXPR_DAY)) {
        Note *note = compile_refuse(compiler, expr->b->span, "days of the year are compared with a date");
        note_place(note, expr->a->span, sum_sort(a));
        return NULL;
    }
    Window *window = ARENA_NEW(compiler->arena, Window);
    window->first.day = expr->b->day;
    window->last.day = expr->c ? expr->c->day : expr->b->day;
    Code *code = new_code(compiler, CODE_WINDOW, expr);
    compiler->body->asks_season = true;
    code->negated = negated;
    code->a = a;
    code->windows = window;
    code->window_count = 1;
    return code;
}

/* `in 20 .. 21 cm`: one unit at the end serves both ends. */
static const Expr *with_unit_of(Compiler *compiler, const Expr *low, const Expr *high)
{
    if (!high || low->kind != EXPR_QUANTITY || high->kind != EXPR_QUANTITY || low->quantity.unit.length)
        return low;
    Expr *copy = ARENA_NEW(compiler->arena, Expr);
    *copy = *low;
    copy->quantity.unit = high->quantity.unit;
    return copy;
}

static Code *compile_in(Compiler *compiler, const Expr *expr, bool negated)
{
    negated = negated != expr->negated;
    if (expr->b->kind == EXPR_DAY) return compile_window(compiler, expr, negated);
    const Sum *a, *b, *c = NULL;
    if (!compile_pair(compiler, expr->a, with_unit_of(compiler, expr->b, expr->c), &a, &b)) return NULL;
    if (expr->c) {
        c = compile_sum(compiler, expr->c, a->dimension);
        if (!c || !comparable(compiler, a, c)) return NULL;
    }
    Number low, high;
    bool fixed = constant_of(b, &low) && c && constant_of(c, &high);
    if (fixed && number_compare(low, high) > 0) {
        compile_refuse(compiler, span_join(b->span, c->span), "this range runs backwards");
        return NULL;
    }
    if (!c && b->kind != SUM_REF) {
        compile_refuse(compiler, b->span,
                       "in is followed by a range, as in 10 .. 20 cm, or by a field that is one");
        return NULL;
    }
    Code *code = new_code(compiler, fixed ? CODE_MEMBER : CODE_WITHIN, expr);
    code->a = a;
    code->b = b;
    code->c = c;
    code->negated = !fixed && negated;
    if (!fixed) return code;
    Interval *interval = ARENA_NEW(compiler->arena, Interval);
    *interval = interval_closed(low, high);
    Interval *everything = ARENA_NEW(compiler->arena, Interval);
    *everything = interval_everything();
    code->set = (IntervalSet){interval, 1};
    if (negated) code->set = intervals_minus(compiler->arena, (IntervalSet){everything, 1}, code->set);
    return code;
}

/* ------------------------------------------------------------------ words */

/* The words that a name can have, one by one; none at all: any word may be its. */
static bool ref_word_at(const Ref *ref, size_t index, Slice *word)
{
    if (ref->field) return ref->field->type == TYPE_WORDS && field_word_at(ref->field, index, word);
    if (ref->derived != DERIVED_FIELD) return derived_word_at(ref->derived, index, word);
    if (index >= field_count) return false;
    *word = slice_of(field_table[index].spelling);
    return true;
}

static bool check_word(Compiler *compiler, const Ref *ref, const ExprWord *word)
{
    Nearest nearest;
    nearest_start(&nearest, word->word);
    Slice known;
    size_t count = 0;
    for (; ref_word_at(ref, count, &known); count++) {
        if (slice_equal(known, word->word)) return true;
        nearest_try(&nearest, known);
    }
    if (!count) return true;
    Note *note =
        compile_refuse(compiler, word->span, "'%.*s' is no word of %s", SLICE_ARG(word->word), ref->spelling);
    if (nearest_found(&nearest))
        note->instead = arena_print(compiler->arena, "did you mean %.*s?", SLICE_ARG(nearest.best));
    return false;
}

static bool compile_words(Compiler *compiler, const ExprWord *words, Code *code)
{
    VEC(Word) list = {0};
    for (const ExprWord *word = words; word; word = word->next) {
        if (!check_word(compiler, &code->ref, word)) return false;
        VEC_PUSH(compiler->arena, &list, ((Word){names_intern(compiler->names, word->word), word->span}));
    }
    code->words = list.at;
    code->word_count = list.count;
    return true;
}

/* `hormone none`, `rate unknown`: a word where a number could stand. */
static bool in_place_of_number(const Ref *ref, const ExprWord *word)
{
    return ref->field && word && !word->next &&
           (slice_is(word->word, "none") || slice_is(word->word, "unknown")) &&
           field_has_word(ref->field, word->word);
}

static Code *compile_is(Compiler *compiler, const Expr *expr, bool negated)
{
    Code *code = new_code(compiler, expr->is == IS_WORDS ? CODE_IS : CODE_STATED, expr);
    if (!compile_ref(compiler, expr->name, false, &code->ref)) return NULL;
    code->negated = negated != (expr->is == IS_UNSTATED ? !expr->negated : expr->negated);
    if (expr->is != IS_WORDS) return code;
    if (!ref_has_words(&code->ref) && !in_place_of_number(&code->ref, expr->words)) {
        compile_refuse(compiler, expr->span, "%s has no words; compare it, as in %s > 3", code->ref.spelling,
                       code->ref.spelling);
        return NULL;
    }
    return compile_words(compiler, expr->words, code) ? code : NULL;
}

static Code *compile_includes(Compiler *compiler, const Expr *expr, bool negated)
{
    Code *code = new_code(compiler, CODE_INCLUDES, expr);
    code->negated = negated != expr->negated;
    if (!compile_ref(compiler, expr->name, false, &code->ref)) return NULL;
    if (!ref_has_words(&code->ref)) {
        compile_refuse(compiler, expr->span, "%s is not a list of words", code->ref.spelling);
        return NULL;
    }
    bool is_word = code->ref.field && field_has_word(code->ref.field, expr->words->word);
    FieldSet reads = compiler->body->reads;
    if (!is_word && compile_ref(compiler, expr->words, true, &code->other) && ref_has_words(&code->other)) {
        code->has_other = true;
        return code;
    }
    compiler->body->reads = reads;
    return compile_words(compiler, expr->words, code) ? code : NULL;
}

/* ------------------------------------------------------------------ mixed, has */

static Code *compile_mixed(Compiler *compiler, const Expr *expr, bool negated)
{
    if (compiler->levels[0] != SCOPE_PLACE || negated) {
        compile_refuse(compiler, expr->span, "mixed is asked of a place, and not turned round");
        return NULL;
    }
    Code *code = new_code(compiler, CODE_MIXED, expr);
    Scope place = compiler->levels[0];
    RuleBody *body = compiler->body, scratch = {0};
    compiler->body = &scratch;
    compiler->levels[0] = SCOPE_BATCH;
    bool found = compile_ref(compiler, expr->name, false, &code->ref);
    compiler->levels[0] = place;
    compiler->body = body;
    if (found && expr->words) {
        code->has_other = true;
        found = compile_ref(compiler, expr->words, false, &code->other);
    }
    if (found && (!ref_has_words(&code->ref) || (code->has_other && !ref_has_words(&code->other)))) {
        compile_refuse(compiler, expr->span, "mixed compares words: mixed thirst on mist-line");
        found = false;
    }
    body->asks_mixed = true;
    return found ? code : NULL;
}

static bool thing_is_known(Compiler *compiler, const Expr *expr)
{
    if (expr->thing == THING_RECORD) {
        compiler->body->asks_records = true;
        if (compiler->in_batch) return true;
        compile_refuse(compiler, expr->span, "records are asked of a batch");
        return false;
    }
    if (compiler->levels[compiler->level_count - 1] != SCOPE_PLACE) return true;
    compile_refuse(compiler, expr->span, "a place has no stages and no tasks");
    return false;
}

static Code *compile_has(Compiler *compiler, const Expr *expr, bool negated)
{
    if (!thing_is_known(compiler, expr)) return NULL;
    Code *code = new_code(compiler, CODE_HAS, expr);
    code->negated = negated != expr->negated;
    code->thing = expr->thing;
    code->role = expr->role ? names_intern(compiler->names, expr->role->word) : NULL;
    code->relation = expr->relation;
    code->edge = expr->edge;
    code->other_thing = expr->other;
    code->other_role = expr->other_role ? names_intern(compiler->names, expr->other_role->word) : NULL;
    if (!expr->where) return code;
    Scope nearer[2] = {SCOPE_TASK, SCOPE_STAGE};
    unsigned count = expr->thing == THING_TASK ? 2 : expr->thing == THING_STAGE ? 1 : 0;
    if (compiler->level_count + count > COMPILE_LEVELS) {
        compile_refuse(compiler, expr->span, "has stands inside has too often");
        return NULL;
    }
    Scope kept[COMPILE_LEVELS];
    unsigned kept_count = compiler->level_count;
    memcpy(kept, compiler->levels, sizeof kept);
    memcpy(compiler->levels, expr->thing == THING_TASK ? nearer : nearer + 1, count * sizeof *nearer);
    memcpy(compiler->levels + count, kept, kept_count * sizeof *kept);
    compiler->level_count = kept_count + count;
    code->first = compile_condition(compiler, expr->where, false);
    memcpy(compiler->levels, kept, sizeof kept);
    compiler->level_count = kept_count;
    return code->first ? code : NULL;
}

/* ------------------------------------------------------------------ and, or */

static bool same_ref(const Ref *a, const Ref *b)
{
    return a->level == b->level && a->field == b->field && a->derived == b->derived &&
           a->section == b->section;
}

static bool same_operand(const Sum *a, const Sum *b)
{
    if (a->kind != b->kind) return false;
    if (a->kind == SUM_POINT) return a->point == b->point && same_operand(a->a, b->a);
    return a->kind == SUM_REF && same_ref(&a->ref, &b->ref);
}

/* Adds code to a list, flattening lists of the same kind; inside `and` a second set for one value is
 * intersected. */
static void join(Compiler *compiler, Code *list, const Code *code)
{
    if (code->kind == list->kind) {
        for (const Code *inner = code->first; inner;) {
            const Code *next = inner->next;
            join(compiler, list, inner);
            inner = next;
        }
        return;
    }
    Code *copy = ARENA_NEW(compiler->arena, Code);
    *copy = *code;
    copy->next = NULL;
    Code *last = NULL;
    for (Code *member = list->first; member; member = member->next) {
        last = member;
        if (list->kind != CODE_AND || member->kind != CODE_MEMBER || copy->kind != CODE_MEMBER ||
            !same_operand(member->a, copy->a))
            continue;
        member->set = intervals_intersect(compiler->arena, member->set, copy->set);
        member->span = span_join(member->span, copy->span);
        return;
    }
    if (last)
        last->next = copy;
    else
        list->first = copy;
}

static Code *compile_joined(Compiler *compiler, const Expr *expr, bool negated)
{
    bool conjunction = (expr->kind == EXPR_AND) != negated;
    const Code *a = compile_condition(compiler, expr->a, negated);
    const Code *b = compile_condition(compiler, expr->b, negated);
    if (!a || !b) return NULL;
    Code *list = new_code(compiler, conjunction ? CODE_AND : CODE_OR, expr);
    join(compiler, list, a);
    join(compiler, list, b);
    return list;
}

Code *compile_condition(Compiler *compiler, const Expr *expr, bool negated)
{
    switch (expr->kind) {
    case EXPR_AND:
    case EXPR_OR: return compile_joined(compiler, expr, negated);
    case EXPR_NOT: return compile_condition(compiler, expr->a, !negated);
    case EXPR_LESS:
    case EXPR_LESS_EQUAL:
    case EXPR_MORE:
    case EXPR_MORE_EQUAL:
    case EXPR_EQUAL:
    case EXPR_UNEQUAL: return compile_compare(compiler, expr, negated);
    case EXPR_IN: return compile_in(compiler, expr, negated);
    case EXPR_IS: return compile_is(compiler, expr, negated);
    case EXPR_INCLUDES: return compile_includes(compiler, expr, negated);
    case EXPR_MIXED: return compile_mixed(compiler, expr, negated);
    case EXPR_HAS: return compile_has(compiler, expr, negated);
    default: break;
    }
    compile_refuse(compiler, expr->span, "this is a value, not a condition: compare it with something");
    return NULL;
}
