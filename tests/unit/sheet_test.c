/* write/sheet: the four forms of dated work, and reading back our own calendar. Small nurseries are read from
 * text, so that what is written can be held against what was said; cells, lines and texts are taken apart
 * here anew, by RFC 4180 and RFC 5545. What other makers' readers say: tests/outside/written.py. */
#include "check.h"

#include "analysis/expand.h"
#include "base/buffer.h"
#include "syntax/read.h"
#include "write/calendar_previous.h"
#include "write/sheet.h"
#include "write/sheet_part.h"

/* ------------------------------------------------------------------ from text to what is written */

#define PROTOCOL                                                                                             \
    "nursery small \"Small\" { language 1; sheets en, es }\nprotocol p \"P\" { for Exemplum primum\n"

static Day day_of(int date) /* 20270618 */
{
    Day day = DAY_NONE;
    if (date && !day_make(date / 10000, date / 100 % 100, date % 100, &day)) fail_msg("no day %d", date);
    return day;
}

static Nursery *nursery_of(Arena *arena, const char *source)
{
    Notes *notes = notes_new(arena, 100);
    Nursery *nursery = nursery_new(arena, notes);
    Text *text = text_new(arena, "n.heel", source, (uint32_t)strlen(source), 1);
    nursery_add(nursery, syntax_read(arena, text, notes), false);
    nursery_finish(nursery);
    size_t count;
    Note *const *sorted = notes_sorted(notes, &count);
    for (size_t i = 0; i < count; i++)
        if (sorted[i]->severity == SEVERITY_ERROR) fail_msg("%s in:\n%s", sorted[i]->message, source);
    return nursery;
}

typedef struct Asked {
    const SheetForm *form;
    SheetOptions options;
} Asked;

static Asked asked_of(const SheetForm *form)
{
    return (Asked){form, {.filter = {DAY_NONE, DAY_NONE, DAY_NONE, {0}, {0}}, .stamp = 1800000000}};
}

typedef struct Target {
    const SheetForm *form;
    Sheet *sheet;
} Target;

static bool give(void *to, const WorkTask *task)
{
    Target *target = to;
    return target->form->task(target->sheet, task);
}

static const char *written_with(Arena *arena, Asked run, const char *source)
{
    Nursery *nursery = nursery_of(arena, source);
    Buffer *out = buffer_in_memory(arena);
    run.options.nursery = nursery;
    Target target = {run.form, run.form->begin(arena, out, &run.options)};
    Expansion *expansion = expansion_new(nursery, &run.options.filter, give, &target, check_exhausted);
    expansion_plan(expansion, plan_of_blocks(nursery));
    WorkResult result = expansion_finish(expansion);
    run.form->end(target.sheet, &result);
    expansion_free(expansion);
    Slice bytes = buffer_slice_of(out);
    char *text = arena_copy(arena, bytes.at, bytes.length);
    assert_int_equal(strlen(text), bytes.length);
    return text;
}

static const char *written(Arena *arena, const SheetForm *form, const char *source)
{
    return written_with(arena, asked_of(form), source);
}

static void assert_has(const char *text, const char *words)
{
    if (!strstr(text, words)) fail_msg("'%s' is not in:\n%s", words, text);
}

static void assert_lacks(const char *text, const char *words)
{
    if (strstr(text, words)) fail_msg("'%s' is in:\n%s", words, text);
}

static size_t times(const char *text, const char *words)
{
    size_t count = 0;
    for (const char *at = text; (at = strstr(at, words)); at += strlen(words)) count++;
    return count;
}

/* ------------------------------------------------------------------ a calendar, read anew */

/* The value of the n-th line of a name, from 1, unfolded (RFC 5545, 3.1) but still escaped; NULL. */
static const char *line_of(Arena *arena, const char *calendar, const char *name, size_t n)
{
    char *flat = arena_copy(arena, calendar, strlen(calendar)), *to = flat;
    for (const char *from = calendar; *from;) {
        if (!strncmp(from, "\r\n ", 3))
            from += 3;
        else
            *to++ = *from++;
    }
    *to = '\0';
    for (char *line = flat, *end; (end = strstr(line, "\r\n")); line = end + 2) {
        *end = '\0';
        if (!strncmp(line, name, strlen(name)) && line[strlen(name)] == ':' && --n == 0)
            return line + strlen(name) + 1;
    }
    return NULL;
}

/* TEXT with its escapes resolved (RFC 5545, 3.3.11); what no TEXT may hold fails. */
static const char *unescaped(Arena *arena, const char *text)
{
    char *plain = arena_copy(arena, text, strlen(text)), *to = plain;
    for (; *text; text++) {
        if (*text == ';' || *text == ',' || (unsigned char)*text < ' ') fail_msg("bare %d in TEXT", *text);
        if (*text != '\\') {
            *to++ = *text;
            continue;
        }
        text++;
        if (!*text || !strchr("\\;,nN", *text)) fail_msg("escape of %d", *text);
        *to++ = *text == 'n' || *text == 'N' ? '\n' : *text;
    }
    *to = '\0';
    return plain;
}

