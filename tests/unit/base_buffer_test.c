/* base/buffer and base/digits: what is collected, what reaches a file, and failures that are remembered. */
#include "check.h"

#include "base/buffer.h"
#include "base/digits.h"
#include "base/text.h"

#include <errno.h>
#include <fcntl.h>
#include <inttypes.h>
#include <signal.h>
#include <unistd.h>

static void holds(const Buffer *out, const char *text)
{
    Slice held = buffer_slice_of(out);
    assert_int_equal(held.length, strlen(text));
    assert_memory_equal(held.at, text, held.length);
}

static void memory_takes_everything(void **state)
{
    Buffer *out = buffer_in_memory(*state);
    holds(out, "");
    buffer_text(out, "depth ");
    buffer_integer(out, 20);
    buffer_char(out, ' ');
    buffer_slice(out, SLICE("mm"));
    buffer_slice(out, (Slice){NULL, 0});
    buffer_bytes(out, ";;", 1);
    buffer_spaces(out, 3);
    buffer_print(out, "%s %d", "row", 7);
    buffer_char(out, ' ');
    buffer_iso_day(out, 0);
    holds(out, "depth 20 mm;   row 7 1970-01-01");
    assert_true(buffer_flush(out));
    assert_false(buffer_failed(out));
    buffer_clear(out);
    holds(out, "");
    buffer_escaped(out, SLICE("a\x1b"
                              "b\xE2\x80\xAE"));
    holds(out, "a\\x1bb\\u{202e}");
}

static void memory_grows(void **state)
{
    Buffer *out = buffer_in_memory(*state);
    size_t length = 0;
    for (size_t i = 0; i < 400; i++) {
        buffer_spaces(out, i);
        buffer_char(out, '|');
        buffer_print(out, "%0*d", (int)i + 1, 0);
        length += i + 1 + i + 1;
    }
    Slice held = buffer_slice_of(out);
    assert_int_equal(held.length, length);
    const char *at = held.at;
    for (size_t i = 0; i < 400; i++) {
        for (size_t k = 0; k < i; k++) assert_int_equal(*at++, ' ');
        assert_int_equal(*at++, '|');
        for (size_t k = 0; k <= i; k++) assert_int_equal(*at++, '0');
    }
}

/* printf wants a byte more than it prints: lengths about the room of a new buffer, in memory and for a file.
 */
static void printing_fills_a_buffer_to_the_brim(void **state)
{
    Arena *arena = *state;
    static const int rooms[] = {256, 64 << 10};
    for (size_t i = 0; i < CHECK_COUNT(rooms); i++) {
        for (int length = rooms[i] - 2; length <= rooms[i] + 2; length++) {
            FILE *file = tmpfile();
            assert_non_null(file);
            Buffer *memory = buffer_in_memory(arena), *out = buffer_to_file(arena, fileno(file));
            buffer_print(memory, "%*d", length, 7);
            buffer_print(out, "%*d", length, 7);
            buffer_char(memory, '.');
            buffer_char(out, '.');
            assert_true(buffer_flush(out));
            Slice held = buffer_slice_of(memory);
            assert_int_equal(held.length, length + 1);
            char *read_back = arena_alloc(arena, held.length + 1);
            rewind(file);
            assert_int_equal(fread(read_back, 1, held.length + 1, file), held.length);
            assert_memory_equal(read_back, held.at, held.length);
            assert_memory_equal(&held.at[length - 2], " 7.", 3);
            fclose(file);
        }
    }
}

static void integers_are_written_as_printf_does(void **state)
{
    (void)state;
    CheckRandom random = check_random("buffer");
    static const int64_t edges[] = {0,    9,  10,  99,        100,       999,
                                    1000, -1, -10, INT64_MAX, INT64_MIN, INT64_MIN + 1};
    for (int i = 0; i < 50000; i++) {
        uint64_t bits = check_next(&random);
        int64_t value =
            (size_t)i < CHECK_COUNT(edges) ? edges[i] : (int64_t)(bits >> bits % 64) * (bits & 64 ? 1 : -1);
        char wanted[32], got[DIGITS_ROOM];
        snprintf(wanted, sizeof wanted, "%" PRId64, value);
        assert_int_equal(digits_write_signed(got, value), strlen(wanted));
        assert_memory_equal(got, wanted, strlen(wanted));
        snprintf(wanted, sizeof wanted, "%" PRIu64, (uint64_t)value);
        assert_int_equal(digits_write(got, (uint64_t)value), strlen(wanted));
        assert_memory_equal(got, wanted, strlen(wanted));
    }
    for (unsigned i = 0; i < 100; i++) {
        char wanted[8], got[2];
        snprintf(wanted, sizeof wanted, "%02u", i);
        digits_pair(got, i);
        assert_memory_equal(got, wanted, 2);
    }
}

