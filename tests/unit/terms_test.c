/* analysis/terms: what of two conditions lies in the other, and what is void, worked out by hand. */
#include "check.h"

#include "analysis/terms.h"
#include "model/nursery.h"
#include "syntax/read.h"

static const char *scope; /* of the conditions that are asked */

/* The terms of a condition in a rule that has no other part; `where` may be "". */
static Terms of(Arena *arena, Names **names, const char *where, const char *when, Truth truth)
{
    static Nursery *nursery; /* the table of names is the same for all conditions of a test */
    if (!*names) nursery = NULL;
    Notes *notes = notes_new(arena, 10);
    nursery = nursery ? nursery_beside(nursery->arena, nursery, notes) : nursery_new(arena, notes);
    const char *text = arena_print(arena, "rule asked on %s {\n%s%s\nwhen %s\nnote \"asked\" [ours]\n}\n",
                                   scope, *where ? "where " : "", where, when);
    nursery_add(nursery, syntax_read(arena, text_new(arena, "rule", text, (uint32_t)strlen(text), 1), notes),
                false);
    nursery_finish(nursery);
    *names = nursery->names;
    if (notes_total(notes)) fail_msg("%s: %s", text, notes_sorted(notes, &(size_t){0})[0]->message);
    Scope about;
    assert_true(scope_find(slice_of(scope), &about));
    const RuleBody *body = nursery->rules[0].bodies[about];
    TermMaker maker = {arena, nursery->names};
    Terms terms = terms_of(&maker, body->when, truth);
    return *where ? terms_both(&maker, terms_of(&maker, body->where, truth), terms) : terms;
}

static size_t count_of(Arena *arena, const char *when)
{
    Names *names = NULL;
    return of(arena, &names, "", when, TRUTH_TRUE).count;
}

static bool is_void(Arena *arena, const char *where, const char *when)
{
    Names *names = NULL;
    Terms terms = of(arena, &names, where, when, TRUTH_TRUE);
    return terms_are_void(&terms);
}

static bool is_never_false(Arena *arena, const char *when)
{
    Names *names = NULL;
    Terms terms = of(arena, &names, "", when, TRUTH_FALSE);
    return terms_are_void(&terms);
}

static bool lies(Arena *arena, const char *inner, const char *outer)
{
    Names *names = NULL;
    Terms a = of(arena, &names, "", inner, TRUTH_TRUE), b = of(arena, &names, "", outer, TRUTH_TRUE);
    return terms_lie_in(&a, &b);
}

static void numbers_by_their_sets(void **state)
{
    scope = "batch";
    assert_true(lies(*state, "depth > 3 cm", "depth > 20 mm"));
    assert_false(lies(*state, "depth > 20 mm", "depth > 3 cm"));
    assert_true(lies(*state, "depth > 30 mm", "30 mm < depth"));
    assert_true(lies(*state, "depth > 30 mm", "not depth <= 3 cm"));
    assert_true(lies(*state, "depth = 1 in", "depth in 25.4 .. 30 mm"));
    assert_false(lies(*state, "depth >= 30 mm", "depth > 30 mm"));
    assert_true(lies(*state, "depth < 1 cm or depth > 9 cm", "depth outside 1 .. 9 cm"));
    /* of what a protocol permits some may be below and some above: the one is true, the other undecided */
    assert_false(lies(*state, "depth outside 1 .. 9 cm", "depth < 1 cm or depth > 9 cm"));
    assert_false(lies(*state, "depth outside 1 .. 9 cm", "depth < 1 cm"));
    assert_false(lies(*state, "depth > 3 cm", "length > 2 cm"));
    assert_false(lies(*state, "low depth > 3 cm", "depth > 2 cm")); /* two values, not one */
}