/* RFC 5545, 3.1: CR LF at every end, at most 75 octets between; and no letter and no escape is cut. */
static void assert_lines(const char *calendar)
{
    for (const char *line = calendar, *end; *line; line = end + 2) {
        end = strstr(line, "\r\n");
        if (!end) fail_msg("no CR LF behind: %s", line);
        size_t length = (size_t)(end - line), strokes = 0;
        if (length > 75 || memchr(line, '\n', length)) fail_msg("%.*s", (int)length, line);
        if (((unsigned char)line[line[0] == ' '] & 0xc0) == 0x80) fail_msg("a letter is cut: %.75s", line);
        while (strokes < length && end[-1 - (ptrdiff_t)strokes] == '\\') strokes++;
        if (strokes % 2) fail_msg("an escape is cut: %.*s", (int)length, line);
    }
}

#define ONE_TASK(at) PROTOCOL "  stage root { lasts 2 .. 3 weeks; task look { say \"Look.\"; " at " } } }\n"
#define BATCH(stick) "batch B1 { follow p; plant Exemplum primum; count 120; stick " stick " }\n"

static void test_an_event_ends_on_the_day_behind_it(void **state)
{
    static const struct {
        const char *source, *start, *end;
    } days[] = {
        {ONE_TASK("at start") BATCH("18 Jun 2027"), "20270618", "20270619"},
        {ONE_TASK("at start") BATCH("30 Jun 2027"), "20270630", "20270701"},
        {ONE_TASK("at start") BATCH("31 Dec 2027"), "20271231", "20280101"},
        {ONE_TASK("at start") BATCH("28 Feb 2027"), "20270228", "20270301"},
        {ONE_TASK("at start") BATCH("28 Feb 2028"), "20280228", "20280229"},
        {ONE_TASK("at start") BATCH("29 Feb 2028"), "20280229", "20280301"},
        /* watched from the stage's early begin to its late end, 3 weeks */
        {ONE_TASK("when night-low < 1 C") BATCH("11 Feb 2028"), "20280211", "20280304"},
    };
    for (size_t i = 0; i < CHECK_COUNT(days); i++) {
        const char *calendar = written(*state, &sheet_calendar, days[i].source);
        assert_lines(calendar);
        assert_string_equal(line_of(*state, calendar, "DTSTART;VALUE=DATE", 1), days[i].start);
        assert_string_equal(line_of(*state, calendar, "DTEND;VALUE=DATE", 1), days[i].end);
        assert_null(line_of(*state, calendar, "UID", 2));
    }
}

static void test_what_a_calendar_and_an_event_begin_with(void **state)
{
    const char *calendar = written(*state, &sheet_calendar, ONE_TASK("every 1 week") BATCH("18 Jun 2027"));
    assert_ptr_equal(strstr(calendar, "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//heelcut//"), calendar);
    assert_string_equal(calendar + strlen(calendar) - strlen("END:VCALENDAR\r\n"), "END:VCALENDAR\r\n");
    assert_string_equal(line_of(*state, calendar, "UID", 1), "B1/root/look#1@small");
    assert_string_equal(line_of(*state, calendar, "UID", 3), "B1/root/look#3@small");
    assert_null(line_of(*state, calendar, "UID", 4));
    assert_string_equal(line_of(*state, calendar, "DTSTAMP", 1),
                        "20270115T080000Z"); /* date -ud @1800000000 */
    assert_string_equal(line_of(*state, calendar, "SUMMARY", 1), "B1: look");
    /* the third is past the shorter of the stage's lengths */
    assert_has(line_of(*state, calendar, "DESCRIPTION", 3), "Only if the batch is still in this stage.");
    assert_null(strstr(line_of(*state, calendar, "DESCRIPTION", 2), "Only if"));
    assert_lacks(calendar, "RRULE");
    assert_lacks(calendar, "VTODO");
}

/* Text of the language for a text: quotes, strokes and ends of lines escaped. */
static const char *quoted(Arena *arena, const char *text)
{
    char *to = arena_alloc(arena, strlen(text) * 2 + 1), *at = to;
    for (; *text; text++) {
        if (strchr("\"\\\n", *text)) *at++ = '\\';
        *at++ = *text == '\n' ? 'n' : *text;
    }
    return to;
}

static const char *random_text(Arena *arena, CheckRandom *random)
{
    static const char *const letters[] = {"a", "b", " ", ",", ";", ":", "\\", "\n", "\"",
                                          "n", "ñ", "¿", "€", "→", "🌱", "é",  "=",  "x"};
    char *text = arena_alloc(arena, 1024), *at = text;
    *at++ = 'T';
    for (unsigned count = check_below(random, 200); count; count--) {
        const char *letter = letters[check_below(random, CHECK_COUNT(letters))];
        memcpy(at, letter, strlen(letter));
        at += strlen(letter);
    }
    *at = '.';
    return text;
}

static void test_any_text_comes_through_folding_and_escapes(void **state)
{
    CheckRandom random = check_random("calendar texts");
    for (int round = 0; round < 200; round++) {
        Arena *arena = arena_new(check_exhausted);
        const char *said = random_text(arena, &random);
        const char *source = arena_print(
            arena, PROTOCOL "stage root { lasts 1 week; task look { say \"%s\"; at start } } }\n%s",
            quoted(arena, said), BATCH("18 Jun 2027"));
        const char *calendar = written(arena, &sheet_calendar, source);
        assert_lines(calendar);
        const char *text = unescaped(arena, line_of(arena, calendar, "DESCRIPTION", 1));
        if (strncmp(text, said, strlen(said)) != 0) fail_msg("'%s' came as '%s'", said, text);
        arena_free(arena);
    }
    (void)state;
}

