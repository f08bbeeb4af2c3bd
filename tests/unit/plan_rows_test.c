/* model/plan_rows: rows and cells of CSV tables, by RFC 4180, section 2. What is expected is written as
 * "line:cell|cell" a row, or "line!fault@offset". Everything is read at once and byte by byte, and has to
 * come out the same. */
#include "check.h"

#include "base/buffer.h"
#include "model/plan_ids.h"
#include "model/plan_rows.h"

/* ------------------------------------------------------------------ bytes as they come */

typedef struct Source {
    const char *bytes;
    size_t length, at;
    size_t step; /* bytes given at a time; 0: as many as are wanted */
    bool fails;  /* instead of ending */
} Source;

static ptrdiff_t give(void *from, char *to, size_t room)
{
    Source *source = from;
    size_t count = source->length - source->at;
    if (!count && source->fails) return -1;
    if (source->step && count > source->step) count = source->step;
    if (count > room) count = room;
    memcpy(to, source->bytes + source->at, count);
    source->at += count;
    return (ptrdiff_t)count;
}

static const char *const fault_names[ROW_FAULTS] = {
    [ROW_GOOD] = "good",
    [ROW_AFTER_QUOTE] = "after-quote",
    [ROW_OPEN_QUOTE] = "open-quote",
    [ROW_STRAY_QUOTE] = "stray-quote",
    [ROW_CELL_TOO_LONG] = "cell-too-long",
    [ROW_QUOTED_TOO_LONG] = "quoted-too-long",
    [ROW_TOO_LONG] = "row-too-long",
    [ROW_TOO_MANY_CELLS] = "too-many-cells",
};

enum { ROOM = 8 };

static void write_row(Arena *arena, Buffer *out, const Row *row, size_t room)
{
    Cell cells[ROOM];
    RowFault fault = row->fault;
    size_t fault_at = row->fault_at, count = 0;
    if (fault == ROW_GOOD) count = row_cells(row->bytes, cells, room, &fault, &fault_at);
    if (fault != ROW_GOOD) {
        buffer_print(out, "%u!%s@%zu\n", row->line, fault_names[fault], fault_at);
        return;
    }
    buffer_print(out, "%u:", row->line);
    for (size_t i = 0; i < count; i++) {
        if (i) buffer_text(out, "|");
        buffer_slice(out, cell_text(arena, &cells[i]));
    }
    buffer_text(out, "\n");
}

static const char *rows_of(Arena *arena, Source source, size_t room)
{
    RowReader rows;
    Buffer *out = buffer_in_memory(arena);
    rows_start(&rows, give, &source, check_exhausted);
    while (!rows_ended(&rows)) {
        Row row;
        rows_next_stretch(&rows);
        while (rows_next(&rows, &row)) write_row(arena, out, &row, room);
    }
    assert_int_equal(rows.failed, source.fails);
    rows_free(&rows);
    Slice all = buffer_slice_of(out);
    return arena_copy(arena, all.at, all.length);
}

static void expect_bytes(Arena *arena, const char *bytes, size_t length, size_t room, const char *expected)
{
    assert_string_equal(rows_of(arena, (Source){bytes, length, 0, 0, false}, room), expected);
    assert_string_equal(rows_of(arena, (Source){bytes, length, 0, 1, false}, room), expected);
}

static void expect(Arena *arena, const char *text, const char *expected)
{
    expect_bytes(arena, text, strlen(text), ROOM, expected);
}

/* ------------------------------------------------------------------ rows that are good */

static void test_rows(void **state)
{
    Arena *arena = *state;
    expect(arena, "", "");
    expect(arena, "a,b\n1,2\n", "1:a|b\n2:1|2\n");
    expect(arena, "a,b\r\n1,2\r\n", "1:a|b\n2:1|2\n");
    expect(arena, "a,b\n1,2", "1:a|b\n2:1|2\n");
    expect(arena, "a,\n,b\n,\n", "1:a|\n2:|b\n3:|\n");
    expect(arena, "a,", "1:a|\n");
    expect(arena, "\n\na\n\r\n\nb\n", "3:a\n6:b\n");
    expect(arena, " a , b\t,c d \n", "1:a|b|c d\n");
}

