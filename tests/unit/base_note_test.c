/* base/note: keeping, counting, and the order in which notes are read. */
#include "check.h"

#include "base/note.h"

static Text *text_of(Arena *arena, const char *name, const char *bytes, uint32_t first_line)
{
    return text_new(arena, name, bytes, (uint32_t)strlen(bytes), first_line);
}

static void a_note_starts_complete(void **state)
{
    Arena *arena = *state;
    Notes *notes = notes_new(arena, 10);
    assert_ptr_equal(notes_arena(notes), arena);
    Text *text = text_of(arena, "a.heel", "depth 30 mm\n", 1);
    Note *note =
        notes_add(notes, SEVERITY_WARNING, "depth", (Span){text, 6, 11}, "%d mm is too %s", 30, "deep");
    assert_string_equal(note->message, "30 mm is too deep");
    assert_string_equal(note->name, "depth");
    assert_string_equal(note->subject, "");
    assert_string_equal(note->field, "");
    assert_string_equal(note->value, "");
    assert_null(note->found);
    assert_null(note->because);
    assert_false(note->fatal);
    assert_int_equal(note->severity, SEVERITY_WARNING);
    assert_int_equal(note->places, 1);
    assert_true(slice_is(span_slice(note->place[0].span), "30 mm"));
    for (uint32_t i = 0; i < 10; i++) note_place(note, (Span){text, i, i + 1}, "here");
    assert_int_equal(note->places, NOTE_PLACES);
    assert_int_equal(note->place[NOTE_PLACES - 1].span.begin, NOTE_PLACES - 2);
    assert_string_equal(note->place[1].label, "here");
}

static void notes_come_in_reading_order(void **state)
{
    Arena *arena = *state;
    Notes *notes = notes_new(arena, 100);
    Text *a = text_of(arena, "a.heel", "one\ntwo two\nthree\n", 1);
    Text *b = text_of(arena, "b.heel", "one\n", 1);
    Text *rules = text_of(arena, "a.builtin", "rule\n", 1); /* sorts before a.heel by its name alone */
    rules->built_in = true;
    Text *row[] = {text_of(arena, "p.csv", "x,y,z", 9), text_of(arena, "p.csv", "x,y", 10),
                   text_of(arena, "p.csv", "header", 1)};
    Span none = {NULL, 0, 0};
    static const char *const wanted[] = {"1", "2", "3", "4", "5", "6", "7", "8", "9", "a", "b", "c", "d"};
    notes_add(notes, SEVERITY_ERROR, "c", none, "no place, first");
    notes_add(notes, SEVERITY_ERROR, "b", (Span){rules, 0, 4}, "built in");
    notes_add(notes, SEVERITY_NOTE, "a", (Span){row[1], 0, 1}, "row 10");
    notes_add(notes, SEVERITY_NOTE, "9", (Span){row[0], 4, 5}, "row 9, column 5");
    notes_add(notes, SEVERITY_NOTE, "8", (Span){row[0], 2, 3}, "row 9, column 3");
    notes_add(notes, SEVERITY_NOTE, "7", (Span){row[2], 0, 1}, "row 1");
    notes_add(notes, SEVERITY_NOTE, "6", (Span){b, 0, 1}, "another file");
    notes_add(notes, SEVERITY_NOTE, "5", (Span){a, 12, 17}, "line 3");
    notes_add(notes, SEVERITY_NOTE, "3", (Span){a, 8, 11}, "line 2, column 5, first");
    notes_add(notes, SEVERITY_ERROR, "4", (Span){a, 8, 9}, "line 2, column 5, second");
    notes_add(notes, SEVERITY_NOTE, "2", (Span){a, 4, 7}, "line 2, column 1");
    notes_add(notes, SEVERITY_NOTE, "1", (Span){a, 0, 3}, "line 1");
    size_t count = 0;
    Note *const *sorted = notes_sorted(notes, &count);
    assert_int_equal(count, 12);
    for (size_t i = 0; i < count; i++) assert_string_equal(sorted[i]->name, wanted[i]);
    notes_add(notes, SEVERITY_ERROR, "d", none, "no place, second");
    Note *first = notes_add(notes, SEVERITY_ERROR, "0", (Span){a, 0, 3}, "as early as the first, but later");
    sorted = notes_sorted(notes, &count);
    assert_int_equal(count, 14);
    assert_string_equal(sorted[0]->name, "1");
    assert_ptr_equal(sorted[1], first);
    assert_string_equal(sorted[12]->name, "c");
    assert_string_equal(sorted[13]->name, "d");
}

static void what_is_too_much_is_only_counted(void **state)
{
    Notes *notes = notes_new(*state, 3);
    Span none = {NULL, 0, 0};
    for (int i = 0; i < 10; i++) {
        Note *note = notes_add(notes, i % 2 ? SEVERITY_ERROR : SEVERITY_NOTE, "many", none, "number %d", i);
        assert_non_null(note);
        note->found = "something";
        note_place(note, none, "label");
        assert_int_equal(note->places, 2);
    }
    size_t count = 0;
    Note *const *sorted = notes_sorted(notes, &count);
    assert_int_equal(count, 3);
    for (size_t i = 0; i < count; i++) assert_int_equal(sorted[i]->message[7], '0' + (char)i);
    assert_int_equal(notes_count(notes, SEVERITY_ERROR), 5);
    assert_int_equal(notes_count(notes, SEVERITY_NOTE), 5);
    assert_int_equal(notes_count(notes, SEVERITY_WARNING), 0);
    assert_int_equal(notes_total(notes), 10);
    assert_int_equal(notes_dropped(notes), 7);
}

static void one_fatal_note_is_remembered(void **state)
{
    Span none = {NULL, 0, 0};
    enum { ADDED = 6 };
    for (int fatal = -1; fatal < ADDED; fatal++) { /* kept ones and dropped ones */
        Notes *notes = notes_new(*state, 2);
        assert_false(notes_fatal(notes));
        for (int i = 0; i < ADDED; i++)
            notes_add(notes, SEVERITY_ERROR, "use", none, "x")->fatal = i == fatal;
        assert_int_equal(notes_fatal(notes), fatal >= 0);
    }
}

static void an_empty_queue_is_sorted(void **state)
{
    size_t count = 7;
    notes_sorted(notes_new(*state, 5), &count);
    assert_int_equal(count, 0);
    assert_string_equal(severity_name[SEVERITY_OFF], "off");
    assert_string_equal(severity_name[SEVERITY_ERROR], "error");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        CHECK_WITH_ARENA(a_note_starts_complete),           CHECK_WITH_ARENA(notes_come_in_reading_order),
        CHECK_WITH_ARENA(what_is_too_much_is_only_counted), CHECK_WITH_ARENA(one_fatal_note_is_remembered),
        CHECK_WITH_ARENA(an_empty_queue_is_sorted),
    };
    return cmocka_run_group_tests_name("base/note", tests, NULL, NULL) != 0;
}