/* ------------------------------------------------------------------ the calendar after the last one */

static const char *after(Arena *arena, const char *previous, const char *source)
{
    Asked run = asked_of(&sheet_calendar);
    run.options.previous = slice_of(previous);
    return written_with(arena, run, source);
}

#define TWO(first, second)                                                                                   \
    PROTOCOL "  stage root { lasts 4 weeks\n    task look { say \"" first "\"; at day 3 }\n" second          \
             "  }\n}\n" BATCH("18 Jun 2027")
#define WATER "    task water { say \"Water.\"; at day 5 }\n"

static void assert_sequences(Arena *arena, const char *calendar, const char *look, const char *water)
{
    assert_lines(calendar);
    for (size_t n = 1; n <= 2; n++) {
        const char *uid = line_of(arena, calendar, "UID", n),
                   *sequence = line_of(arena, calendar, "SEQUENCE", n);
        if (!uid) fail_msg("no event %zu in:\n%s", n, calendar);
        const char *wanted = strstr(uid, "look") ? look : water;
        if (strcmp(sequence, wanted) != 0) fail_msg("%s has %s, not %s", uid, sequence, wanted);
    }
    assert_null(line_of(arena, calendar, "UID", 3));
}

static void test_what_changed_counts_on_and_what_is_gone_is_cancelled(void **state)
{
    const char *first = written(*state, &sheet_calendar, TWO("Look.", WATER));
    assert_sequences(*state, first, "0", "0");
    assert_string_equal(after(*state, first, TWO("Look.", WATER)), first);
    const char *changed = after(*state, first, TWO("Look twice.", WATER));
    assert_sequences(*state, changed, "1", "0");
    const char *gone = after(*state, changed, TWO("Look twice.", ""));
    assert_sequences(*state, gone, "1", "1");
    assert_int_equal(times(gone, "STATUS:CANCELLED"), 1);
    assert_string_equal(line_of(*state, gone, "DTSTART;VALUE=DATE", 2), "20270623");
    assert_string_equal(line_of(*state, gone, "SUMMARY", 2), "B1: water");
    assert_string_equal(after(*state, gone, TWO("Look twice.", "")), gone);
    const char *back = after(*state, gone, TWO("Look twice.", WATER));
    assert_sequences(*state, back, "1", "2"); /* the same words as at first, but it was cancelled between */
    assert_lacks(back, "CANCELLED");
    assert_sequences(*state, after(*state, back, TWO("Look.", "")), "2", "3");
}

static void test_another_place_or_day_is_a_change(void **state)
{
#define STANDS(place, stick)                                                                                 \
    ONE_TASK("at start")                                                                                     \
    "place a { enclosure bench }\nplace b { enclosure bench }\n"                                             \
    "batch B1 { follow p; plant Exemplum primum; count 12; stands " place "; stick " stick " }\n"
    const char *first = written(*state, &sheet_calendar, STANDS("a", "18 Jun 2027"));
    assert_string_equal(line_of(*state, first, "LOCATION", 1), "a");
    assert_string_equal(line_of(*state, after(*state, first, STANDS("b", "18 Jun 2027")), "SEQUENCE", 1),
                        "1");
    assert_string_equal(line_of(*state, after(*state, first, STANDS("a", "19 Jun 2027")), "SEQUENCE", 1),
                        "1");
}

/* Earliest and latest stay; the day for which it is planned does not. */
static void test_another_planned_day_alone_is_a_change(void **state)
{
#define LASTS(more)                                                                                          \
    PROTOCOL "  stage root { lasts 2 .. 4 weeks; " more                                                      \
             "task look { say \"Look.\"; at end } }\n}\n" BATCH("18 Jun 2027")
    const char *first = written(*state, &sheet_calendar, LASTS(""));
    const char *second = after(*state, first, LASTS("prefer lasts 15 days; "));
    assert_string_equal(line_of(*state, first, "DTSTART;VALUE=DATE", 1), "20270709");
    assert_string_equal(line_of(*state, second, "DTSTART;VALUE=DATE", 1), "20270703");
    assert_string_equal(line_of(*state, second, "DESCRIPTION", 1), line_of(*state, first, "DESCRIPTION", 1));
    assert_string_equal(line_of(*state, second, "SEQUENCE", 1), "1");
}

