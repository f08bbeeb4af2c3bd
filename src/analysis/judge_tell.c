/* Putting a verdict into words: what was found, what would be allowed, which value is pointed at. */
#include "analysis/judge.h"

#include "analysis/context.h"

#include <string.h>

typedef struct Teller {
    const FactSource *source;
    Arena *arena;
    const Subject *subject;
    bool imperial;
    const char *text;
} Teller;

static const char *words_text(Arena *arena, const Fact *fact)
{
    const char *text = "";
    for (size_t i = 0; i < fact->word_count; i++)
        text = arena_print(arena, "%s%s%s", text,
                           i ? (fact->reading && fact->reading->type == TYPE_TAXON ? " " : ", ") : "",
                           fact->words[i].name->text);
    return text;
}

static const char *days_text(Arena *arena, const Dates *days)
{
    char first[DAY_TEXT], last[DAY_TEXT];
    day_write(first, days->on[RUN_EARLY]);
    if (days->on[RUN_EARLY] == days->on[RUN_LATE]) return arena_print(arena, "%s", first);
    day_write(last, days->on[RUN_LATE]);
    return arena_print(arena, "%s .. %s", first, last);
}

static const Unit *unit_for(const Fact *fact, Dimension dimension)
{
    if (fact->reading && fact->reading->unit && fact->reading->unit->dimension == dimension)
        return fact->reading->unit;
    if (dimension == DIM_DURATION) return unit_find(SLICE("days"), DIM_DURATION);
    if (dimension == DIM_SHARE) return unit_find(SLICE("%"), DIM_SHARE);
    return NULL;
}

/* " per hour"; nothing behind what is no rate. */
static const char *per_text(const Teller *teller, const Ref *ref, const Fact *fact)
{
    Slice per = {0};
    if (ref->type != TYPE_RATE) return "";
    if (fact->reading && fact->reading->per)
        per = name_slice(fact->reading->per);
    else
        derived_word_at(ref->derived, 0, &per);
    return per.length ? arena_print(teller->arena, " per %.*s", SLICE_ARG(per)) : "";
}

static const char *fact_text(const Teller *teller, const Ref *ref, const Fact *fact)
{
    if (fact->days.on[RUN_EARLY] != DAY_NONE) return days_text(teller->arena, &fact->days);
    bool until =
        fact->reading && (fact->reading->length == LENGTH_WINDOW || fact->reading->length == LENGTH_MOMENT);
    if (fact->numbers.count && !until) /* until a date: nobody has written the days it may last */
        return interval_print(teller->arena, fact->numbers, ref->dimension, unit_for(fact, ref->dimension));
    if (fact->word_count) return words_text(teller->arena, fact);
    return fact->reading && fact->field ? reading_print(teller->arena, fact->field, fact->reading, NULL)
                                        : NULL;
}

static void tell_ref(Teller *teller, const Ref *ref)
{
    Fact fact = fact_of(teller->source, teller->subject, ref);
    if (fact.class >= FACT_NOTHING) return;
    const char *value = fact_text(teller, ref, &fact);
    if (!value) return;
    const char *one =
        arena_print(teller->arena, "%s %s%s%s%s", ref->spelling, value, per_text(teller, ref, &fact),
                    fact.with ? " " : "", fact.with ? fact.with : "");
    if (teller->text && strstr(teller->text, one)) return;
    teller->text = teller->text ? arena_print(teller->arena, "%s, %s", teller->text, one) : one;
}

static void tell_sum(Teller *teller, const Sum *sum)
{
    if (!sum) return;
    if (sum->kind == SUM_REF) tell_ref(teller, &sum->ref);
    tell_sum(teller, sum->a);
    tell_sum(teller, sum->b);
}

static void tell_code(Teller *teller, const Code *code)
{
    for (const Code *member = code->first; member && code->kind != CODE_HAS; member = member->next)
        tell_code(teller, member);
    switch (code->kind) {
    case CODE_MEMBER:
    case CODE_WINDOW: tell_sum(teller, code->a); break;
    case CODE_COMPARE:
    case CODE_WITHIN:
        tell_sum(teller, code->a);
        tell_sum(teller, code->b);
        tell_sum(teller, code->c);
        break;
    case CODE_IS:
    case CODE_INCLUDES:
        tell_ref(teller, &code->ref);
        if (code->has_other) tell_ref(teller, &code->other);
        break;
    default: break;
    }
}

const char *judge_found(const FactSource *source, Arena *arena, const Code *code, const Subject *subject,
                        bool imperial)
{
    Teller teller = {source, arena, subject, imperial, NULL};
    tell_code(&teller, code);
    return teller.text;
}

const char *judge_allowed(Arena *arena, const Code *code)
{
    if (code->kind != CODE_MEMBER || code->a->is_day ||
        (code->a->kind != SUM_REF && code->a->kind != SUM_POINT))
        return NULL;
    Interval everything = interval_everything();
    IntervalSet rest = intervals_minus(arena, (IntervalSet){&everything, 1}, code->set);
    if (rest.count != 1) return NULL;
    const Unit *unit = code->b && code->b->unit ? code->b->unit : NULL;
    return interval_print(arena, rest, code->a->dimension, unit);
}

/* ------------------------------------------------------------------ what is pointed at */

typedef struct Pointer {
    const FactSource *source;
    const Subject *subject;
    const Field *field;
    const Clause *clause;
} Pointer;

static void point_ref(Pointer *pointer, const Ref *ref)
{
    if (pointer->field) return;
    Fact fact = fact_of(pointer->source, pointer->subject, ref);
    const Field *field = ref->field ? ref->field : fact.field;
    if (fact.class >= FACT_NOTHING || !field) return;
    const Subject *batch = subject_at(pointer->subject, SCOPE_BATCH);
    bool own = batch && ref->level == SCOPE_BATCH && batch->plan && plan_cell(batch->plan, batch->row, field);
    /* a batch is pointed at where it said something itself, if only the name of a place or plant that says
     * the rest */
    const Field *reference =
        batch && !own && fact.clause ? context_reference(batch->context, fact.clause->home) : NULL;
    bool referred = reference && batch->plan && plan_cell(batch->plan, batch->row, reference);
    if (batch && !own && !referred) return;
    pointer->field = referred ? reference : field;
    pointer->clause = fact.clause;
}

static void point_sum(Pointer *pointer, const Sum *sum)
{
    if (!sum) return;
    if (sum->kind == SUM_REF) point_ref(pointer, &sum->ref);
    point_sum(pointer, sum->a);
    point_sum(pointer, sum->b);
}

static void point_code(Pointer *pointer, const Code *code)
{
    for (const Code *member = code->first; member && code->kind != CODE_HAS; member = member->next)
        point_code(pointer, member);
    point_sum(pointer, code->a);
    bool said =
        code->kind == CODE_IS || code->kind == CODE_INCLUDES || (code->kind == CODE_STATED && !code->negated);
    if (said) point_ref(pointer, &code->ref);
    point_sum(pointer, code->b);
}

const Field *judge_pointed(const FactSource *source, const Code *code, const Subject *subject,
                           const Clause **clause)
{
    Pointer pointer = {source, subject, NULL, NULL};
    point_code(&pointer, code);
    *clause = pointer.clause;
    return pointer.field;
}
