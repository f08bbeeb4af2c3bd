/* model/example: every name of the language has an example that is in order and one that is not. */
#include "check.h"

#include "analysis/tryout.h"
#include "model/example.h"
#include "model/vocabulary.h"

static void tell(Notes *notes, const char *what, const char *name, const char *text)
{
    size_t count;
    Note *const *note = notes_sorted(notes, &count);
    printf("# %s of %s:\n%s", what, name, text);
    for (size_t i = 0; i < count; i++) printf("#   %s [%s]\n", note[i]->message, note[i]->name);
}

/* The good one without any finding, the bad one with just one. */
static bool holds(Arena *arena, const char *name, Example example)
{
    if (!example.good || !example.bad) {
        printf("# %s has no example\n", name);
        return false;
    }
    const char *good = example_whole(arena, &example, example.good),
               *bad = example_whole(arena, &example, example.bad);
    Notes *in_good = tryout(arena, good, check_exhausted), *in_bad = tryout(arena, bad, check_exhausted);
    if (notes_total(in_good) != 0) tell(in_good, "the good example", name, example.good);
    if (notes_total(in_bad) != 1) tell(in_bad, "the bad example", name, example.bad);
    return notes_total(in_good) == 0 && notes_total(in_bad) == 1;
}

static void of_blocks(void **state)
{
    int faults = 0;
    for (int kind = BLOCK_NONE + 1; kind < BLOCK_KINDS; kind++)
        faults += !holds(*state, block_types[kind].spelling, example_of_block(*state, (BlockKind)kind));
    assert_int_equal(faults, 0);
}

static void of_fields(void **state)
{
    int faults = 0;
    for (size_t i = 0; i < field_count; i++)
        faults += !holds(*state, field_table[i].spelling, example_of_field(*state, &field_table[i]));
    assert_int_equal(faults, 0);
}

static void of_words(void **state)
{
    int faults = 0, words = 0;
    Slice word;
    for (size_t i = 0; i < field_count; i++)
        for (size_t k = 0; field_lists_words(&field_table[i]) && field_word_at(&field_table[i], k, &word);
             k++) {
            words++;
            faults += !holds(*state, arena_print(*state, "%s %.*s", field_table[i].spelling, SLICE_ARG(word)),
                             example_of_word(*state, &field_table[i], word));
        }
    assert_int_equal(faults, 0);
    assert_true(words > 80);
}

/* Each line of help is of a word that there is. */
static void of_help(void **state)
{
    (void)state;
    int helped = 0, rows = 0;
    Slice word;
    for (size_t i = 0; i < field_count; i++)
        for (size_t k = 0; field_word_at(&field_table[i], k, &word); k++)
            helped += word_help(&field_table[i], word) != NULL;
#define WORD_HELP(id, word, help) rows++;
#include "examples.def"
#undef WORD_HELP
    assert_int_equal(helped, rows);
}

/* Areas and weights are known, and nothing takes one. */
static void of_units(void **state)
{
    int faults = 0;
    for (size_t i = 0; i < unit_count; i++) {
        const Unit *unit = &unit_table[i];
        if (unit->dimension == DIM_AREA || unit->dimension == DIM_MASS || !strcmp(unit->spelling, "of 1"))
            continue;
        faults += !holds(*state, unit->spelling, example_of_unit(*state, unit));
    }
    assert_int_equal(faults, 0);
}

static void of_record_lines(void **state)
{
    int faults = 0;
    for (int verb = 0; verb < VERBS; verb++)
        faults += !holds(*state, verb_table[verb].spelling, example_of_verb(*state, (Verb)verb));
    assert_int_equal(faults, 0);
}

static void of_derived_values(void **state)
{
    int faults = 0;
    for (int i = DERIVED_NONE + 1; i < DERIVED_VALUES; i++)
        faults += !holds(*state, derived_types[i].spelling, example_of_derived(*state, (Derived)i));
    assert_int_equal(faults, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        CHECK_WITH_ARENA(of_blocks),         CHECK_WITH_ARENA(of_fields), CHECK_WITH_ARENA(of_words),
        CHECK_WITH_ARENA(of_help),           CHECK_WITH_ARENA(of_units),  CHECK_WITH_ARENA(of_record_lines),
        CHECK_WITH_ARENA(of_derived_values),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