/* A run that asks for part of the work does not take the rest for gone. */
static void test_only_what_was_asked_for_can_be_gone(void **state)
{
    const char *all = written(*state, &sheet_calendar, STANDS("a", "18 Jun 2027"));
    const char *none = ONE_TASK("at start") "place a { enclosure bench }\nplace b { enclosure bench }\n";
    const struct {
        WorkFilter filter;
        size_t cancelled;
    } runs[] = {
        {{DAY_NONE, DAY_NONE, DAY_NONE, {0}, {0}}, 1},
        {{day_of(20270618), DAY_NONE, DAY_NONE, {0}, {0}}, 1},
        {{day_of(20270619), DAY_NONE, DAY_NONE, {0}, {0}}, 0},
        {{DAY_NONE, day_of(20270618), DAY_NONE, {0}, {0}}, 1},
        {{DAY_NONE, day_of(20270617), DAY_NONE, {0}, {0}}, 0},
        {{DAY_NONE, DAY_NONE, DAY_NONE, SLICE("a"), {0}}, 1},
        {{DAY_NONE, DAY_NONE, DAY_NONE, SLICE("b"), {0}}, 0},
        {{DAY_NONE, DAY_NONE, DAY_NONE, {0}, SLICE("B1")}, 1},
        {{DAY_NONE, DAY_NONE, DAY_NONE, {0}, SLICE("B")}, 0},
        {{DAY_NONE, DAY_NONE, DAY_NONE, {0}, SLICE("B12")}, 0},
    };
    for (size_t i = 0; i < CHECK_COUNT(runs); i++) {
        Asked run = asked_of(&sheet_calendar);
        run.options.filter = runs[i].filter;
        run.options.previous = slice_of(all);
        const char *calendar = written_with(*state, run, none);
        if (times(calendar, "CANCELLED") != runs[i].cancelled) fail_msg("run %zu:\n%s", i, calendar);
    }
}

#define PAST(uid, start, end, more)                                                                          \
    "BEGIN:VEVENT\r\nUID:" uid "\r\nDTSTART;VALUE=DATE:" start "\r\nDTEND;VALUE=DATE:" end                   \
    "\r\nX-HEELCUT-HASH:0123456789abcdef\r\nSUMMARY:s\r\n" more "END:VEVENT\r\n"

static void test_a_calendar_that_others_had_is_not_trusted(void **state)
{
    static const struct {
        const char *bytes;
        size_t events;
    } files[] = {
        {"", 0},
        {PAST("a@s", "20270618", "20270619", ""), 1},
        {PAST("a@s", "20270230", "20270301", ""), 0}, /* no such day */
        {PAST("a@s", "20270619", "20270619", ""), 0}, /* ends when it begins */
        {PAST("a@s", "20270618T080000Z", "20270618T090000Z", ""), 0},
        {PAST("a@s", "", "20270619", ""), 0},
        {PAST("", "20270618", "20270619", ""), 0},
        /* somebody's own event: to be cancelled by nobody but them */
        {"BEGIN:VEVENT\r\nUID:a@s\r\nDTSTART;VALUE=DATE:20270618\r\nDTEND;VALUE=DATE:20270619\r\nEND:"
         "VEVENT\r\n",
         0},
        {PAST("a@s", "20270618", "20270619", "X-HEELCUT-HASH:0123\r\n"), 0},
        {PAST("a@s", "20270618", "20270619", "X-HEELCUT-HASH:0123456789ABCDEF0\r\n"), 0},
        {PAST("a@s", "20270618", "20270619", "") PAST("a@s", "20270618", "20270619", ""), 1},
        {PAST("a@s", "20270618", "20270619", "") PAST("b@s", "20270618", "20270619", ""), 2},
        {"UID:a@s\r\nEND:VEVENT\r\nEND:VEVENT\r\n", 0},
        {"BEGIN:VEVENT\r\n" PAST("a@s", "20270618", "20270619", ""), 1},
        {PAST("a@s", "20270618", "20270619", "BEGIN:VALARM\r\nUID:\r\nEND:VALARM\r\n"), 1},
    };
    for (size_t i = 0; i < CHECK_COUNT(files); i++) {
        PastCalendar past = past_calendar_read(*state, slice_of(files[i].bytes));
        if (past.count != files[i].events) fail_msg("%zu events in:\n%s", past.count, files[i].bytes);
        for (size_t n = 0; n < past.count; n++)
            assert_ptr_equal(past_event(&past, past.at[n].uid), &past.at[n]);
    }
}

static void test_of_two_with_one_uid_the_greater_sequence_counts(void **state)
{
    PastCalendar past = past_calendar_read(
        *state, slice_of(PAST("a@s", "20270618", "20270619", "SEQUENCE:3\r\n")
                             PAST("a@s", "20270620", "20270621", "SEQUENCE:12\r\nSTATUS:CANCELLED\r\n")
                                 PAST("a@s", "20270622", "20270623", "SEQUENCE:7\r\n")));
    assert_int_equal(past.count, 1);
    assert_int_equal(past.at[0].sequence, 12);
    assert_true(past.at[0].cancelled);
    assert_int_equal(past.at[0].start, day_of(20270620));
}

static void test_a_sequence_stays_a_number_of_the_format(void **state)
{
    static const struct {
        const char *text;
        int64_t value;
    } numbers[] = {{"7", 7},
                   {"-7", 0},
                   {"x", 0},
                   {"1/2", 0},
                   {"999999999", 999999999},
                   {"1000000001", PAST_SEQUENCE},
                   {"", 0},
                   {"9223372036854775807", PAST_SEQUENCE}};
    for (size_t i = 0; i < CHECK_COUNT(numbers); i++) {
        const char *bytes =
            arena_print(*state, PAST("a@s", "20270618", "20270619", "SEQUENCE:%s\r\n"), numbers[i].text);
        PastCalendar past = past_calendar_read(*state, slice_of(bytes));
        assert_int_equal(past.count, 1);
        assert_int_equal(past.at[0].sequence, numbers[i].value);
    }
}

