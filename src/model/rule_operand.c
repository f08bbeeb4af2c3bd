/* Names and sums in conditions: what a name means from where it stands, and which values may be compared and
 * added. */
#include "model/rule_compile.h"

/* ------------------------------------------------------------------ names */

/* The kinds of block that a subject sees at each level, statements before limits. */
static const BlockMask level_sees[SCOPES] = {
    [SCOPE_BATCH] = BLOCK_BIT(BLOCK_BATCH) | BLOCK_BIT(BLOCK_CONTAINER) | BLOCK_BIT(BLOCK_PLACE) |
                    BLOCK_BIT(BLOCK_SITE) | BLOCK_BIT(BLOCK_VARIETY) | BLOCK_BIT(BLOCK_SPECIES) |
                    BLOCK_BIT(BLOCK_TAKE) | BLOCK_BIT(BLOCK_HOLD) | BLOCK_BIT(BLOCK_TREAT) |
                    BLOCK_BIT(BLOCK_STICK) | BLOCK_BIT(BLOCK_CLIMATE) | BLOCK_BIT(BLOCK_FINISH) |
                    BLOCK_BIT(BLOCK_STAGE) | BLOCK_BIT(BLOCK_PROTOCOL),
    [SCOPE_PROTOCOL] = BLOCK_BIT(BLOCK_TAKE) | BLOCK_BIT(BLOCK_HOLD) | BLOCK_BIT(BLOCK_TREAT) |
                       BLOCK_BIT(BLOCK_STICK) | BLOCK_BIT(BLOCK_CLIMATE) | BLOCK_BIT(BLOCK_FINISH) |
                       BLOCK_BIT(BLOCK_STAGE) | BLOCK_BIT(BLOCK_PROTOCOL) | BLOCK_BIT(BLOCK_SPECIES),
    [SCOPE_STAGE] = BLOCK_BIT(BLOCK_STAGE),
    [SCOPE_TASK] = BLOCK_BIT(BLOCK_TASK),
    [SCOPE_CLAUSE] = 0,
    [SCOPE_PLACE] = BLOCK_BIT(BLOCK_PLACE) | BLOCK_BIT(BLOCK_SITE),
};

static bool level_of_word(const Compiler *compiler, Slice word, unsigned *level)
{
    Scope scope;
    if (!scope_find(word, &scope)) return false;
    for (unsigned i = 0; i < compiler->level_count; i++) {
        if (compiler->levels[i] != scope) continue;
        *level = i;
        return true;
    }
    return false;
}

/* The row of the vocabulary for a spelling at a level: a batch's own row first, else the only one. *several
 * is set when rows of different meaning are in sight. */
static const Field *row_at(const Compiler *compiler, Scope level, Slice spelling, bool *several)
{
    const Field *own = level == SCOPE_BATCH ? field_find(spelling, BLOCK_BATCH) : NULL;
    const Field *found = own;
    (void)compiler;
    for (const Field *field = field_find_from(spelling, NULL); field && !own;
         field = field_find_from(spelling, field)) {
        if (!(field->where & level_sees[level])) continue;
        if (found) *several = true;
        found = field;
    }
    return found;
}

/* Dates of stages and tasks follow from what a batch says of its days. */
static void ask_dates(Compiler *compiler)
{
    static const FieldNumber days[] = {FIELD_NUMBER_TAKE, FIELD_NUMBER_ARRIVE, FIELD_NUMBER_STICK,
                                       FIELD_NUMBER_WANT};
    compiler->body->asks_dates = true;
    for (size_t i = 0; i < sizeof days / sizeof *days; i++)
        fieldset_add(&compiler->body->reads, &field_table[days[i]]);
}

static void set_field(Compiler *compiler, Ref *ref, Scope level, const Field *field)
{
    ref->level = level;
    ref->field = field;
    ref->type = field->type;
    ref->dimension = field->type == TYPE_LASTS ? DIM_DURATION : field->dimension;
    ref->is_role = field == FIELD_ROW(ROLE);
    if (field->flags & FIELD_UNSILENCED) compiler->body->unsilenced = true;
    if (compiler->in_batch && field == FIELD_ROW(LASTS_OF_STAGE))
        ask_dates(compiler); /* it may end on a day */
    if (level != SCOPE_BATCH) return;
    fieldset_add(&compiler->body->reads, field);
    /* where no night lies between, one of the two dates says the other */
    if (field == FIELD_ROW(TAKE)) fieldset_add(&compiler->body->reads, FIELD_ROW(STICK));
    if (field == FIELD_ROW(STICK)) fieldset_add(&compiler->body->reads, FIELD_ROW(TAKE));
}