/* The buffer copies what is plain in runs; the runs may not show. */
static void escaping_in_runs_is_escaping_the_whole(void **state)
{
    Arena *arena = *state;
    CheckRandom random = check_random("buffer");
    static const char *const pieces[] = {"a",    "\xC3\xA9", "\xE2\x80\xAE", "\xF0\x9F\x8C\xB1",
                                         "\xFF", "\x80",     "\x1b",         "\xE2\x80"};
    for (int round = 0; round < 200; round++) {
        ArenaMark mark = arena_mark(arena);
        Buffer *from = buffer_in_memory(arena), *out = buffer_in_memory(arena);
        for (int i = 0; i < 2000; i++) {
            unsigned kind = check_below(&random, 4) ? (unsigned)round % 8 : check_below(&random, 8);
            buffer_text(from, pieces[kind]);
        }
        Slice whole = buffer_slice_of(from);
        size_t needed = text_escape(NULL, 0, whole);
        char *wanted = arena_alloc(arena, needed + 1);
        text_escape(wanted, needed + 1, whole);
        buffer_escaped(out, whole);
        assert_int_equal(buffer_slice_of(out).length, needed);
        assert_memory_equal(buffer_slice_of(out).at, wanted, needed);
        arena_release(arena, mark);
    }
}

static void files_get_every_byte_in_order(void **state)
{
    Arena *arena = *state;
    FILE *file = tmpfile();
    assert_non_null(file);
    Buffer *out = buffer_to_file(arena, fileno(file)), *wanted = buffer_in_memory(arena);
    CheckRandom random = check_random("buffer");
    static char large[200000];
    for (size_t i = 0; i < sizeof large - 1; i++) large[i] = (char)('a' + (char)(i % 26));
    for (int i = 0; i < 3000; i++) {
        Slice piece = {large, check_below(&random, i % 500 == 0 ? sizeof large : 300)};
        switch (check_below(&random, 4)) {
        case 0: buffer_slice(out, piece), buffer_slice(wanted, piece); break;
        case 1:
            buffer_print(out, "%.*s", SLICE_ARG(piece)), buffer_print(wanted, "%.*s", SLICE_ARG(piece));
            break;
        case 2: buffer_char(out, '\n'), buffer_char(wanted, '\n'); break;
        default: buffer_integer(out, i), buffer_integer(wanted, i); break;
        }
    }
    buffer_print(out, "%s", large);
    buffer_print(wanted, "%s", large);
    assert_true(buffer_flush(out));
    assert_true(buffer_flush(out));
    Slice held = buffer_slice_of(wanted);
    assert_int_equal(lseek(fileno(file), 0, SEEK_END), held.length);
    char *read_back = arena_alloc(arena, held.length);
    rewind(file);
    assert_int_equal(fread(read_back, 1, held.length, file), held.length);
    assert_memory_equal(read_back, held.at, held.length);
    fclose(file);
}

/* Pieces put straight into the buffer, shorter and longer than a file's is, among others. */
static void room_is_given_for_any_length(void **state)
{
    Arena *arena = *state;
    FILE *file = tmpfile();
    assert_non_null(file);
    Buffer *out = buffer_to_file(arena, fileno(file)), *wanted = buffer_in_memory(arena);
    CheckRandom random = check_random("buffer");
    for (int i = 0; i < 500; i++) {
        size_t length = check_below(&random, i % 100 == 99 ? 300000 : 3000), used = length - length / 3;
        Buffer *const both[] = {out, wanted};
        for (size_t k = 0; k < CHECK_COUNT(both); k++) {
            char *at = buffer_room(both[k], length);
            memset(at, 'a' + i % 26, length);
            buffer_written(both[k], at + used);
            buffer_integer(both[k], i);
        }
    }
    assert_true(buffer_flush(out));
    Slice held = buffer_slice_of(wanted);
    assert_int_equal(lseek(fileno(file), 0, SEEK_END), held.length);
    char *read_back = arena_alloc(arena, held.length);
    rewind(file);
    assert_int_equal(fread(read_back, 1, held.length, file), held.length);
    assert_memory_equal(read_back, held.at, held.length);
    fclose(file);
}