static void words_by_their_sets(void **state)
{
    scope = "batch";
    assert_true(lies(*state, "enclosure is mist", "enclosure is (tent, mist)"));
    assert_false(lies(*state, "enclosure is (tent, mist)", "enclosure is mist"));
    assert_true(lies(*state, "enclosure is tent or enclosure is mist", "enclosure is (tent, mist)"));
    assert_false(lies(*state, "enclosure is (tent, mist)", "enclosure is tent or enclosure is mist"));
    assert_true(lies(*state, "enclosure is mist", "enclosure is not tent"));
    assert_true(lies(*state, "enclosure is not (tent, mist)", "enclosure is not tent"));
    assert_false(lies(*state, "enclosure is not tent", "enclosure is not (tent, mist)"));
    assert_false(lies(*state, "medium includes peat", "medium includes bark"));
    assert_true(lies(*state, "not medium lacks peat", "medium includes peat"));
}

static void more_asked_is_less(void **state)
{
    scope = "batch";
    assert_true(lies(*state, "depth > 3 cm and enclosure is mist", "enclosure is mist"));
    assert_false(lies(*state, "enclosure is mist", "depth > 3 cm and enclosure is mist"));
    assert_true(lies(*state, "depth > 3 cm", "enclosure is mist or depth > 1 cm"));
    assert_true(lies(*state, "enclosure is mist and (depth > 3 cm or length > 9 cm)",
                     "(length > 9 cm and enclosure is mist) or (depth > 3 cm and enclosure is mist)"));
    assert_true(
        lies(*state, "not (depth <= 3 cm or enclosure is not mist)", "depth > 3 cm and enclosure is mist"));
    assert_int_equal(count_of(*state, "enclosure is mist or (enclosure is mist and depth > 3 cm)"), 1);
    assert_int_equal(count_of(*state, "(depth > 3 cm or leaves > 4) and (length > 9 cm or trays > 2)"), 4);
}

static void values_against_each_other(void **state)
{
    scope = "batch";
    assert_true(lies(*state, "depth < length / 2", "length / 2 > depth"));
    assert_true(lies(*state, "depth < length / 2", "depth <= length / 2"));
    assert_true(lies(*state, "depth < length", "depth <> length"));
    assert_false(lies(*state, "depth <= length", "depth < length"));
    assert_false(lies(*state, "depth < length / 2", "depth < length / 3"));
    assert_true(lies(*state, "finish > stick + 3 weeks", "stick + 21 days < finish"));
}

static void the_rest_by_its_text(void **state)
{
    scope = "batch";
    assert_true(lies(*state, "has stage root", "has stage root or depth > 3 cm"));
    assert_true(lies(*state, "no stage root", "not has stage root"));
    assert_false(lies(*state, "has stage root", "has stage callus"));
    assert_false(lies(*state, "has task pot before stage root", "has task pot"));
    assert_true(lies(*state, "has stage where (shade > 50 %)", "has stage where (50 % < shade)"));
    assert_true(lies(*state, "depth is stated and stick in Jun .. Aug", "stick in Jun .. Aug"));
    assert_false(lies(*state, "stick in Jun .. Aug", "stick in Jun .. Sep")); /* true, and not seen */
    assert_true(lies(*state, "hold-temperature outside keeps-at", "not hold-temperature in keeps-at"));
}

static void what_contradicts_is_void(void **state)
{
    scope = "stage";
    assert_true(is_void(*state, "", "shade > 50 % and shade < 40 %"));
    assert_true(is_void(*state, "shade > 50 %", "shade < 40 %")); /* one of what is permitted is chosen */
    assert_true(is_void(*state, "enclosure is mist", "enclosure is (tent, bag)"));
    assert_true(is_void(*state, "shade is stated", "shade is unstated"));
    assert_true(is_void(*state, "has task look", "no task look and shade > 3 %"));
    assert_true(is_void(*state, "low shade < high shade", "high shade <= low shade"));
    assert_false(is_void(*state, "shade >= 50 %", "shade <= 50 %"));
    assert_false(is_void(*state, "has task look", "no task pot"));
}