/* What a batch, or what it refers to, says that a derived value is made of. */
static const struct {
    Derived derived;
    FieldNumber field;
} read_by[] = {{DERIVED_STRENGTH, FIELD_NUMBER_HORMONE},    {DERIVED_FORM, FIELD_NUMBER_HORMONE},
               {DERIVED_DIP_TIME, FIELD_NUMBER_HORMONE},    {DERIVED_ROOM, FIELD_NUMBER_TRAYS},
               {DERIVED_ROOM, FIELD_NUMBER_INTO},           {DERIVED_ROOM, FIELD_NUMBER_SPACING},
               {DERIVED_ROOM, FIELD_NUMBER_PER_CELL},       {DERIVED_HELD, FIELD_NUMBER_TAKE},
               {DERIVED_HELD, FIELD_NUMBER_STICK},          {DERIVED_HELD, FIELD_NUMBER_ARRIVE},
               {DERIVED_LICENCE_END, FIELD_NUMBER_LICENCE}, {DERIVED_EXPECTED, FIELD_NUMBER_COUNT_OF_BATCH},
               {DERIVED_EXPECTED, FIELD_NUMBER_RATE},       {DERIVED_CHANCE, FIELD_NUMBER_COUNT_OF_BATCH},
               {DERIVED_CHANCE, FIELD_NUMBER_WANT},         {DERIVED_CHANCE, FIELD_NUMBER_RATE},
               {DERIVED_NEEDED, FIELD_NUMBER_WANT},         {DERIVED_NEEDED, FIELD_NUMBER_RATE},
               {DERIVED_STANDING, FIELD_NUMBER_RATE}};

static void set_derived(Compiler *compiler, Ref *ref, Scope level, Derived derived)
{
    ref->level = level;
    ref->derived = derived;
    ref->type = derived_types[derived].type;
    ref->dimension = derived_types[derived].dimension;
    if (derived == DERIVED_FINISH || derived == DERIVED_DUE || derived == DERIVED_DATE) ask_dates(compiler);
    if (derived == DERIVED_DATE) compiler->body->asks_season = true;
    if (derived == DERIVED_STATUS) compiler->body->asks_records = true;
    if (derived == DERIVED_STANDING || derived == DERIVED_SURVIVAL) compiler->body->asks_shares = true;
    if (!compiler->in_batch) return;
    for (size_t i = 0; i < sizeof read_by / sizeof *read_by; i++)
        if (read_by[i].derived == derived)
            fieldset_add(&compiler->body->reads, &field_table[read_by[i].field]);
}

/* `hold.air-temperature`, `take.window`: the limit of one section. */
static bool section_ref(Compiler *compiler, const ExprWord *section, const ExprWord *name, Ref *ref)
{
    const BlockType *type = block_find(section->word);
    if (!type || !(type->where & BLOCK_BIT(BLOCK_PROTOCOL))) return false;
    const Field *field = field_find(name->word, type->kind);
    if (!field) return false;
    for (unsigned i = 0; i < compiler->level_count; i++) {
        if (compiler->levels[i] != SCOPE_BATCH && compiler->levels[i] != SCOPE_PROTOCOL) continue;
        set_field(compiler, ref, compiler->levels[i], field);
        ref->section = type->kind;
        return true;
    }
    return false;
}

static bool ref_from_level(Compiler *compiler, Slice spelling, unsigned level, Ref *ref, bool *several)
{
    Scope scope = compiler->levels[level];
    Derived derived = derived_find(spelling, scope);
    bool dated = derived == DERIVED_DUE || derived == DERIVED_DATE;
    if (derived != DERIVED_NONE && !(dated && !compiler->in_batch) &&
        !(derived == DERIVED_OFFSET && compiler->in_batch)) {
        set_derived(compiler, ref, scope, derived);
        return true;
    }
    const Field *field = row_at(compiler, scope, spelling, several);
    if (!field) return false;
    set_field(compiler, ref, scope, field);
    return true;
}

static void unknown_name(Compiler *compiler, const ExprWord *name)
{
    Note *note =
        compile_refuse(compiler, name->span, "a rule about a %s knows no '%.*s'",
                       scope_name[compiler->levels[compiler->level_count - 1]], SLICE_ARG(name->word));
    Nearest nearest;
    nearest_start(&nearest, name->word);
    for (unsigned i = 0; i < compiler->level_count; i++) {
        for (size_t k = 0; k < field_count; k++)
            if (field_table[k].where & level_sees[compiler->levels[i]])
                nearest_try(&nearest, slice_of(field_table[k].spelling));
        for (int k = 1; k < DERIVED_VALUES; k++)
            if (derived_types[k].scopes & (1U << compiler->levels[i]))
                nearest_try(&nearest, slice_of(derived_types[k].spelling));
    }
    if (nearest_found(&nearest))
        note->instead = arena_print(compiler->arena, "did you mean %.*s?", SLICE_ARG(nearest.best));
}