static void nothing_leaves_before_the_buffer_is_full(void **state)
{
    FILE *file = tmpfile();
    assert_non_null(file);
    Buffer *out = buffer_to_file(*state, fileno(file));
    for (int i = 0; i < 65536; i++) buffer_char(out, 'x');
    assert_int_equal(lseek(fileno(file), 0, SEEK_END), 0);
    buffer_char(out, 'y');
    assert_int_equal(lseek(fileno(file), 0, SEEK_END), 65536);
    assert_true(buffer_flush(out));
    assert_int_equal(lseek(fileno(file), 0, SEEK_END), 65537);
    fclose(file);
}

static void the_first_failure_is_remembered(void **state)
{
    int full = open("/dev/full", O_WRONLY);
    assert_true(full >= 0);
    Buffer *out = buffer_to_file(*state, full);
    buffer_text(out, "lost");
    assert_false(buffer_failed(out));
    assert_false(buffer_flush(out));
    assert_int_equal(errno, ENOSPC);
    assert_true(buffer_failed(out));
    close(full); /* from here on a write would fail with EBADF */
    for (int i = 0; i < 200000; i++) buffer_text(out, "dropped");
    for (int i = 0; i < 200; i++) {
        char *at = buffer_room(out, 100000);
        memset(at, 'x', 100000);
        buffer_written(out, at + 100000);
    }
    buffer_print(out, "%d", 5);
    buffer_char(out, 'x');
    errno = 0;
    assert_false(buffer_flush(out));
    assert_int_equal(errno, ENOSPC);
}

static void a_pipe_nobody_reads_fails(void **state)
{
    int ends[2];
    assert_int_equal(pipe(ends), 0);
    signal(SIGPIPE, SIG_IGN);
    close(ends[0]);
    Buffer *out = buffer_to_file(*state, ends[1]);
    buffer_text(out, "nobody");
    assert_false(buffer_flush(out));
    assert_int_equal(errno, EPIPE);
    close(ends[1]);
}

/* A pipe that does not block, and a reader who is slow: nothing may be lost. */
static void a_slow_reader_gets_everything(void **state)
{
    int ends[2];
    assert_int_equal(pipe(ends), 0);
    fflush(NULL);
    pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0) {
        close(ends[0]);
        fcntl(ends[1], F_SETFL, O_NONBLOCK);
        Buffer *out = buffer_to_file(*state, ends[1]);
        for (int i = 0; i < 300000; i++) buffer_text(out, "0123456789");
        _exit(buffer_flush(out) ? 0 : 1);
    }
    close(ends[1]);
    static char bytes[10000];
    size_t total = 0;
    for (ssize_t got; (got = read(ends[0], bytes, sizeof bytes)) > 0; total += (size_t)got)
        for (ssize_t i = 0; i < got; i++) assert_int_equal(bytes[i], '0' + (char)((total + (size_t)i) % 10));
    assert_int_equal(total, 3000000);
    close(ends[0]);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        CHECK_WITH_ARENA(memory_takes_everything),
        CHECK_WITH_ARENA(memory_grows),
        CHECK_WITH_ARENA(printing_fills_a_buffer_to_the_brim),
        cmocka_unit_test(integers_are_written_as_printf_does),
        CHECK_WITH_ARENA(escaping_in_runs_is_escaping_the_whole),
        CHECK_WITH_ARENA(files_get_every_byte_in_order),
        CHECK_WITH_ARENA(room_is_given_for_any_length),
        CHECK_WITH_ARENA(nothing_leaves_before_the_buffer_is_full),
        CHECK_WITH_ARENA(the_first_failure_is_remembered),
        CHECK_WITH_ARENA(a_pipe_nobody_reads_fails),
        CHECK_WITH_ARENA(a_slow_reader_gets_everything),
    };
    return cmocka_run_group_tests_name("base/buffer", tests, NULL, NULL) != 0;
}