/* Bytes that would close the event, steer a terminal or break the encoding are not handed on. */
static void test_what_a_past_event_hands_on_is_clean(void **state)
{
    const char *past = PAST("a\x1b\x07@s", "20270618", "20270619",
                            "SUMMARY:\x1b[31mred\xff\xc3 \xe2\x80\xae one \xc3\r\n \xb1 tab\there\r\n");
    const char *calendar = after(*state, past, ONE_TASK("at start"));
    assert_lines(calendar);
    assert_string_equal(line_of(*state, calendar, "UID", 1), "a@s");
    assert_string_equal(line_of(*state, calendar, "SUMMARY", 1), "[31mred  one \xc3\xb1 tabhere");
    for (const char *at = calendar; *at; at++) assert_true((unsigned char)*at >= ' ' || strchr("\r\n", *at));
}

static void test_every_beginning_of_a_calendar_is_read(void **state)
{
    const char *whole = written(*state, &sheet_calendar, TWO("Look.", WATER));
    for (size_t length = 0; length <= strlen(whole); length++) {
        Arena *arena = arena_new(check_exhausted);
        char *bytes = malloc(length + 1); /* of exactly this size, so that a step too far is seen */
        memcpy(bytes, whole, length);
        PastCalendar past = past_calendar_read(arena, (Slice){bytes, length});
        assert_true(past.count <= 2);
        free(bytes);
        arena_free(arena);
    }
}

/* ------------------------------------------------------------------ CSV */

enum { CELLS = 32 };

typedef struct Row {
    const char *cell[CELLS];
    size_t count;
} Row;

/* One row by the grammar of RFC 4180; anything else fails. False at the end. */
static bool next_row(Arena *arena, const char **rest, Row *row)
{
    const char *at = *rest;
    if (!*at) return false;
    for (row->count = 0; row->count < CELLS;) {
        char *cell = arena_alloc(arena, strlen(at) + 1), *to = cell;
        row->cell[row->count++] = cell;
        if (*at == '"') {
            for (at++; *at && (*at != '"' || at[1] == '"'); *to++ = *at++)
                if (*at == '"') at++;
            if (*at++ != '"') fail_msg("an open quote: %.60s", *rest);
        } else {
            while (*at && !strchr(",\"\r\n", *at)) *to++ = *at++;
        }
        if (*at == ',') {
            at++;
            continue;
        }
        if (strncmp(at, "\r\n", 2) != 0) fail_msg("no CR LF and no comma at: %.60s", at);
        *rest = at + 2;
        return true;
    }
    fail_msg("too many cells: %.60s", *rest);
    return false;
}

static const char *cell_of(const Row *head, const Row *row, const char *name)
{
    for (size_t i = 0; i < head->count; i++)
        if (!strcmp(head->cell[i], name)) return row->cell[i];
    fail_msg("no column %s", name);
    return "";
}

static void test_a_row_has_every_column(void **state)
{
    const char *csv =
        written(*state, &sheet_csv, ONE_TASK("at start; takes 90 .. 150 s; duty yes") BATCH("18 Jun 2027"));
    assert_string_equal(
        csv,
        "id,batch,plant,protocol,stage,task,number,earliest,planned,latest,due,sure,watch,state,done,record,"
        "place,move,count,trays,minutes_low,minutes_high,duty,say\r\n"
        "B1/root/look,B1,Exemplum primum,p,root,look,,2027-06-18,2027-06-18,2027-06-18,2027-06-18,yes,no,"
        "coming,,,,,120,,2,3,yes,Look.\r\n");
}

/* Seconds of work for 101 cuttings in 3 containers: by the piece, by the container, for the whole. */
static void test_time_of_work_is_for_the_whole_batch(void **state)
{
    static const struct {
        const char *takes, *minutes;
    } times_of[] = {{"6 s per plant", ",101,3,11,11,"},
                    {"6 s per cutting", ",101,3,11,11,"},
                    {"40 .. 60 s per tray", ",101,3,2,3,"},
                    {"1 min per bag", ",101,3,3,3,"},
                    {"15 min", ",101,3,15,15,"},
                    {"0.25 h per batch", ",101,3,15,15,"},
                    {"1 min per row", ",101,3,,,"}};
    for (size_t i = 0; i < CHECK_COUNT(times_of); i++) {
        const char *source = arena_print(
            *state,
            PROTOCOL "stage root { lasts 1 week; task look { say \"Look.\"; at start; takes %s } } }\n"
                     "batch B1 { follow p; plant Exemplum primum; count 101; trays 3; stick 18 Jun 2027 }\n",
            times_of[i].takes);
        assert_has(written(*state, &sheet_csv, source), times_of[i].minutes);
    }
}

static void test_only_a_spreadsheet_gets_a_byte_order_mark(void **state)
{
    Asked run = asked_of(&sheet_csv);
    run.options.spreadsheet = true;
    const char *marked = written_with(*state, run, ONE_TASK("at start") BATCH("18 Jun 2027"));
    assert_memory_equal(marked, "\xef\xbb\xbfid,", 6);
    assert_string_equal(marked + 3, written(*state, &sheet_csv, ONE_TASK("at start") BATCH("18 Jun 2027")));
}