bool compile_ref(Compiler *compiler, const ExprWord *name, bool quietly, Ref *ref)
{
    *ref =
        (Ref){.span = name->span, .spelling = arena_copy(compiler->arena, name->word.at, name->word.length)};
    unsigned from = 0;
    if (name->next) {
        ref->span = span_join(name->span, name->next->span);
        ref->spelling =
            arena_print(compiler->arena, "%.*s.%.*s", SLICE_ARG(name->word), SLICE_ARG(name->next->word));
        if (section_ref(compiler, name, name->next, ref)) return true;
        if (name->next->next || !level_of_word(compiler, name->word, &from)) {
            if (!quietly) unknown_name(compiler, name);
            return false;
        }
        name = name->next;
    }
    bool several = false;
    for (unsigned i = from; i < compiler->level_count; i++) {
        if (!ref_from_level(compiler, name->word, i, ref, &several)) continue;
        if (several && !quietly)
            compile_refuse(compiler, ref->span, "%.*s stands in several blocks; say which, as in hold.%.*s",
                           SLICE_ARG(name->word), SLICE_ARG(name->word));
        return !several;
    }
    if (!quietly) unknown_name(compiler, name);
    return false;
}

bool ref_has_numbers(const Ref *ref)
{
    switch (ref->type) {
    case TYPE_QUANTITY:
    case TYPE_RATE:
    case TYPE_RATED:
    case TYPE_DILUTION:
    case TYPE_LASTS:
    case TYPE_WANT: return true;
    default: return false;
    }
}

bool ref_has_days(const Ref *ref)
{
    return ref->type == TYPE_DATE;
}

bool ref_has_words(const Ref *ref)
{
    switch (ref->type) {
    case TYPE_WORDS:
    case TYPE_FREE:
    case TYPE_COUNTS:
    case TYPE_NAME:
    case TYPE_MIX:
    case TYPE_DOSE:
    case TYPE_STANDS:
    case TYPE_TAXON:
    case TYPE_FIELDS: return true;
    default: return false;
    }
}

/* ------------------------------------------------------------------ sums */

const char *sum_sort(const Sum *sum)
{
    return sum->is_day ? "a day" : dimension_name[sum->dimension];
}

static Sum *new_sum(Compiler *compiler, SumKind kind, const Expr *expr)
{
    Sum *sum = ARENA_NEW(compiler->arena, Sum);
    sum->kind = kind;
    sum->span = expr->span;
    return sum;
}

static const Sum *sum_of_quantity(Compiler *compiler, const Expr *expr, Dimension hint)
{
    const Quantity *quantity = &expr->quantity;
    Sum *sum = new_sum(compiler, SUM_NUMBER, expr);
    if (!quantity->unit.length) {
        sum->number = quantity->number;
        sum->dimension = DIM_NONE;
        return sum;
    }
    const Unit *unit = unit_find(quantity->unit, hint);
    if (!unit) unit = unit_find(quantity->unit, DIM_NONE);
    if (!unit || !unit_to_base(unit, quantity->number, &sum->number)) {
        compile_refuse(compiler, expr->span, unit ? "this number is too large" : "no unit is called '%.*s'",
                       SLICE_ARG(quantity->unit));
        return NULL;
    }
    sum->unit = unit;
    sum->dimension = unit->dimension;
    return sum;
}

static const Sum *sum_of_name(Compiler *compiler, const Expr *expr)
{
    Sum *sum = new_sum(compiler, SUM_REF, expr);
    if (!compile_ref(compiler, expr->name, false, &sum->ref)) return NULL;
    sum->is_day = ref_has_days(&sum->ref);
    sum->dimension = sum->ref.dimension;
    if (sum->is_day || ref_has_numbers(&sum->ref)) return sum;
    compile_refuse(compiler, sum->span, "%s is neither a number nor a day: it cannot be compared like one",
                   sum->ref.spelling);
    return NULL;
}

static const Sum *sum_of_point(Compiler *compiler, const Expr *expr, Dimension hint)
{
    Sum *sum = new_sum(compiler, SUM_POINT, expr);
    sum->point = expr->point;
    sum->a = compile_sum(compiler, expr->a, hint);
    if (!sum->a) return NULL;
    sum->is_day = sum->a->is_day;
    sum->dimension = sum->a->dimension;
    bool of_day = expr->point >= POINT_EARLIEST;
    if (of_day == sum->is_day) return sum;
    compile_refuse(compiler, expr->span,
                   of_day
                       ? "earliest, planned and latest are of a date; of a number say low, middle or high"
                       : "low, middle and high are of a number; of a date say earliest, planned or latest");
    return NULL;
}