/* A range that is stated, 4 .. 12 cm, is over 10 and under 5; two words are the one and the other. */
static void what_is_stated_may_be_both(void **state)
{
    scope = "batch";
    assert_true(is_void(*state, "", "depth > 10 cm and depth < 5 cm")); /* one question */
    assert_false(is_void(*state, "depth > 10 cm", "depth < 5 cm"));
    assert_false(is_void(*state, "enclosure is mist", "enclosure is tent"));
    assert_false(is_void(*state, "enclosure is mist", "enclosure is not mist"));
    assert_false(is_void(*state, "depth < length", "depth > length"));
    assert_false(is_void(*state, "", "(depth > 10 cm or leaves > 3) and depth < 5 cm"));
    assert_true(is_void(*state, "low depth > 10 cm", "low depth < 5 cm"));
    assert_true(is_void(*state, "medium includes peat", "medium lacks peat"));
    assert_true(is_void(*state, "status is stuck", "status is ended"));
    assert_true(is_void(*state, "finish > stick", "finish <= stick"));
    scope = "protocol";
    assert_false(is_void(*state, "hazard is sap", "hazard is not sap")); /* stated of its species */
    assert_true(is_void(*state, "depth > 10 cm", "depth < 5 cm"));
}

static void never_false(void **state)
{
    scope = "batch";
    assert_true(is_never_false(*state, "depth > 5 cm or depth <= 5 cm"));
    assert_true(is_never_false(*state, "depth > 5 cm or depth < 7 cm"));
    assert_true(is_never_false(*state, "enclosure is mist or enclosure is not mist"));
    assert_true(is_never_false(*state, "depth < length or depth >= length"));
    assert_true(is_never_false(*state, "depth is stated or depth is unstated"));
    assert_true(is_never_false(*state, "enclosure is not mist or enclosure is not tent or depth > 3 cm"));
    assert_false(is_never_false(*state, "depth > 5 cm or depth < 5 cm"));
    assert_false(is_never_false(*state, "depth > 5 cm or length <= 5 cm"));
    /* 1000 .. 2000 ppm of one hormone is one dose, and as a whole neither over nor under 1500 */
    assert_false(is_never_false(*state, "strength > 1500 ppm or strength <= 1500 ppm"));
    /* a plant's name has several words */
    assert_false(is_never_false(*state, "plant is Buxus or plant is not Buxus"));
}

static void too_many_cases(void **state)
{
    scope = "batch";
    const char *fours = "(depth > 9 cm or length > 9 cm or leaves > 9 or trays > 9)",
               *others = "(depth < 1 cm or length < 1 cm or leaves < 1 or trays < 1)",
               *last = "(count > 9 or thickness > 9 cm or leaf-length > 9 cm or per-cell > 9)";
    Names *names = NULL;
    Terms just =
        of(*state, &names, "", arena_print(*state, "%s and %s and %s", fours, others, last), TRUTH_TRUE);
    assert_false(just.too_many);
    assert_int_equal(just.count, TERM_LIMIT);
    Terms more =
        of(*state, &names, "",
           arena_print(*state, "%s and %s and %s or enclosure is mist", fours, others, last), TRUTH_TRUE);
    assert_true(more.too_many);
    assert_false(terms_are_void(&more));
    assert_false(terms_lie_in(&more, &more));
    assert_false(terms_lie_in(&just, &more));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        CHECK_WITH_ARENA(numbers_by_their_sets),
        CHECK_WITH_ARENA(words_by_their_sets),
        CHECK_WITH_ARENA(more_asked_is_less),
        CHECK_WITH_ARENA(values_against_each_other),
        CHECK_WITH_ARENA(the_rest_by_its_text),
        CHECK_WITH_ARENA(what_contradicts_is_void),
        CHECK_WITH_ARENA(what_is_stated_may_be_both),
        CHECK_WITH_ARENA(never_false),
        CHECK_WITH_ARENA(too_many_cases),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
