/* The blocks that ship are what the reader and the compiler make of their texts, without the examples; and
 * what is unpacked and opened is the same again, which packing it once more shows to the last member. */
#include "check.h"

#include "model/builtin.h"
#include "model/shipped.h"
#include "syntax/read.h"

static bool is_example(const Item *item)
{
    return slice_is(item->field, "breaks") || slice_is(item->field, "passes") ||
           slice_is(item->field, "undecided");
}

static size_t leave_examples_out(Item *items)
{
    size_t count = 0;
    for (Item *item = items; item; item = item->next) {
        for (Item **link = &item->first; *link;) {
            bool example = is_example(*link);
            count += example;
            if (example)
                *link = (*link)->next;
            else
                link = &(*link)->next;
        }
    }
    return count;
}

static Nursery *nursery_of_texts(Arena *arena, Notes *notes)
{
    size_t examples = 0;
    Nursery *nursery = nursery_new(arena, notes);
    for (unsigned i = 0; i < builtin_file_count; i++) {
        const Tree *tree = syntax_read(arena, &builtin_files[i].text, notes);
        examples += leave_examples_out(tree->first);
        nursery_add(nursery, tree, true);
    }
    nursery_finish(nursery);
    assert_true(nursery->rule_count > 0 && examples >= 2 * nursery->rule_count);
    return nursery;
}

static Nursery *nursery_of_shipped(Arena *arena, Notes *notes)
{
    Nursery *nursery = nursery_new(arena, notes);
    for (unsigned i = 0; i < builtin_file_count; i++)
        nursery_add_shipped(nursery, &builtin_files[i].text, builtin_files[i].blocks);
    nursery_finish(nursery);
    return nursery;
}

static void open_all(const Nursery *nursery)
{
    for (int kind = 1; kind < BLOCK_KINDS; kind++)
        for (size_t i = 0; i < nursery->lists[kind].count; i++) {
            assert_null(nursery->lists[kind].at[i]->item);
            nursery_open(nursery, nursery->lists[kind].at[i]);
            assert_non_null(nursery->lists[kind].at[i]->item);
        }
}

static void test_texts(void **state)
{
    assert_true(builtin_file_count > 0);
    for (unsigned i = 0; i < builtin_file_count; i++) {
        const Text *text = &builtin_files[i].text, *made = text_new(*state, "", text->bytes, text->length, 1);
        assert_true(text->built_in);
        assert_int_equal(text->bytes[text->length], 0);
        assert_int_equal(text->line_count, made->line_count);
        assert_memory_equal(text->lines, made->lines, made->line_count * sizeof *made->lines);
    }
}

static void test_blocks(void **state)
{
    Arena *arena = *state;
    Notes *notes = notes_new(arena, 10);
    Nursery *read = nursery_of_texts(arena, notes), *shipped = nursery_of_shipped(arena, notes);
    open_all(shipped);
    assert_int_equal(notes_total(notes), 0);
    assert_int_equal(shipped->rule_count, read->rule_count);
    for (unsigned i = 0; i < builtin_file_count; i++) {
        Buffer *wanted = buffer_in_memory(arena), *again = buffer_in_memory(arena);
        shipped_pack(read, &builtin_files[i].text, wanted);
        shipped_pack(shipped, &builtin_files[i].text, again);
        Slice bytes = buffer_slice_of(wanted);
        assert_int_equal(buffer_slice_of(again).length, bytes.length);
        assert_memory_equal(buffer_slice_of(again).at, bytes.at, bytes.length);
        assert_memory_equal(builtin_files[i].blocks, bytes.at, bytes.length);
    }
}

/* A block is known by its name from the start, and gives what stands in it to who finds it. */
static void test_opened_when_found(void **state)
{
    Arena *arena = *state;
    Notes *notes = notes_new(arena, 10);
    Nursery *read = nursery_of_texts(arena, notes), *shipped = nursery_of_shipped(arena, notes);
    for (size_t i = 0; i < read->rule_count; i++) {
        const Clause *wanted = rule_message(read, &read->rules[i]),
                     *told = rule_message(shipped, &shipped->rules[i]);
        assert_true(slice_equal(wanted->reading->text, told->reading->text));
    }
    for (int kind = 1; kind < BLOCK_KINDS; kind++)
        for (size_t i = 0; i < read->lists[kind].count; i++) {
            const Block *wanted = read->lists[kind].at[i];
            Name name = names_find(shipped->names, name_slice(wanted->name));
            const Block *found = nursery_find(shipped, (BlockKind)kind, name);
            assert_non_null(found->item);
            assert_string_equal(found->id, wanted->id);
            assert_int_equal(found->year, wanted->year);
            assert_true(slice_equal(found->title, wanted->title));
            assert_int_equal(!found->clauses, !wanted->clauses);
        }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        CHECK_WITH_ARENA(test_texts),
        CHECK_WITH_ARENA(test_blocks),
        CHECK_WITH_ARENA(test_opened_when_found),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
