/* Whether two conditions ask the same: brackets, blanks and comments count for nothing, and units only by
 * what they measure. */
#include "base/unit.h"
#include "syntax/tree.h"

static bool same_words(const ExprWord *a, const ExprWord *b)
{
    for (; a && b; a = a->next, b = b->next)
        if (!slice_equal(a->word, b->word)) return false;
    return !a && !b;
}

static bool has_word(const ExprWord *list, Slice word)
{
    for (; list; list = list->next)
        if (slice_equal(list->word, word)) return true;
    return false;
}

/* The order of choices means nothing. */
static bool same_choices(const ExprWord *a, const ExprWord *b)
{
    for (const ExprWord *word = a; word; word = word->next)
        if (!has_word(b, word->word)) return false;
    for (const ExprWord *word = b; word; word = word->next)
        if (!has_word(a, word->word)) return false;
    return true;
}

/* Where something is added up, 10 C may be a difference: 18 F then, and not 50. So units that begin elsewhere
 * than at nothing are one only where they are spelt alike. */
static bool same_quantity(const Quantity *a, const Quantity *b, bool reckons)
{
    if (slice_equal(a->unit, b->unit)) return number_equal(a->number, b->number);
    const Unit *of_a = a->unit.length ? unit_find(a->unit, DIM_NONE) : NULL,
               *of_b = b->unit.length ? unit_find(b->unit, DIM_NONE) : NULL;
    Number base_a, base_b;
    if (!of_a || !of_b || of_a->dimension != of_b->dimension) return false;
    if (reckons && !number_equal(of_a->offset, of_b->offset)) return false;
    return unit_to_base(of_a, a->number, &base_a) && unit_to_base(of_b, b->number, &base_b) &&
           number_equal(base_a, base_b);
}

static bool is_reckoning(const Expr *expr)
{
    if (!expr) return false;
    return (expr->kind >= EXPR_ADD && expr->kind <= EXPR_DIVIDE) || is_reckoning(expr->a) ||
           is_reckoning(expr->b) || is_reckoning(expr->c) || is_reckoning(expr->where);
}

static bool same_day(YearDay a, YearDay b)
{
    return a.month == b.month && a.part == b.part && a.day == b.day;
}

static bool same(const Expr *a, const Expr *b, bool reckons)
{
    if (!a || !b) return a == b;
    return a->kind == b->kind && a->negated == b->negated && a->date == b->date && a->is == b->is &&
           a->point == b->point && a->thing == b->thing && a->relation == b->relation && a->edge == b->edge &&
           a->other == b->other && same_day(a->day, b->day) && slice_equal(a->text, b->text) &&
           slice_equal(a->per, b->per) && same_words(a->name, b->name) && same_choices(a->words, b->words) &&
           same_words(a->role, b->role) && same_words(a->other_role, b->other_role) &&
           (a->kind != EXPR_QUANTITY || same_quantity(&a->quantity, &b->quantity, reckons)) &&
           same(a->a, b->a, reckons) && same(a->b, b->b, reckons) && same(a->c, b->c, reckons) &&
           same(a->where, b->where, reckons);
}

bool expr_equal(const Expr *a, const Expr *b)
{
    return same(a, b, is_reckoning(a));
}