static void test_quotes(void **state)
{
    Arena *arena = *state;
    expect(arena, "\"a,b\",c\n", "1:a,b|c\n");
    expect(arena, "\"a \"\"b\"\" c\"\n", "1:a \"b\" c\n");
    expect(arena, "\"\",\"\"\"\"\n", "1:|\"\n");
    expect(arena, "\" a \"\n", "1:a\n");
    expect(arena, "\"a\"", "1:a\n");
    expect(arena, "a,\"b\"\r\nc,d\r\n", "1:a|b\n2:c|d\n");
    expect(arena, "\"a\nb\nc\",d\ne,f\n", "1:a\nb\nc|d\n4:e|f\n");
    expect(arena, "\"a\r\nb\",\"c\n\"\r\ne\n", "1:a\r\nb|c\n\n4:e\n");
    expect(arena, "\"a,\"\"\nb\"\"\"\nc\n", "1:a,\"\nb\"\n3:c\n");
}

/* ------------------------------------------------------------------ rows that are not */

static void test_quotes_wrong(void **state)
{
    Arena *arena = *state;
    expect(arena, "x,5\"\n1,2\n", "1!stray-quote@3\n2:1|2\n");
    expect(arena, "x, \"a\"\n1,2\n", "1!stray-quote@3\n2:1|2\n");
    expect(arena, "x,5\",\"a\nb\"\n1,2\n", "1!stray-quote@3\n3:1|2\n");
    expect(arena, "\"a\"x,b\n1,2\n", "1!after-quote@3\n2:1|2\n");
    expect(arena, "\"a\nb\" ,c\n1,2\n", "1!after-quote@5\n3:1|2\n");
    expect(arena, "x,\"a\"\r", "1!after-quote@5\n"); /* no end of a line without its line feed */
}

/* A quote that is never closed costs its own line and hides no other. */
static void test_quote_left_open(void **state)
{
    Arena *arena = *state;
    expect(arena, "a,\"b\n1,2\n3,4", "1!open-quote@2\n2:1|2\n3:3|4\n");
    expect(arena, "a,\"", "1!open-quote@2\n");
    expect(arena, "a,\"b\"\"\n1\n", "1!open-quote@2\n2:1\n");
    expect(arena, "\"x\ny\",\"z\n1,2\n", "1!open-quote@6\n3:1|2\n");
    expect(arena, "a,\"b\r\n\r\n1,\"2\n3\n", "1!after-quote@11\n4:3\n"); /* the next quote closes it */
}

static void test_too_many_cells(void **state)
{
    Arena *arena = *state;
    expect_bytes(arena, "a,b\n", 4, 2, "1:a|b\n");
    expect_bytes(arena, "a,b,c\nd\n", 8, 2, "1!too-many-cells@4\n2:d\n");
    expect_bytes(arena, "a,b,\n", 5, 2, "1!too-many-cells@4\n");
}

/* Text with a run of `count` bytes in its middle. */
static Slice with_run(Arena *arena, const char *before, char run, size_t count, const char *after)
{
    size_t head = strlen(before), tail = strlen(after);
    char *bytes = arena_alloc(arena, head + count + tail + 1);
    memcpy(bytes, before, head);
    memset(bytes + head, run, count);
    memcpy(bytes + head + count, after, tail);
    return (Slice){bytes, head + count + tail};
}

/* Only how the text begins and ends is compared, as the run in it is long. */
static void expect_long(Arena *arena, Slice text, const char *begin, const char *end)
{
    for (size_t step = 0; step <= 1000; step += 1000) {
        const char *got = rows_of(arena, (Source){text.at, text.length, 0, step, false}, ROOM);
        size_t length = strlen(got);
        assert_true(slice_starts(slice_of(got), begin));
        assert_true(length >= strlen(end));
        assert_string_equal(got + length - strlen(end), end);
    }
}

