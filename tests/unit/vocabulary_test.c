/* model/vocabulary: the tables agree with each other, and a word is found where it may stand. */
#include "check.h"

#include "model/vocabulary.h"

static void rows_are_where_they_say(void **state)
{
    (void)state;
    for (size_t i = 0; i < field_count; i++) assert_int_equal(field_table[i].number, i);
    for (int kind = 0; kind < BLOCK_KINDS; kind++) assert_int_equal(block_types[kind].kind, kind);
    for (int type = 0; type < VALUE_TYPES; type++) assert_true(strlen(value_types[type].example) > 0);
    for (int role = 0; role < ROLES; role++) assert_non_null(role_types[role].spelling);
    assert_string_equal(value_types[TYPE_QUANTITY].spelling, "QUANTITY");
}

/* What `takes` may be counted by is in both tables, and a sheet has a word for a container. */
static void work_is_counted_by_known_amounts(void **state)
{
    (void)state;
    Slice word;
    for (size_t i = 0; field_word_at(FIELD_ROW(TAKES), i, &word); i++)
        assert_true(per_amount(word) != PER_UNKNOWN || slice_is(word, "row") ||
                    slice_is(word, "hundred-metres"));
    assert_int_equal(per_amount(SLICE("bag")), PER_TRAYS);
    assert_int_equal(per_amount(SLICE("cutting")), PER_COUNT);
    assert_int_equal(per_amount(SLICE("moon")), PER_UNKNOWN);
    assert_true(field_has_word(FIELD_ROW(TAKES), slice_of(per_word(PER_TRAYS))));
}

/* One word has one meaning in one block. */
static void no_word_is_two_things_in_a_block(void **state)
{
    (void)state;
    for (size_t i = 0; i < field_count; i++) {
        const Field *field = &field_table[i];
        assert_true(field->where != 0 && *field->spelling && *field->help);
        for (size_t j = 0; j < i; j++)
            if (strcmp(field_table[j].spelling, field->spelling) == 0 &&
                (field_table[j].where & field->where))
                fail_msg("%s stands twice in one block", field->spelling);
        for (int kind = BLOCK_NONE + 1; kind < BLOCK_KINDS; kind++)
            if ((block_types[kind].where & field->where) &&
                strcmp(block_types[kind].spelling, field->spelling) == 0)
                fail_msg("%s is a block and a field in one block", field->spelling);
    }
}

static void words_fit_their_type(void **state)
{
    (void)state;
    for (size_t i = 0; i < field_count; i++) {
        const Field *field = &field_table[i];
        Slice word;
        if (field->type == TYPE_WORDS || field->type == TYPE_RATE || field->type == TYPE_EVENT)
            if (!field_word_at(field, 0, &word)) fail_msg("%s has no words", field->spelling);
        if (field->type == TYPE_NAME && !block_find(slice_of(field->words)))
            fail_msg("%s points at no kind of block", field->spelling);
        for (size_t at = 0; field_word_at(field, at, &word); at++) {
            assert_true(word.length > 0);
            assert_true(field_has_word(field, word));
        }
    }
}

static void fields_are_found_by_block(void **state)
{
    (void)state;
    const Field *list = field_find(SLICE("count"), BLOCK_TASK),
                *number = field_find(SLICE("count"), BLOCK_BATCH);
    assert_int_equal(list->type, TYPE_COUNTS);
    assert_int_equal(number->type, TYPE_QUANTITY);
    assert_null(field_find(SLICE("count"), BLOCK_SITE));
    assert_null(field_find(SLICE("dept"), BLOCK_BATCH));
    assert_null(field_find(SLICE("depths"), BLOCK_BATCH));
    assert_null(field_find(SLICE(""), BLOCK_BATCH));
    size_t rows = 0;
    for (const Field *row = field_find_from(SLICE("window"), NULL); row;
         row = field_find_from(SLICE("window"), row))
        rows++;
    assert_int_equal(rows, 2);
    /* Every row is found, and the one found is the row. */
    for (size_t i = 0; i < field_count; i++)
        for (int kind = 0; kind < BLOCK_KINDS; kind++)
            if (field_stands_in(&field_table[i], (BlockKind)kind))
                assert_ptr_equal(field_find(slice_of(field_table[i].spelling), (BlockKind)kind),
                                 &field_table[i]);
}