static void test_no_text_becomes_a_formula(void **state)
{
    static const char *const texts[][2] = {{"=1+1", "'=1+1"}, {"+49", "'+49"},      {"-2", "'-2"},
                                           {"@x", "'@x"},     {"1 = 1", "1 = 1"},   {"'=1", "'=1"},
                                           {"a,b", "a,b"},    {"a\"b", "a\"b"},     {"a\nb", "a\nb"},
                                           {"\"", "\""},      {"\"=1\"", "\"=1\""}, {"ñ → 🌱", "ñ → 🌱"}};
    for (size_t i = 0; i < CHECK_COUNT(texts); i++) {
        const char *source = arena_print(
            *state, PROTOCOL "stage root { lasts 1 week; task look { say \"%s\"; at start } } }\n%s",
            quoted(*state, texts[i][0]), BATCH("18 Jun 2027"));
        const char *csv = written(*state, &sheet_csv, source);
        Row head, row, none;
        assert_true(next_row(*state, &csv, &head));
        assert_true(next_row(*state, &csv, &row));
        assert_false(next_row(*state, &csv, &none));
        assert_int_equal(row.count, head.count);
        assert_string_equal(cell_of(&head, &row, "say"), texts[i][1]);
    }
}

/* ------------------------------------------------------------------ two languages */

#define SPOKEN                                                                                               \
    PROTOCOL "  stage root { lasts 2 weeks\n"                                                                \
             "    task look { say \"Look.\"; say \"Lift two.\"; say es \"Mire.\"; at start; "                \
             "caution \"Sharp.\"; caution es \"Filoso.\"; caution \"Hot.\" }\n"                              \
             "    task water { say \"Water.\"; at start }\n  }\n}\n" BATCH("18 Jun 2027")

static const char *in_language(Arena *arena, const SheetForm *form, const char *language, const char *source)
{
    Asked run = asked_of(form);
    run.options.language = slice_of(language);
    return written_with(arena, run, source);
}

static void test_a_missing_translation_is_seen(void **state)
{
    const char *sheet =
        written(*state, &sheet_text, SPOKEN); /* of `sheets en, es`, the second beside the first */
    assert_has(sheet, "    Look. Lift two.\n    Mire.\n");
    assert_has(sheet, "    ! Sharp.\n    ! Filoso.\n    ! Hot.\n    ! [es: no translation]\n");
    assert_has(sheet, "    Water.\n    [es: no translation]\n");
    sheet = in_language(*state, &sheet_text, "es", SPOKEN);
    assert_has(sheet, "    Mire.\n    Look. Lift two.\n"); /* one translation of two texts may not be all */
    assert_has(sheet, "    ! Filoso.\n    ! Sharp.\n    ! [es: sin traducción]\n    ! Hot.\n");
    assert_has(sheet, "    [es: sin traducción]\n    Water.\n");
    const char *calendar = in_language(*state, &sheet_calendar, "es", SPOKEN);
    assert_has(unescaped(*state, line_of(*state, calendar, "DESCRIPTION", 1)), "Mire.\nLook.\nLift two.\n");
    assert_has(unescaped(*state, line_of(*state, calendar, "DESCRIPTION", 1)),
               "! Filoso.\n! Sharp.\n! [es: sin traducción]\n! Hot.");
    assert_has(line_of(*state, calendar, "DESCRIPTION", 2), "[es: sin traducción]");
}

static void test_the_nurserys_own_language_is_no_translation(void **state)
{
    assert_lacks(in_language(*state, &sheet_text, "en", SPOKEN), "translation");
    assert_string_equal(in_language(*state, &sheet_calendar, "en", SPOKEN),
                        written(*state, &sheet_calendar, SPOKEN));
    assert_has(in_language(*state, &sheet_csv, "en", SPOKEN), "no,Water.,Water.\r\n");
    assert_has(in_language(*state, &sheet_csv, "es", SPOKEN), "no,Water.,\r\n");
}

static void test_a_caution_in_one_language_alone_is_told(void **state)
{
    const char *source = PROTOCOL "  stage root { lasts 1 week; task look { say \"Look.\"; at start; "
                                  "caution es \"Filoso.\" } }\n}\n" BATCH("18 Jun 2027");
    assert_has(in_language(*state, &sheet_text, "es", source), "! Filoso.");
}

/* ------------------------------------------------------------------ JSON */

static void test_json_has_each_key_once_and_every_language(void **state)
{
    const char *json = written(*state, &sheet_json, SPOKEN);
    assert_has(json, "\"say\": {\n        \"\": \"Look.\\nLift two.\",\n        \"es\": \"Mire.\"\n      }");
    assert_has(json,
               "\"cautions\": {\n        \"\": [\n          \"Sharp.\",\n          \"Hot.\"\n        ],\n"
               "        \"es\": [\n          \"Filoso.\"\n        ]\n      }");
    assert_has(json, "\"cautions\": {\n        \"\": []\n      }"); /* of water */
    assert_has(json, "\"place\": null");
    assert_int_equal(times(json, "\"id\": "), 2);
}