static void test_long_cells(void **state)
{
    Arena *arena = *state;
    size_t most = ROW_CELL_LIMIT;
    expect_long(arena, with_run(arena, "a,", 'x', most, ",b\n1\n"), "1:a|xxx", "xx|b\n2:1\n");
    expect_long(arena, with_run(arena, "a,", 'x', most + 1, ",b\n1\n"), "1!cell-too-long@2\n", "\n2:1\n");
    expect_long(arena, with_run(arena, "a,\"", 'x', most - 2, "\",b\n1\n"), "1:a|xxx", "xx|b\n2:1\n");
    expect_long(arena, with_run(arena, "a,\"", 'x', most - 1, "\",b\n1\n"), "1!quoted-too-long@2\n",
                "@2\n2:1\n");
    /* a doubled quote across the limit closes nothing */
    expect_long(arena, with_run(arena, "a,\"", 'x', most - 2, "\"\"\",b\n1\n"), "1!quoted-too-long@2\n",
                "@2\n2:1\n");
    /* no end within the limit: the lines in it are read as rows */
    expect_long(arena, with_run(arena, "a,\"b\n", '\n', most, "c,d\n"), "1!quoted-too-long@2\n",
                "@2\n65538:c|d\n");
}

/* Longer than the buffer, with and without quotes. */
static void test_long_rows(void **state)
{
    Arena *arena = *state;
    enum { CELL = 60000, CELLS = 200 };
    Buffer *plain = buffer_in_memory(arena), *quoted = buffer_in_memory(arena);
    for (int i = 0; i < CELLS; i++) {
        Slice cell = with_run(arena, i ? "," : "", 'x', CELL, "");
        buffer_slice(plain, cell);
        buffer_slice(quoted, with_run(arena, i ? ",\"\n" : "\"\n", 'x', CELL, "\""));
    }
    buffer_text(plain, "\n1,2\n");
    buffer_text(quoted, "\n1,2\n");
    expect_long(arena, buffer_slice_of(plain), "1!too-many-cells@480008\n", "2:1|2\n");
    expect_long(arena, buffer_slice_of(quoted), "1!too-many-cells@480032\n", "202:1|2\n");
    Slice all = buffer_slice_of(quoted);
    RowReader rows;
    Row row;
    rows_start(&rows, give, &(Source){all.at, all.length, 0, 0, false}, check_exhausted);
    rows_next_stretch(&rows);
    assert_true(rows_next(&rows, &row));
    assert_int_equal(row.bytes.length, CELLS * (CELL + 4) - 1);
    rows_free(&rows);
}

/* Wherever the buffer ends inside a row, the row comes out the same. */
static void test_end_of_buffer(void **state)
{
    Arena *arena = *state;
    static const char row[] = "\"a\"\"b\",\"\r\n\",c\r\n";
    enum { ROWS = 50000 }; /* the buffer ends in one of them, at any byte of it in turn */
    for (size_t shift = 0; shift < sizeof row; shift++) {
        ArenaMark before = arena_mark(arena);
        Buffer *text = buffer_in_memory(arena);
        buffer_slice(text, with_run(arena, "", 'x', shift, "\n"));
        for (int i = 0; i < ROWS; i++) buffer_text(text, row);
        Slice all = buffer_slice_of(text);
        RowReader rows;
        Row got;
        size_t count = 0;
        rows_start(&rows, give, &(Source){all.at, all.length, 0, 0, false}, check_exhausted);
        while (!rows_ended(&rows)) {
            rows_next_stretch(&rows);
            for (; rows_next(&rows, &got); count++) {
                if (!count && shift) continue;
                assert_int_equal(got.line, 2 + 2 * (count - (shift > 0)));
                assert_int_equal(got.fault, ROW_GOOD);
                assert_true(slice_equal(got.bytes, (Slice){row, sizeof row - 3}));
            }
        }
        assert_int_equal(count, ROWS + (shift > 0));
        rows_free(&rows);
        arena_release(arena, before);
    }
}

static void test_row_without_end(void **state)
{
    Arena *arena = *state;
    Slice text = with_run(arena, "a\n", 'x', ROW_LIMIT + (1 << 20), "\n1,2\n");
    assert_string_equal(rows_of(arena, (Source){text.at, text.length, 0, 0, false}, ROOM),
                        "1:a\n2!row-too-long@0\n3:1|2\n");
}

/* What stood before is given; the row in which it failed is not, as it may go on. */
static void test_reading_fails(void **state)
{
    Arena *arena = *state;
    static const struct {
        const char *text, *expected;
    } failing[] = {
        {"", ""},
        {"a,b\n1,2\n", "1:a|b\n2:1|2\n"},
        {"a,b\n1,2\n3,", "1:a|b\n2:1|2\n"},
        {"a,b\n\"1\n2\n3", "1:a|b\n"},
        {"a,b\n\"1\"", "1:a|b\n"},
    };
    for (size_t i = 0; i < CHECK_COUNT(failing); i++)
        for (size_t step = 0; step < 2; step++) {
            Source source = {failing[i].text, strlen(failing[i].text), 0, step, true};
            assert_string_equal(rows_of(arena, source, ROOM), failing[i].expected);
        }
}