static void blocks_and_scopes_are_found(void **state)
{
    (void)state;
    assert_int_equal(block_find(SLICE("stage"))->kind, BLOCK_STAGE);
    assert_null(block_find(SLICE("file"))); /* the whole file has no word */
    assert_null(block_find(SLICE("stages")));
    assert_true(block_types[BLOCK_PROTOCOL].where & BLOCK_BIT(BLOCK_NONE));
    assert_false(block_types[BLOCK_STAGE].where & BLOCK_BIT(BLOCK_NONE));
    Scope scope;
    assert_true(scope_find(SLICE("place"), &scope));
    assert_int_equal(scope, SCOPE_PLACE);
    assert_false(scope_find(SLICE("species"), &scope));
    assert_int_equal(derived_find(SLICE("strength"), SCOPE_BATCH), DERIVED_STRENGTH);
    assert_int_equal(derived_find(SLICE("strength"), SCOPE_CLAUSE), DERIVED_CLAUSE_STRENGTH);
    assert_int_equal(derived_find(SLICE("strength"), SCOPE_PLACE), DERIVED_NONE);
}

/* A note may stand in every block at the top of a file. */
static void all_top_blocks_take_a_note(void **state)
{
    (void)state;
    const Field *note = field_find(SLICE("note"), BLOCK_PROTOCOL);
    for (int kind = BLOCK_NONE + 1; kind < BLOCK_KINDS; kind++)
        if (block_types[kind].where & BLOCK_TOP && !field_stands_in(note, (BlockKind)kind))
            fail_msg("no note in %s", block_types[kind].spelling);
}

static void limits_know_what_they_judge(void **state)
{
    (void)state;
    Derived derived;
    const Field *window = field_find(SLICE("window"), BLOCK_TAKE);
    assert_ptr_equal(field_against(window, BLOCK_TAKE, &derived), field_find(SLICE("take"), BLOCK_BATCH));
    assert_int_equal(derived, DERIVED_NONE);
    window = field_find(SLICE("window"), BLOCK_STICK);
    assert_ptr_equal(field_against(window, BLOCK_STICK, &derived), field_find(SLICE("stick"), BLOCK_BATCH));
    const Field *lasts = field_find(SLICE("lasts"), BLOCK_HOLD);
    assert_null(field_against(lasts, BLOCK_HOLD, &derived));
    assert_int_equal(derived, DERIVED_HELD);
    const Field *air = field_find(SLICE("air-temperature"), BLOCK_HOLD);
    assert_string_equal(field_against(air, BLOCK_HOLD, &derived)->spelling, "hold-temperature");
    assert_ptr_equal(field_against(air, BLOCK_STAGE, &derived), air);
    const Field *depth = field_find(SLICE("depth"), BLOCK_STICK);
    assert_ptr_equal(field_against(depth, BLOCK_STICK, &derived), depth);
    /* The count of a task is a list and has nothing to do with how many were stuck. */
    assert_null(field_against(field_find(SLICE("count"), BLOCK_TASK), BLOCK_TASK, &derived));
    assert_int_equal(derived, DERIVED_NONE);
}

static void near_misses_are_named(void **state)
{
    (void)state;
    Nearest nearest;
    nearest_start(&nearest, SLICE("dpeth"));
    vocabulary_nearest_in_block(&nearest, BLOCK_STICK);
    assert_true(slice_is(nearest.best, "depth"));
    nearest_start(&nearest, SLICE("dpeth"));
    vocabulary_nearest_in_block(&nearest, BLOCK_SITE);
    assert_false(nearest_found(&nearest));
    nearest_start(&nearest, SLICE("protocl"));
    vocabulary_nearest_in_block(&nearest, BLOCK_NONE);
    assert_true(slice_is(nearest.best, "protocol"));
    nearest_start(&nearest, SLICE("softwod"));
    vocabulary_nearest_word(&nearest, field_find(SLICE("wood"), BLOCK_TAKE));
    assert_true(slice_is(nearest.best, "softwood"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(work_is_counted_by_known_amounts),
        cmocka_unit_test(rows_are_where_they_say),
        cmocka_unit_test(no_word_is_two_things_in_a_block),
        cmocka_unit_test(words_fit_their_type),
        cmocka_unit_test(fields_are_found_by_block),
        cmocka_unit_test(blocks_and_scopes_are_found),
        cmocka_unit_test(all_top_blocks_take_a_note),
        cmocka_unit_test(limits_know_what_they_judge),
        cmocka_unit_test(near_misses_are_named),
    };
    return cmocka_run_group_tests(tests, NULL, NULL) != 0;
}
