/* Terms of a condition: atoms to literals, `and` to all pairs, `or` one after the other.
 *
 * Two literals on one value may be put together by intersecting their sets only where one of the value's
 * numbers cannot answer the one and another the other. A range that somebody states does just that: 4 .. 12
 * cm makes both `length < 5 cm` and `length > 10 cm` true, one in `where` and one in `when`. There both
 * literals stay, and only an equal or wider one in the other term answers for each. False is a matter of all
 * numbers whatever the class, so there only values of more than one word, and those whose class says less
 * than their numbers, stay apart.
 */
#include "analysis/terms.h"

#include "analysis/condition_text.h"

/* ------------------------------------------------------------------ classes */

static bool derived_may_spread(Derived derived)
{
    switch (derived) {
    case DERIVED_ROOM:
    case DERIVED_STATUS:
    case DERIVED_FINISH:
    case DERIVED_LICENCE_END:
    case DERIVED_EXPECTED:
    case DERIVED_CHANCE:
    case DERIVED_NEEDED:
    case DERIVED_SURVIVAL:
    case DERIVED_STANDING:
    case DERIVED_LOAD:
    case DERIVED_DUE:
    case DERIVED_DATE:
    case DERIVED_FIELD:
    case DERIVED_CLAUSE_STRENGTH:
    case DERIVED_YEAR: return false;
    default: return true;
    }
}

/* Whether its fact may be one of class FACT_SPREAD: where statements are asked, not limits or promises. */
static bool ref_may_spread(const Ref *ref)
{
    if (!ref->field) return derived_may_spread(ref->derived);
    if (ref->section != BLOCK_NONE || ref->level == SCOPE_STAGE || ref->level == SCOPE_TASK) return false;
    if (ref->level == SCOPE_PROTOCOL) return field_stands_in(ref->field, BLOCK_SPECIES);
    return ref->level != SCOPE_BATCH || ref->field->role != ROLE_PROMISE;
}

static bool sum_may_spread(const Sum *sum)
{
    if (!sum || sum->kind == SUM_POINT) return false;
    return sum->kind == SUM_REF ? ref_may_spread(&sum->ref)
                                : sum_may_spread(sum->a) || sum_may_spread(sum->b);
}

/* Its fact is a point only where it is one number. */
static bool sum_is_plain(const Sum *sum)
{
    if (!sum || sum->kind == SUM_POINT) return true;
    return sum->kind == SUM_REF ? sum->ref.field != NULL : sum_is_plain(sum->a) && sum_is_plain(sum->b);
}

static bool joined_when_true(const Code *atom)
{
    switch (atom->kind) {
    case CODE_MEMBER:
    case CODE_WINDOW:
    case CODE_WITHIN: return !sum_may_spread(atom->a);
    case CODE_COMPARE: return atom->a->is_day || (!sum_may_spread(atom->a) && !sum_may_spread(atom->b));
    case CODE_IS: return !ref_may_spread(&atom->ref);
    default: return true;
    }
}

static bool joined_when_false(const Code *atom)
{
    switch (atom->kind) {
    case CODE_MEMBER:
    case CODE_COMPARE:
    case CODE_WITHIN: return sum_is_plain(atom->a) && sum_is_plain(atom->b);
    case CODE_IS: return atom->ref.field && atom->ref.field->type == TYPE_WORDS;
    default: return true;
    }
}

/* ------------------------------------------------------------------ literals */

static IntervalSet everything_but(Arena *arena, IntervalSet set)
{
    Interval everything = interval_everything();
    return intervals_minus(arena, (IntervalSet){&everything, 1}, set);
}

static IntervalSet points(const TermMaker *maker, const Word *words, size_t count)
{
    Interval *at = ARENA_ARRAY(maker->passing, Interval, count);
    for (size_t i = 0; i < count; i++) {
        Name name = names_intern(maker->names, name_slice(words[i].name));
        at[i] = interval_closed(NUMBER(name->number), NUMBER(name->number));
    }
    return intervals_of(maker->passing, at, count);
}

static IntervalSet set_of(const TermMaker *maker, const Code *atom, bool mirrored)
{
    Arena *arena = maker->passing;
    if (atom->kind == CODE_MEMBER) return atom->set;
    if (atom->kind == CODE_IS) return points(maker, atom->words, atom->word_count);
    if (atom->kind == CODE_COMPARE)
        return compare_set(arena, mirrored ? compare_mirrored(atom->compare) : atom->compare, NUMBER(0));
    return compare_set(arena, COMPARE_EQUAL, NUMBER(1));
}

static Literal literal_of(const TermMaker *maker, const Code *atom, Truth truth)
{
    bool mirrored, wanted = truth == TRUTH_TRUE;
    Literal literal = {.value = atom_value(maker->passing, maker->names, atom, &mirrored),
                       .joined = wanted ? joined_when_true(atom) : joined_when_false(atom),
                       .span = atom->span};
    literal.set = set_of(maker, atom, mirrored);
    if (atom->negated == wanted) literal.set = everything_but(maker->passing, literal.set);
    return literal;
}