/* ------------------------------------------------------------------ random tables */

static void write_cell(CheckRandom *random, Buffer *text, Buffer *expected, uint32_t *lines)
{
    static const char *const pieces[] = {"a", "bb", "ö", "5", ";", "'", "a b", ",", "\"", "\n", "\r\n"};
    enum { UNQUOTED = 7 }; /* those before need no quotes */
    bool quoted = check_below(random, 3) == 0;
    unsigned count = check_below(random, 4);
    if (quoted) buffer_text(text, "\"");
    for (unsigned i = 0; i < count; i++) {
        const char *piece = pieces[check_below(random, quoted ? CHECK_COUNT(pieces) : UNQUOTED)];
        buffer_text(text, piece);
        if (*piece == '"') buffer_text(text, "\"");
        buffer_text(expected, piece);
        *lines += strchr(piece, '\n') != NULL;
    }
    if (quoted) buffer_text(text, "\"");
    if (!quoted && !count) { /* so that no row is an empty line */
        buffer_text(text, "e");
        buffer_text(expected, "e");
    }
}

static void test_random_tables(void **state)
{
    Arena *arena = *state;
    CheckRandom random = check_random("tables");
    for (int table = 0; table < 300; table++) {
        ArenaMark before = arena_mark(arena);
        Buffer *text = buffer_in_memory(arena), *expected = buffer_in_memory(arena);
        uint32_t line = 1;
        for (unsigned row = check_below(&random, 30); row > 0; row--) {
            uint32_t lines = 1;
            buffer_print(expected, "%u:", line);
            for (unsigned cell = 0, cells = 1 + check_below(&random, ROOM); cell < cells; cell++) {
                if (cell) buffer_text(text, ",");
                if (cell) buffer_text(expected, "|");
                write_cell(&random, text, expected, &lines);
            }
            buffer_text(text, check_below(&random, 2) ? "\n" : "\r\n");
            buffer_text(expected, "\n");
            line += lines;
        }
        Slice all = buffer_slice_of(text), wanted = buffer_slice_of(expected);
        size_t step = check_below(&random, 9);
        const char *got = rows_of(arena, (Source){all.at, all.length, 0, step, false}, ROOM);
        assert_string_equal(got, arena_copy(arena, wanted.at, wanted.length));
        arena_release(arena, before);
    }
}

/* ------------------------------------------------------------------ ids */

static void test_ids(void **state)
{
    (void)state;
    enum { MANY = 200000, AGAIN = 1000 };
    PlanIds ids;
    char text[16];
    ids_start(&ids, check_exhausted);
    for (uint32_t i = 1; i <= MANY; i++) {
        int length = snprintf(text, sizeof text, "H%u", i);
        assert_int_equal(ids_add(&ids, (Slice){text, (size_t)length}, i), 0);
    }
    for (uint32_t i = 1; i <= MANY; i += MANY / AGAIN) {
        int length = snprintf(text, sizeof text, "H%u", i);
        assert_int_equal(ids_add(&ids, (Slice){text, (size_t)length}, MANY + i), i);
    }
    size_t bytes = 0;
    for (size_t i = 0; i < ID_SHELVES; i++)
        bytes += ids.shelves[i].room * (sizeof *ids.shelves[i].hashes + sizeof *ids.shelves[i].lines);
    assert_true(bytes <= MANY * 32);
    ids_free(&ids);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        CHECK_WITH_ARENA(test_rows),
        CHECK_WITH_ARENA(test_quotes),
        CHECK_WITH_ARENA(test_quotes_wrong),
        CHECK_WITH_ARENA(test_quote_left_open),
        CHECK_WITH_ARENA(test_too_many_cells),
        CHECK_WITH_ARENA(test_long_cells),
        CHECK_WITH_ARENA(test_long_rows),
        CHECK_WITH_ARENA(test_end_of_buffer),
        CHECK_WITH_ARENA(test_row_without_end),
        CHECK_WITH_ARENA(test_reading_fails),
        CHECK_WITH_ARENA(test_random_tables),
        cmocka_unit_test(test_ids),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