static void test_json_without_work_is_whole(void **state)
{
    assert_string_equal(
        written(*state, &sheet_json, ONE_TASK("at start")),
        "{\n  \"version\": 1,\n  \"tool\": \"heelcut\",\n  \"command\": \"tasks\",\n  \"tasks\": [],\n"
        "  \"batches\": 0,\n  \"undated\": 0\n}\n");
}

/* ------------------------------------------------------------------ the sheet for people */

static void test_a_sheet_goes_by_day_then_place(void **state)
{
    const char *sheet = written(
        *state, &sheet_text,
        ONE_TASK(
            "at day 3; count rooted, dead of a sample; caution \"Sharp.\"") "place zinc { enclosure bench; "
                                                                            "caution \"Hot.\" }\nplace alder "
                                                                            "{ enclosure bench }\n"
                                                                            "batch B1 { follow p; plant "
                                                                            "Exemplum primum; count 308; "
                                                                            "trays 4; stands zinc; stick 18 "
                                                                            "Jun 2027 }\n"
                                                                            "batch B2 { follow p; plant "
                                                                            "Exemplum primum; count 50; "
                                                                            "trays 1; stands alder; stick 18 "
                                                                            "Jun 2027 }\n"
                                                                            "batch B3 { follow p; plant "
                                                                            "Exemplum primum; count 50; "
                                                                            "stands zinc; stick 17 Jun 2027 "
                                                                            "}\n"
                                                                            "batch B4 { follow p; plant "
                                                                            "Exemplum primum; count 9; "
                                                                            "stands zinc; stick 18 Jun 2027 "
                                                                            "}\n");
    static const char *const order[] = {"Small: 4 tasks of 4 batches",
                                        "Sun 20 Jun 2027",
                                        "zinc",
                                        "B3",
                                        "Mon 21 Jun 2027",
                                        "alder",
                                        "B2",
                                        "zinc",
                                        "! Hot.",
                                        "* look  (root)",
                                        "! Sharp.",
                                        "[ ] B1  Exemplum primum, 308 in 4 trays",
                                        "rooted ____  dead ____  of a sample",
                                        "[ ] B4"};
    const char *at = sheet;
    for (size_t i = 0; i < CHECK_COUNT(order); i++) {
        at = strstr(at, order[i]);
        if (!at) fail_msg("'%s' does not come where it should in:\n%s", order[i], sheet);
        at += strlen(order[i]);
    }
    assert_int_equal(times(sheet, "! Hot."), 2);   /* once for each day and place */
    assert_int_equal(times(sheet, "! Sharp."), 3); /* once for the task of B1 and B4 */
    assert_has(sheet, "1 tray\n");
}

static void test_watched_work_stands_behind_with_its_days(void **state)
{
    const char *sheet =
        written(*state, &sheet_text,
                PROTOCOL "  stage root { lasts 2 .. 3 weeks\n"
                         "    task cover { say \"Fleece on.\"; when night-low < 1 C }\n"
                         "    task look { say \"Look.\"; at day 20 }\n  }\n}\n" BATCH("18 Jun 2027"));
    const char *watch = strstr(sheet, "Watch the weather");
    assert_non_null(watch);
    assert_true(strstr(sheet, "* look") < watch);
    assert_has(watch, "when night-low < 1 C");
    assert_has(watch, "from 18 Jun 2027, at the latest 9 Jul 2027");
}

static void test_states_are_named_when_today_is_known(void **state)
{
    Asked run = asked_of(&sheet_text);
    run.options.filter.today = day_of(20270710);
    const char *sheet = written_with(
        *state, run,
        PROTOCOL "  stage root { lasts 2 .. 3 weeks; task look { say \"Look.\"; "
                 "every 1 week } }\n}\n" BATCH(
                     "18 Jun 2027") "record B1 { 18 Jun 2027 stuck 120\n 3 Jul 2027 done look 2 }\n");
    assert_has(sheet, "  done 3 Jul 2027");
    assert_has(sheet, "  missed");
    assert_has(sheet, "  OVERDUE");
    assert_has(sheet, "only if still in root");
}

static void test_texts_are_wrapped_by_letters(void **state)
{
    const char *word = "ñandúes→ ";
    Buffer *say = buffer_in_memory(*state);
    for (int i = 0; i < 60; i++) buffer_text(say, word);
    const char *sheet = written(
        *state, &sheet_text,
        arena_print(*state,
                    PROTOCOL "stage root { lasts 1 week; task look { say \"%.*s\"; at start } } }\n%s",
                    SLICE_ARG(buffer_slice_of(say)), BATCH("18 Jun 2027")));
    size_t longest = 0, letters = 0;
    for (const char *at = sheet; *at; at++) {
        letters = *at == '\n' ? 0 : letters + (((unsigned char)*at & 0xc0) != 0x80);
        longest = letters > longest ? letters : longest;
    }
    assert_int_equal(longest, 75); /* 4 blanks, 8 words of 8 letters, 7 blanks; the ninth would end at 84 */
    assert_int_equal(times(sheet, "ñandúes→"), 60);
}

/* Two protocols have one practice; one of them has more from its base. Neither may be told in the other's
 * words. */