static const Sum *sum_of_moment(Compiler *compiler, const Expr *expr)
{
    Sum *sum = new_sum(compiler, SUM_MOMENT, expr);
    sum->is_day = true;
    sum->edge = expr->edge;
    sum->role = expr->role ? names_intern(compiler->names, expr->role->word) : NULL;
    ask_dates(compiler);
    if (compiler->in_batch && expr->thing == THING_STAGE && sum->role) return sum;
    compile_refuse(
        compiler, expr->span,
        "start of and end of are dates of a batch's stages, and are known only in a rule about batches");
    return NULL;
}

/* The dimension of a sum or difference; false where there is none. */
static bool added(const Sum *a, const Sum *b, bool minus, Sum *result)
{
    if (a->is_day || b->is_day) {
        if (minus && a->is_day && b->is_day) {
            result->dimension = DIM_DURATION;
            return true;
        }
        result->is_day = true;
        return a->is_day != b->is_day && (a->is_day ? b : a)->dimension == DIM_DURATION &&
               !(minus && b->is_day);
    }
    Dimension x = a->dimension, y = b->dimension;
    if (x == DIM_TEMPERATURE && y == DIM_TEMPERATURE) {
        result->dimension = DIM_DIFFERENCE;
        return minus;
    }
    if (x == DIM_TEMPERATURE && y == DIM_DIFFERENCE) {
        result->dimension = DIM_TEMPERATURE;
        return true;
    }
    result->dimension = x;
    return x == y;
}

static bool multiplied(const Sum *a, const Sum *b, bool divided, Sum *result)
{
    if (a->is_day || b->is_day || a->dimension == DIM_TEMPERATURE || b->dimension == DIM_TEMPERATURE)
        return false;
    bool a_bare = a->dimension == DIM_NONE || a->dimension == DIM_SHARE,
         b_bare = b->dimension == DIM_NONE || b->dimension == DIM_SHARE;
    if (divided && a->dimension == b->dimension) {
        result->dimension = DIM_NONE;
        return true;
    }
    result->dimension = b_bare ? a->dimension : b->dimension;
    return divided ? b_bare : a_bare || b_bare;
}

static const Sum *sum_of_two(Compiler *compiler, const Expr *expr, SumKind kind, Dimension hint)
{
    Sum *sum = new_sum(compiler, kind, expr);
    sum->a = compile_sum(compiler, expr->a, hint);
    sum->b = compile_sum(compiler, expr->b, hint);
    if (!sum->a || !sum->b) return NULL;
    bool adds = kind == SUM_ADD || kind == SUM_SUBTRACT;
    if (adds ? added(sum->a, sum->b, kind == SUM_SUBTRACT, sum)
             : multiplied(sum->a, sum->b, kind == SUM_DIVIDE, sum))
        return sum;
    Note *note =
        compile_refuse(compiler, sum->b->span, "%s and %s cannot be %s", sum_sort(sum->a), sum_sort(sum->b),
                       kind == SUM_ADD        ? "added"
                       : kind == SUM_SUBTRACT ? "subtracted"
                       : kind == SUM_MULTIPLY ? "multiplied"
                                              : "divided");
    note_place(note, sum->a->span, "the other one");
    return NULL;
}

const Sum *compile_sum(Compiler *compiler, const Expr *expr, Dimension hint)
{
    switch (expr->kind) {
    case EXPR_QUANTITY: return sum_of_quantity(compiler, expr, hint);
    case EXPR_NAME: return sum_of_name(compiler, expr);
    case EXPR_POINT: return sum_of_point(compiler, expr, hint);
    case EXPR_MOMENT: return sum_of_moment(compiler, expr);
    case EXPR_ADD: return sum_of_two(compiler, expr, SUM_ADD, hint);
    case EXPR_SUBTRACT: return sum_of_two(compiler, expr, SUM_SUBTRACT, hint);
    case EXPR_MULTIPLY: return sum_of_two(compiler, expr, SUM_MULTIPLY, DIM_NONE);
    case EXPR_DIVIDE: return sum_of_two(compiler, expr, SUM_DIVIDE, DIM_NONE);
    case EXPR_NEGATE: {
        Sum *sum = new_sum(compiler, SUM_NEGATE, expr);
        sum->a = compile_sum(compiler, expr->a, hint);
        if (!sum->a) return NULL;
        sum->dimension = sum->a->dimension;
        if (!sum->a->is_day) return sum;
        break;
    }
    case EXPR_DATE: {
        Sum *sum = new_sum(compiler, SUM_DAY, expr);
        sum->is_day = true;
        sum->day = expr->date;
        compiler->body->asks_season = true;
        return sum;
    }
    default: break;
    }
    compile_refuse(compiler, expr->span, "a number, a date or a name is expected here");
    return NULL;
}