/* ------------------------------------------------------------------ terms */

static uint64_t bit_of(Name value)
{
    return UINT64_C(1) << (value->number % 64);
}

static bool has_inside(const Term *term, const Literal *outer)
{
    for (size_t i = 0; i < term->count; i++)
        if (term->at[i].value == outer->value && intervals_within(term->at[i].set, outer->set)) return true;
    return false;
}

static bool term_lies_in(const Term *inner, const Term *outer)
{
    if (outer->values & ~inner->values) return false;
    for (size_t i = 0; i < outer->count; i++)
        if (!has_inside(inner, &outer->at[i])) return false;
    return true;
}

static bool lies_in_some(const Term *term, const Terms *terms)
{
    for (size_t i = 0; i < terms->count; i++)
        if (term_lies_in(term, &terms->at[i])) return true;
    return false;
}

bool terms_lie_in(const Terms *inner, const Terms *outer)
{
    if (inner->too_many || outer->too_many) return false;
    for (size_t i = 0; i < inner->count; i++)
        if (!lies_in_some(&inner->at[i], outer)) return false;
    return true;
}

static void clash(Terms *terms, Span first, Span second)
{
    if (terms->clash[0].text) return;
    terms->clash[0] = first;
    terms->clash[1] = second;
}

/* None yet, of which there will be `most`. */
static Terms new_terms(const TermMaker *maker, size_t most)
{
    return (Terms){.at = ARENA_ARRAY(maker->passing, Term, most < TERM_LIMIT ? most : TERM_LIMIT)};
}

static void add_term(Terms *terms, Term term)
{
    if (terms->too_many || lies_in_some(&term, terms)) return;
    if (terms->count < TERM_LIMIT)
        terms->at[terms->count++] = term;
    else
        terms->too_many = true;
}

/* One more literal in a term that has room for it. Void: what it clashes with; else NULL. */
static const Literal *add_literal(const TermMaker *maker, Literal *literals, size_t *count,
                                  const Literal *literal)
{
    for (size_t i = 0; i < *count; i++) {
        if (literals[i].value != literal->value) continue;
        if (literal->joined) {
            IntervalSet common = intervals_intersect(maker->passing, literals[i].set, literal->set);
            if (!common.count) return &literals[i];
            literals[i].set = common;
            return NULL;
        }
        if (intervals_within(literals[i].set, literal->set)) return NULL;
    }
    literals[(*count)++] = *literal;
    return NULL;
}

static void add_product(const TermMaker *maker, Terms *terms, const Term *a, const Term *b)
{
    Literal *literals = ARENA_ARRAY(maker->passing, Literal, a->count + b->count);
    size_t count = 0;
    for (size_t i = 0; i < a->count; i++) literals[count++] = a->at[i];
    for (size_t i = 0; i < b->count; i++) {
        const Literal *against = add_literal(maker, literals, &count, &b->at[i]);
        if (!against) continue;
        clash(terms, against->span, b->at[i].span);
        return;
    }
    add_term(terms, (Term){literals, count, a->values | b->values});
}

Terms terms_both(const TermMaker *maker, Terms a, Terms b)
{
    Terms result = new_terms(maker, a.count * b.count);
    result.too_many = a.too_many || b.too_many;
    clash(&result, a.clash[0], a.clash[1]);
    clash(&result, b.clash[0], b.clash[1]);
    for (size_t i = 0; i < a.count && !result.too_many; i++)
        for (size_t k = 0; k < b.count && !result.too_many; k++)
            add_product(maker, &result, &a.at[i], &b.at[k]);
    return result;
}

static Terms terms_either(const TermMaker *maker, Terms a, Terms b)
{
    Terms result = new_terms(maker, a.count + b.count);
    result.too_many = a.too_many || b.too_many;
    clash(&result, a.clash[0], a.clash[1]);
    clash(&result, b.clash[0], b.clash[1]);
    for (size_t i = 0; i < a.count; i++) add_term(&result, a.at[i]);
    for (size_t i = 0; i < b.count; i++) add_term(&result, b.at[i]);
    return result;
}

static Terms terms_of_atom(const TermMaker *maker, const Code *atom, Truth truth)
{
    Terms result = new_terms(maker, 1);
    Literal *literal = ARENA_NEW(maker->passing, Literal);
    *literal = literal_of(maker, atom, truth);
    if (literal->set.count)
        add_term(&result, (Term){literal, 1, bit_of(literal->value)});
    else
        clash(&result, literal->span, literal->span);
    return result;
}

Terms terms_of(const TermMaker *maker, const Code *code, Truth truth)
{
    if (code && code->kind != CODE_AND && code->kind != CODE_OR) return terms_of_atom(maker, code, truth);
    bool all = (!code || code->kind == CODE_AND) == (truth == TRUTH_TRUE);
    Terms result = new_terms(maker, 1);
    if (all) add_term(&result, (Term){0});
    for (const Code *member = code ? code->first : NULL; member; member = member->next) {
        Terms one = terms_of(maker, member, truth);
        result = all ? terms_both(maker, result, one) : terms_either(maker, result, one);
    }
    return result;
}