static void test_a_task_with_a_word_of_its_own_is_told_by_itself(void **state)
{
#define PRACTICE(base)                                                                                       \
    "nursery small \"Small\" { language 1 }\n"                                                               \
    "practice w { stage root { task look { say \"Look.\"; at day 3; count gnats } } }\n"                     \
    "protocol a { base yes; for Exemplum primum\n stage root { lasts 2 weeks; " base " } }\n"                \
    "protocol p { for Exemplum primum; with w\n stage root { lasts 2 weeks } }\n"                            \
    "protocol q { for Exemplum primum; based-on a; with w }\n"                                               \
    "batch B1 { follow p; count 1; stick 18 Jun 2027 }\nbatch B2 { follow q; count 1; stick 18 Jun 2027 }\n"
    static const struct {
        const char *source, *more;
    } bases[] = {{PRACTICE("task look { caution \"Sharp.\" }"), "! Sharp."},
                 {PRACTICE("task look { act { when gnats > 10; say \"Tell.\" } }"), "if gnats > 10"},
                 {PRACTICE("task look { uses lens }"), "with: lens"}};
    for (size_t i = 0; i < CHECK_COUNT(bases); i++) {
        const char *sheet = written(*state, &sheet_text, bases[i].source);
        assert_int_equal(times(sheet, "* look"), 2);
        const char *more = strstr(sheet, bases[i].more);
        if (!more) fail_msg("no '%s' in:\n%s", bases[i].more, sheet);
        assert_true(more > strstr(sheet, "[ ] B1") && more < strstr(sheet, "[ ] B2"));
    }
    assert_int_equal(times(written(*state, &sheet_text, PRACTICE("")), "* look"), 1);
}

/* A stage's own caution stands above work, not between two batches of it. */
static void test_no_caution_stands_between_batches(void **state)
{
    const char *sheet = written(
        *state, &sheet_text,
        "nursery small \"Small\" { language 1 }\npractice w { stage root { task look { say \"Look.\"; at day "
        "3 } } }\n"
        "protocol p { for Exemplum primum; with w\n stage root { lasts 2 weeks } }\n"
        "protocol q { for Exemplum primum; with w\n stage root { lasts 2 weeks; caution \"Hot.\" } }\n"
        "batch B1 { follow p; count 1; stick 18 Jun 2027 }\nbatch B2 { follow q; count 1; stick 18 Jun 2027 "
        "}\n");
    const char *hot = strstr(sheet, "! Hot.");
    assert_non_null(hot);
    const char *head = strstr(hot, "* look");
    assert_true(head && head < strstr(sheet, "[ ] B2"));
}

static void test_what_to_do_at_a_count_is_told(void **state)
{
    const char *sheet =
        written(*state, &sheet_text,
                ONE_TASK("at start; count gnats; act { when gnats > 10; say \"Tell the propagator.\" }")
                    BATCH("18 Jun 2027"));
    assert_has(sheet, "    if gnats > 10\n        Tell the propagator.\n");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        CHECK_WITH_ARENA(test_an_event_ends_on_the_day_behind_it),
        CHECK_WITH_ARENA(test_what_a_calendar_and_an_event_begin_with),
        cmocka_unit_test(test_any_text_comes_through_folding_and_escapes),
        CHECK_WITH_ARENA(test_what_changed_counts_on_and_what_is_gone_is_cancelled),
        CHECK_WITH_ARENA(test_another_place_or_day_is_a_change),
        CHECK_WITH_ARENA(test_another_planned_day_alone_is_a_change),
        CHECK_WITH_ARENA(test_only_what_was_asked_for_can_be_gone),
        CHECK_WITH_ARENA(test_a_calendar_that_others_had_is_not_trusted),
        CHECK_WITH_ARENA(test_of_two_with_one_uid_the_greater_sequence_counts),
        CHECK_WITH_ARENA(test_a_sequence_stays_a_number_of_the_format),
        CHECK_WITH_ARENA(test_what_a_past_event_hands_on_is_clean),
        CHECK_WITH_ARENA(test_every_beginning_of_a_calendar_is_read),
        CHECK_WITH_ARENA(test_a_row_has_every_column),
        CHECK_WITH_ARENA(test_time_of_work_is_for_the_whole_batch),
        CHECK_WITH_ARENA(test_only_a_spreadsheet_gets_a_byte_order_mark),
        CHECK_WITH_ARENA(test_no_text_becomes_a_formula),
        CHECK_WITH_ARENA(test_a_missing_translation_is_seen),
        CHECK_WITH_ARENA(test_the_nurserys_own_language_is_no_translation),
        CHECK_WITH_ARENA(test_a_caution_in_one_language_alone_is_told),
        CHECK_WITH_ARENA(test_json_has_each_key_once_and_every_language),
        CHECK_WITH_ARENA(test_json_without_work_is_whole),
        CHECK_WITH_ARENA(test_a_sheet_goes_by_day_then_place),
        CHECK_WITH_ARENA(test_watched_work_stands_behind_with_its_days),
        CHECK_WITH_ARENA(test_states_are_named_when_today_is_known),
        CHECK_WITH_ARENA(test_texts_are_wrapped_by_letters),
        CHECK_WITH_ARENA(test_a_task_with_a_word_of_its_own_is_told_by_itself),
        CHECK_WITH_ARENA(test_no_caution_stands_between_batches),
        CHECK_WITH_ARENA(test_what_to_do_at_a_count_is_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
