/* write/report: the three forms of a report, from notes made by hand. What JSON and SARIF have to be for
 * others is judged by tests/outside/written.py, by their schemas and by the rules of hosts. */
#include "check.h"

#include "write/report.h"

static Text *text_of(Arena *arena, const char *name, const char *bytes)
{
    return text_new(arena, name, bytes, (uint32_t)strlen(bytes), 1);
}

/* The first place where the words stand. */
static Span span_of(const Text *text, const char *words)
{
    const char *at = strstr(text->bytes, words);
    if (!at) fail_msg("%s is not in %s", words, text->name);
    uint32_t begin = (uint32_t)(at - text->bytes);
    return (Span){text, begin, begin + (uint32_t)strlen(words)};
}

static const Span nowhere = {NULL, 0, 0};

static const Summary nothing_done = {0};

static const char *written(ReportWriter *writer, Report report)
{
    Arena *arena = notes_arena(report.notes);
    Buffer *out = buffer_in_memory(arena);
    if (!report.command) report.command = "check";
    writer(out, &report);
    Slice bytes = buffer_slice_of(out);
    assert_int_equal(strlen(arena_copy(arena, bytes.at, bytes.length)), bytes.length);
    return arena_copy(arena, bytes.at, bytes.length);
}

/* Findings as text without the summary, which needs nothing of them. */
static const char *as_text(Notes *notes)
{
    return written(report_write_text, (Report){.notes = notes});
}

static const char *as_json(Notes *notes, int status)
{
    return written(report_write_json, (Report){.notes = notes, .summary = &nothing_done, .status = status});
}

static const char *as_sarif(Notes *notes)
{
    return written(report_write_sarif, (Report){.notes = notes, .summary = &nothing_done, .status = 1});
}

static size_t times(const char *text, const char *words)
{
    size_t count = 0;
    for (const char *at = text; (at = strstr(at, words)); at += strlen(words)) count++;
    return count;
}

static void assert_has(const char *text, const char *words)
{
    if (!strstr(text, words)) fail_msg("'%s' is not in:\n%s", words, text);
}

static void assert_lacks(const char *text, const char *words)
{
    if (strstr(text, words)) fail_msg("'%s' is in:\n%s", words, text);
}

static void assert_in_order(const char *text, const char *first, const char *second)
{
    assert_has(text, first);
    assert_has(text, second);
    if (strstr(text, first) > strstr(text, second)) fail_msg("'%s' is behind '%s'", first, second);
}

/* The finding of most of the tests: a batch stuck too deep. */
static Note *add_depth(Notes *notes, Span typed)
{
    Note *note = notes_add(notes, SEVERITY_ERROR, "depth", typed,
                           "depth 30 mm is outside what is allowed: 12 .. 25 mm");
    note->subject = "B1";
    note->field = "depth";
    note->value = "30";
    note->found = "30 mm";
    note->allowed = "12 .. 25 mm";
    return note;
}

/* ------------------------------------------------------------------ text */

static void an_error_shows_both_places(void **state)
{
    Arena *arena = *state;
    Notes *notes = notes_new(arena, 10);
    Text *plan = text_of(arena, "plan.heel", "batch B1 {\n  depth  30 mm   # deep\n}\n");
    Text *protocol = text_of(arena, "soft.heel", "protocol soft {\n    must depth  12 .. 25 mm\n}\n");
    Text *rules = text_of(arena, "rules/sticking.heel", "\n\nrule deep on batch {\n");
    rules->built_in = true;
    Note *note = add_depth(notes, span_of(plan, "30 mm"));
    note_place(note, span_of(protocol, "must depth  12 .. 25 mm"), "the protocol says");
    note_place(note, nowhere, "nowhere");
    note_place(note, span_of(rules, "deep"), "the rule");
    note->because = "deep stems rot";
    note->instead = "just deep enough to stand";
    note->cite = "NB3: Nursery bulletin 3";
    note->also = "deep, deep-leafy";
    assert_string_equal(as_text(notes),
                        "plan.heel:2:10: error: depth 30 mm is outside what is allowed: 12 .. 25 mm [depth]\n"
                        "      depth  30 mm   # deep\n"
                        "             ^^^^^\n"
                        "    the protocol says: soft.heel:2:5\n"
                        "        must depth  12 .. 25 mm\n"
                        "    the rule: rules/sticking.heel:3:6\n"
                        "        rule deep on batch {\n"
                        "    because deep stems rot\n"
                        "    instead just deep enough to stand\n"
                        "    source  NB3: Nursery bulletin 3\n"
                        "    also    deep, deep-leafy\n"
                        "\n");
}

static void a_note_is_short(void **state)
{
    Arena *arena = *state;
    Notes *notes = notes_new(arena, 10);
    Text *plan = text_of(arena, "plan.heel", "batch B1 { depth 30 mm }\n");
    Note *note =
        notes_add(notes, SEVERITY_NOTE, "deep-leafy", span_of(plan, "30 mm"), "half of it is buried");
    note_place(note, span_of(plan, "batch"), "the rule");
    note->because = "leaves touch the medium";
    note->instead = "stick less deep";
    note->cite = "common practice";
    assert_string_equal(as_text(notes), "plan.heel:1:18: note: half of it is buried [deep-leafy]\n"
                                        "    because leaves touch the medium\n"
                                        "    instead stick less deep\n"
                                        "\n");
}

static void values_are_told_once(void **state)
{
    Arena *arena = *state;
    static const struct {
        const char *message, *found;
        bool row;
    } rows[] = {{"stuck at 5 mm", "5 mm", false},    {"at 5 mm, too flat", "5 mm", false},
                {"5 mm is too flat", "5 mm", false}, {"it is 5 mm.", "5 mm", false},
                {"stuck at 15 mm", "5 mm", true},    {"stuck at 0.5 mm", "5 mm", true},
                {"count is 30", "3", true},          {"count is 3.5", "3", true},
                {"15 mm or 5 mm", "5 mm", false},    {"stuck too flat", "5 mm", true},
                {"stuck too flat", "", false},       {"stuck too flat", NULL, false},
                {"a half-mist house", "mist", true}};
    for (size_t i = 0; i < CHECK_COUNT(rows); i++) {
        Notes *notes = notes_new(arena, 10);
        notes_add(notes, SEVERITY_ERROR, "depth", nowhere, "%s", rows[i].message)->found = rows[i].found;
        bool told = strstr(as_text(notes), "\n    found   ") != NULL;
        if (told != rows[i].row) fail_msg("%s, found %s: row %d", rows[i].message, rows[i].found, told);
    }
}

static void an_empty_reason_is_no_row(void **state)
{
    Notes *notes = notes_new(*state, 10);
    Note *note = notes_add(notes, SEVERITY_ERROR, "depth", nowhere, "too deep");
    note->because = note->instead = note->cite = note->also = note->found = note->allowed = "";
    assert_string_equal(as_text(notes), "error: too deep [depth]\n\n");
}

/* Quoted line and marks, without the line before and the blank one behind. */
static void assert_quoted(Arena *arena, const char *line, const char *words, const char *wanted)
{
    Notes *notes = notes_new(arena, 10);
    notes_add(notes, SEVERITY_ERROR, "depth", span_of(text_of(arena, "a", line), words), "wrong");
    const char *text = as_text(notes);
    assert_string_equal(strchr(text, '\n') + 1, arena_print(arena, "%s\n\n", wanted));
}

static void marks_stand_under_the_characters(void **state)
{
    Arena *arena = *state;
    assert_quoted(arena, "depth 30 mm", "30 mm", "    depth 30 mm\n          ^^^^^");
    assert_quoted(arena, "\tdepth\t30 mm\r\n", "30 mm", "     depth 30 mm\n           ^^^^^");
    assert_quoted(arena, "wei\xc3\x9f\xe2\x82\xac \xc3\xbc\xc3\xb6 x", "\xc3\xbc\xc3\xb6",
                  "    wei\xc3\x9f\xe2\x82\xac \xc3\xbc\xc3\xb6 x\n          ^^");
    assert_quoted(arena, "stick {\n  depth\n}", "{\n  depth\n}",
                  "    stick {\n          ^"); /* the first line of it */
    assert_quoted(arena, "ends", "", "    ends\n    ^");
}

static void a_mark_behind_the_end_is_one(void **state)
{
    Notes *notes = notes_new(*state, 10);
    Text *text = text_of(*state, "a", "depth");
    notes_add(notes, SEVERITY_ERROR, "syntax", (Span){text, 5, 5}, "a value is missing");
    assert_string_equal(as_text(notes),
                        "a:1:6: error: a value is missing [syntax]\n    depth\n         ^\n\n");
}

/* Of long lines: what stands above the marks is what was marked, and the terminal's width is kept. */
static void a_long_line_is_cut_around_its_place(void **state)
{
    Arena *arena = *state;
    for (size_t place = 0; place < 500; place += 7) {
        char *line = arena_alloc(arena, 501);
        for (size_t i = 0; i < 500; i++) line[i] = (char)('a' + i % 20);
        memcpy(line + place, "XYZ", place < 497 ? 3 : 500 - place);
        Notes *notes = notes_new(arena, 10);
        Text *text = text_new(arena, "a", arena_copy(arena, line, 500), 500, 1);
        uint32_t begin = (uint32_t)place, end = begin < 497 ? begin + 3 : 500;
        notes_add(notes, SEVERITY_ERROR, "depth", (Span){text, begin, end}, "wrong");
        const char *quoted = strchr(as_text(notes), '\n') + 1;
        const char *marks = strchr(quoted, '\n') + 1;
        size_t column = strspn(marks, " ");
        assert_true(marks - quoted <= 111);
        assert_int_equal(strspn(marks + column, "^"), end - begin);
        assert_memory_equal(quoted + column, "XYZ", end - begin);
    }
}

static void a_long_span_is_cut(void **state)
{
    Arena *arena = *state;
    char *line = arena_alloc(arena, 4001);
    memset(line, 'x', 4000);
    Notes *notes = notes_new(arena, 10);
    notes_add(notes, SEVERITY_ERROR, "depth", (Span){text_new(arena, "a", line, 4000, 1), 0, 4000}, "wrong");
    const char *quoted = strchr(as_text(notes), '\n') + 1;
    assert_int_equal(strcspn(quoted, "\n"), 4 + 100 + 3);
    assert_int_equal(times(quoted, "^"), 100);
}

static void other_peoples_text_cannot_steer(void **state)
{
    Arena *arena = *state;
    Notes *notes = notes_new(arena, 10);
    Text *text = text_of(arena, "a\x1b[2J.heel", "say \"\x1b]0;\xe2\x80\xae\"\n");
    Note *note = notes_add(notes, SEVERITY_ERROR, "say", span_of(text, "say"), "wrong \x07 word");
    note->because = "\xe2\x80\xae\x9b";
    note->found = note->allowed = note->instead = note->cite = note->also = "\x1b[1m";
    note_place(note, span_of(text, "\x1b"), "the protocol says");
    const char *written_text = as_text(notes);
    for (const char *c = written_text; *c; c++)
        if (((unsigned char)*c < 0x20 && *c != '\n') || (unsigned char)*c >= 0x7f)
            fail_msg("byte %02x in:\n%s", (unsigned char)*c, written_text);
    assert_has(written_text, "a\\x1b[2J.heel:1:1: error: wrong \\x07 word [say]\n");
    assert_has(written_text, "    because \\u{202e}\\x9b\n");
    assert_has(written_text, "    the protocol says: a\\x1b[2J.heel:1:6\n");
    assert_int_equal(times(written_text, "\\x1b[1m\n"), 5);
}

static void colours_come_only_when_asked_for(void **state)
{
    Arena *arena = *state;
    Notes *notes = notes_new(arena, 10);
    Text *plan = text_of(arena, "a", "30 mm 40 mm 50 mm\n");
    notes_add(notes, SEVERITY_ERROR, "x", span_of(plan, "30"), "wrong");
    notes_add(notes, SEVERITY_WARNING, "y", span_of(plan, "40"), "wrong");
    notes_add(notes, SEVERITY_NOTE, "z", span_of(plan, "50"), "wrong");
    assert_lacks(as_text(notes), "\033");
    const char *text = written(report_write_text, (Report){.notes = notes, .color = true});
    assert_has(text, "a:1:1: \033[31merror\033[0m: wrong [x]\n");
    assert_has(text, "\n    \033[31m^^\033[0m\n");
    assert_has(text, "a:1:7: \033[33mwarning\033[0m: wrong [y]\n");
    assert_has(text, "a:1:13: \033[36mnote\033[0m: wrong [z]\n");
    assert_int_equal(times(text, "\033["), 2 * (2 + 2 + 1));
}

static void of_one_file_a_hundred_are_shown(void **state)
{
    Arena *arena = *state;
    Notes *notes = notes_new(arena, 1000);
    Text *plan = text_of(arena, "plan.heel", "a\n");
    for (int i = 0; i < 103; i++) notes_add(notes, SEVERITY_NOTE, "x", span_of(plan, "a"), "wrong");
    for (uint32_t i = 0; i < 130; i++) /* each row of a table is a text of its own */
        notes_add(notes, SEVERITY_NOTE, "x", (Span){text_new(arena, "plan.csv", "B1", 2, i + 2), 0, 2},
                  "wrong");
    notes_add(notes, SEVERITY_NOTE, "x", nowhere, "wrong");
    const char *text = as_text(notes);
    assert_int_equal(times(text, "plan.heel:"), 100);
    assert_int_equal(times(text, "plan.csv:"), 100);
    assert_has(text, "plan.csv:101:1: note");
    assert_lacks(text, "plan.csv:102:1: note");
    assert_int_equal(times(text, "\nnote: wrong [x]\n"), 1);
    assert_has(text, "\nand 33 more; a file's first 100 are shown, --format json lists all\n\n");
    assert_lacks(text, "counted and not shown");
}

static void what_was_dropped_is_counted(void **state)
{
    Notes *notes = notes_new(*state, 2);
    for (int i = 0; i < 5; i++) notes_add(notes, SEVERITY_WARNING, "x", nowhere, "wrong");
    assert_has(as_text(notes), "\nand 3 more that are counted and not shown\n\n");
    assert_has(as_json(notes, 0), "\"dropped\": 3,");
    assert_has(as_json(notes, 0), "\"warnings\": 5,");
}

static void the_last_line_counts(void **state)
{
    Notes *notes = notes_new(*state, 10);
    for (int i = 0; i < 3; i++) notes_add(notes, SEVERITY_ERROR, "x", nowhere, "wrong");
    notes_add(notes, SEVERITY_WARNING, "x", nowhere, "wrong");
    Summary summary = {.files = 12,
                       .protocols = 1,
                       .batches = 1234567,
                       .rules = 41,
                       .held = 1200,
                       .broken = 20,
                       .undecided = 14};
    const char *text = written(report_write_text, (Report){.notes = notes, .summary = &summary});
    assert_has(text,
               "\n\n12 files, 1 protocol, 1,234,567 batches, 41 rules; 1,234 checks: 1,200 held, 20 broken, "
               "14 undecided; 3 errors, 1 warning, 0 notes\n");
    assert_true(text[strlen(text) - 1] == '\n' && !strncmp(text + strlen(text) - 9, " 0 notes\n", 9));

    summary = (Summary){.files = 1, .held = 1000000, .refused = 2, .accepted = 1, .judged_off = 3};
    text = written(report_write_text, (Report){.notes = notes_new(*state, 1), .summary = &summary});
    assert_string_equal(
        text,
        "1 file, 0 protocols, 0 batches, 0 rules; 1,000,000 checks: 1,000,000 held, 0 broken, 2 refused; "
        "0 errors, 0 warnings, 0 notes; 1 accepted, 3 switched off\n");
}

/* ------------------------------------------------------------------ JSON */

static void json_has_every_part(void **state)
{
    Arena *arena = *state;
    Notes *notes = notes_new(arena, 10);
    Text *plan = text_of(arena, "pl\xc3\xa4n \"1\".heel", "batch B1 {\n  \xc3\xbc depth 30 mm }\n");
    Text *rules = text_of(arena, "rules/a.heel", "rule deep\n");
    rules->built_in = true;
    Note *note = add_depth(notes, span_of(plan, "30 mm"));
    note->because = "deep\tstems \\ rot";
    note->instead = "";
    note->cite = "NB3";
    note->also = "deep, deep-leafy";
    note_place(note, nowhere, "nowhere");
    note_place(note, span_of(rules, "rule deep"), "the rule");
    Summary summary = {1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12};
    const char *text = written(report_write_json, (Report){.notes = notes, .summary = &summary, .status = 1});
    assert_string_equal(text, "{\n"
                              "  \"version\": 1,\n"
                              "  \"tool\": \"heelcut\",\n"
                              "  \"command\": \"check\",\n"
                              "  \"status\": 1,\n"
                              "  \"findings\": [\n"
                              "    {\n"
                              "      \"severity\": \"error\",\n"
                              "      \"name\": \"depth\",\n"
                              "      \"subject\": \"B1\",\n"
                              "      \"field\": \"depth\",\n"
                              "      \"value\": \"30\",\n"
                              "      \"message\": \"depth 30 mm is outside what is allowed: 12 .. 25 mm\",\n"
                              "      \"found\": \"30 mm\",\n"
                              "      \"allowed\": \"12 .. 25 mm\",\n"
                              "      \"because\": \"deep\\tstems \\\\ rot\",\n"
                              "      \"instead\": null,\n"
                              "      \"cite\": \"NB3\",\n"
                              "      \"also\": [\n"
                              "        \"deep\",\n"
                              "        \"deep-leafy\"\n"
                              "      ],\n"
                              "      \"file\": \"pl\xc3\xa4n \\\"1\\\".heel\",\n"
                              "      \"line\": 2,\n"
                              "      \"column\": 11,\n"
                              "      \"end_line\": 2,\n"
                              "      \"end_column\": 16,\n"
                              "      \"places\": [\n"
                              "        {\n"
                              "          \"label\": \"the rule\",\n"
                              "          \"file\": \"rules/a.heel\",\n"
                              "          \"line\": 1,\n"
                              "          \"column\": 1,\n"
                              "          \"end_line\": 1,\n"
                              "          \"end_column\": 10,\n"
                              "          \"built_in\": true\n"
                              "        }\n"
                              "      ]\n"
                              "    }\n"
                              "  ],\n"
                              "  \"dropped\": 0,\n"
                              "  \"summary\": {\n"
                              "    \"files\": 1,\n"
                              "    \"protocols\": 2,\n"
                              "    \"batches\": 3,\n"
                              "    \"rules\": 4,\n"
                              "    \"no_subject\": 5,\n"
                              "    \"checks\": 21,\n"
                              "    \"held\": 6,\n"
                              "    \"broken\": 7,\n"
                              "    \"undecided\": 8,\n"
                              "    \"refused\": 9,\n"
                              "    \"accepted\": 10,\n"
                              "    \"switched_off\": 11,\n"
                              "    \"in_baseline\": 12,\n"
                              "    \"errors\": 1,\n"
                              "    \"warnings\": 0,\n"
                              "    \"notes\": 0\n"
                              "  }\n"
                              "}\n");
}

static void json_says_null_for_what_is_not_known(void **state)
{
    Notes *notes = notes_new(*state, 10);
    notes_add(notes, SEVERITY_ERROR, "use", nowhere, "gone.heel cannot be read");
    const char *text = as_json(notes, 2);
    static const char *const parts[] = {"subject", "field",   "value",   "found",
                                        "allowed", "because", "instead", "cite"};
    for (size_t i = 0; i < CHECK_COUNT(parts); i++)
        assert_has(text, arena_print(*state, "\n      \"%s\": null,\n", parts[i]));
    assert_has(text, "\"also\": [],");
    assert_has(text, "\"file\": \"\",\n      \"line\": 0,\n      \"column\": 0,\n      \"end_line\": 0,\n    "
                     "  \"end_column\": 0,");
    assert_has(text, "\"places\": []");
    assert_has(text, "\"status\": 2,");
}

/* ------------------------------------------------------------------ SARIF */

static void sarif_puts_the_most_severe_first(void **state)
{
    Notes *notes = notes_new(*state, 10);
    Text *plan = text_of(*state, "a", "1 2 3 4\n");
    notes_add(notes, SEVERITY_NOTE, "n", span_of(plan, "1"), "first");
    notes_add(notes, SEVERITY_ERROR, "e", span_of(plan, "3"), "third");
    notes_add(notes, SEVERITY_WARNING, "w", span_of(plan, "2"), "second");
    notes_add(notes, SEVERITY_ERROR, "e", span_of(plan, "4"), "fourth");
    const char *text = strstr(as_sarif(notes), "\"results\"");
    assert_in_order(text, "\"third.\"", "\"fourth.\"");
    assert_in_order(text, "\"fourth.\"", "\"second.\"");
    assert_in_order(text, "\"second.\"", "\"first.\"");
    assert_in_order(text, "\"level\": \"warning\"", "\"level\": \"note\"");
}

/* The uri that a file's name becomes; RFC 3986 says which characters stay. */
static void sarif_writes_paths_as_references(void **state)
{
    Arena *arena = *state;
    static const struct {
        const char *name, *uri;
        bool built_in;
    } rows[] = {
        {"plans/2027-a_b~.heel", "plans/2027-a_b~.heel", false},
        {"././plan.heel", "plan.heel", false},
        {"b\xc3\xa4ume, 50 %.csv", "b%C3%A4ume%2C%2050%20%25.csv", false},
        {"a:b#c?d.heel", "a%3Ab%23c%3Fd.heel", false},
        {"/srv/a b.heel", "file:///srv/a%20b.heel", false},
        {"rules/mist.heel", "heelcut/rules/mist.heel", true},
        {"-", "standard-input", false},
    };
    for (size_t i = 0; i < CHECK_COUNT(rows); i++) {
        Notes *notes = notes_new(arena, 10);
        Text *text = text_of(arena, rows[i].name, "depth");
        text->built_in = rows[i].built_in;
        notes_add(notes, SEVERITY_ERROR, "x", span_of(text, "depth"), "wrong");
        assert_has(as_sarif(notes), arena_print(arena, "\"uri\": \"%s\"\n", rows[i].uri));
    }
}

/* Hosts refuse a result that has no place. */
static void sarif_gives_every_result_a_place(void **state)
{
    Notes *notes = notes_new(*state, 10);
    notes_add(notes, SEVERITY_ERROR, "use", nowhere, "gone.heel cannot be read");
    const char *text = as_sarif(notes);
    assert_has(text, "\"uri\": \"command-line\"");
    assert_has(text, "\"startLine\": 1,");
    assert_has(text, "\"startColumn\": 1,");
    assert_has(text, "\"endLine\": 1,");
    assert_has(text, "\"endColumn\": 2\n");
    assert_has(text, "\"relatedLocations\": []");
}

static void sarif_counts_columns_in_characters(void **state)
{
    Notes *notes = notes_new(*state, 10);
    Text *plan = text_of(*state, "a", "\n\xc3\xbc\xe2\x82\xac\t30 mm\n");
    Note *note = notes_add(notes, SEVERITY_ERROR, "x", span_of(plan, "30 mm"), "wrong");
    note_place(note, span_of(plan, "\xe2\x82\xac"), "the protocol says");
    const char *text = as_sarif(notes);
    assert_has(text, "\"columnKind\": \"unicodeCodePoints\"");
    assert_has(text, "\"startColumn\": 4,");
    assert_has(text, "\"endColumn\": 9\n");
    const char *related = strstr(text, "\"relatedLocations\"");
    assert_has(related, "\"text\": \"the protocol says\"");
    assert_has(related, "\"startColumn\": 2,");
    assert_has(related, "\"endColumn\": 3\n");
}

static void a_span_ends_on_its_own_line(void **state)
{
    Notes *notes = notes_new(*state, 10);
    Text *plan = text_of(*state, "a", "\n  stick {\n    depth\n  }\n");
    notes_add(notes, SEVERITY_ERROR, "x", span_of(plan, "stick {\n    depth\n  }"), "wrong");
    assert_has(as_json(notes, 1),
               "\"line\": 2,\n      \"column\": 3,\n      \"end_line\": 4,\n      \"end_column\": 4,");
    const char *text = as_sarif(notes);
    assert_has(text, "\"startLine\": 2,");
    assert_has(text, "\"startColumn\": 3,");
    assert_has(text, "\"endLine\": 4,");
    assert_has(text, "\"endColumn\": 4\n");
}

static void sarif_speaks_in_whole_sentences(void **state)
{
    static const struct {
        const char *message, *because, *instead, *cite, *text;
    } rows[] = {
        {"too deep", NULL, NULL, NULL, "too deep."},
        {"too deep.", "", "", "", "too deep."},
        {"is it deep?", "it rots", NULL, NULL, "is it deep? Because it rots."},
        {"too deep: 12 .. 25 mm", "of 1 .. 2", "Stick higher!", "NB3",
         "too deep: 12 to 25 mm. Because of 1 .. 2. Instead: Stick higher! Source: NB3."},
    };
    for (size_t i = 0; i < CHECK_COUNT(rows); i++) {
        Notes *notes = notes_new(*state, 10);
        Note *note = notes_add(notes, SEVERITY_ERROR, "house-rule", nowhere, "%s", rows[i].message);
        note->because = rows[i].because;
        note->instead = rows[i].instead;
        note->cite = rows[i].cite;
        const char *text = as_sarif(notes);
        assert_has(strstr(text, "\"results\""), arena_print(*state, "\"text\": \"%s\"\n", rows[i].text));
        assert_lacks(text, "\"text\": \"\""); /* for one empty text a host refuses the file */
    }
}

static void sarif_describes_each_check_once(void **state)
{
    Notes *notes = notes_new(*state, 10);
    Note *note = add_depth(notes, nowhere);
    note->because = "this one's stems rot";
    add_depth(notes, nowhere);
    notes_add(notes, SEVERITY_ERROR, "syntax", nowhere, "here it stops");
    note = notes_add(notes, SEVERITY_WARNING, "house-rule", nowhere, "we do not do that");
    note->because = "we lost a house";
    note->instead = "ask first";
    const char *text = as_sarif(notes), *results = strstr(text, "\"results\"");
    const char *rules = arena_copy(notes_arena(notes), text, (size_t)(results - text));
    assert_int_equal(times(rules, "\"id\""), 3);
    assert_int_equal(times(rules, "\"id\": \"depth\""), 1);
    assert_has(rules, "\"text\": \"How deep it is stuck.\"");         /* of grammar/vocabulary.def */
    assert_lacks(rules, "stems rot");                                 /* is one protocol's reason */
    assert_has(rules, "\"text\": \"The text cannot be read here.\""); /* of grammar/findings.def */
    assert_has(rules, "\"text\": \"we do not do that.\"");
    assert_has(rules, "\"text\": \"we lost a house.\"");
    assert_has(rules, "\"text\": \"ask first.\"");
    assert_int_equal(times(rules, "\"level\": \"warning\""), 1);
    assert_int_equal(times(rules, "\"level\": \"error\""), 2);
    assert_in_order(results, "\"ruleId\": \"depth\",\n          \"ruleIndex\": 0", "\"ruleIndex\": 1");
    assert_has(results, "\"ruleId\": \"house-rule\",\n          \"ruleIndex\": 2");
}

/* The fingerprints of a report, in its order. */
static size_t fingerprints(const char *text, char hash[][24], size_t room)
{
    static const char key[] = "\"primaryLocationLineHash\": \"";
    size_t count = 0;
    for (const char *at = text; count < room && (at = strstr(at, key)); count++) {
        at += sizeof key - 1;
        snprintf(hash[count], sizeof hash[count], "%.*s", (int)strcspn(at, "\""), at);
    }
    return count;
}

/* Sums worked out by a program of their own, with the offset and prime that the makers of FNV publish
 * (http://www.isthe.com/chongo/tech/comp/fnv/, 64 bits, FNV-1a). */
static void fingerprints_outlive_moving_and_respelling(void **state)
{
    Arena *arena = *state;
    Notes *notes = notes_new(arena, 10);
    Text *plan = text_of(arena, "a", "30 mm\n\n\n   3 cm\n");
    add_depth(notes, span_of(plan, "30 mm"));
    Note *note = add_depth(notes, span_of(plan, "3 cm"));
    note->message = "depth 3 cm is outside what is allowed";
    note->found = "3 cm";
    add_depth(notes, nowhere)->subject = "B2";
    note = add_depth(notes, nowhere); /* parts do not run into each other */
    note->subject = "B1d";
    note->field = "epth";
    add_depth(notes, nowhere)->value = "31";
    char hash[8][24];
    assert_int_equal(fingerprints(as_sarif(notes), hash, 8), 5);
    assert_string_equal(hash[0], "1ecd6d6038ce71a3:1");
    assert_string_equal(hash[1], "1ecd6d6038ce71a3:2"); /* the second of one kind is another finding */
    for (size_t i = 1; i < 5; i++)
        for (size_t j = i + 1; j < 5; j++) assert_int_not_equal(strncmp(hash[i], hash[j], 16), 0);
    for (size_t i = 2; i < 5; i++) assert_string_equal(hash[i] + 16, ":1");
}

static void sarif_stops_at_five_thousand(void **state)
{
    static char hash[5100][24];
    for (int more = 0; more < 3; more++) {
        Notes *notes = notes_new(*state, 6000);
        for (int i = 0; i < 5000 + more; i++)
            notes_add(notes, i < 4999 ? SEVERITY_NOTE : SEVERITY_ERROR, "x", nowhere, "wrong");
        const char *text = as_sarif(notes);
        assert_int_equal(times(text, "\"ruleId\""), 5000);
        assert_int_equal(times(strstr(text, "\"results\""), "\"level\": \"error\""), 1 + more);
        assert_has(text, "\"executionSuccessful\": true");
        if (more)
            assert_has(
                text,
                arena_print(*state, "\"text\": \"%d more findings are counted and not listed here.\"", more));
        else
            assert_lacks(text, "toolExecutionNotifications");
        assert_int_equal(fingerprints(text, hash, CHECK_COUNT(hash)), 5000);
        assert_string_equal(hash[4999] + 16, ":5000");
    }
}

static void sarif_tells_a_run_that_failed(void **state)
{
    Report report = {.notes = notes_new(*state, 1), .summary = &nothing_done, .status = 2};
    assert_has(written(report_write_sarif, report), "\"executionSuccessful\": false");
    assert_has(written(report_write_sarif, report), "\"results\": []");
    report.status = 1;
    assert_has(written(report_write_sarif, report), "\"executionSuccessful\": true");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        CHECK_WITH_ARENA(an_error_shows_both_places),
        CHECK_WITH_ARENA(a_note_is_short),
        CHECK_WITH_ARENA(values_are_told_once),
        CHECK_WITH_ARENA(an_empty_reason_is_no_row),
        CHECK_WITH_ARENA(marks_stand_under_the_characters),
        CHECK_WITH_ARENA(a_mark_behind_the_end_is_one),
        CHECK_WITH_ARENA(a_long_line_is_cut_around_its_place),
        CHECK_WITH_ARENA(a_long_span_is_cut),
        CHECK_WITH_ARENA(other_peoples_text_cannot_steer),
        CHECK_WITH_ARENA(colours_come_only_when_asked_for),
        CHECK_WITH_ARENA(of_one_file_a_hundred_are_shown),
        CHECK_WITH_ARENA(what_was_dropped_is_counted),
        CHECK_WITH_ARENA(the_last_line_counts),
        CHECK_WITH_ARENA(json_has_every_part),
        CHECK_WITH_ARENA(json_says_null_for_what_is_not_known),
        CHECK_WITH_ARENA(sarif_puts_the_most_severe_first),
        CHECK_WITH_ARENA(sarif_writes_paths_as_references),
        CHECK_WITH_ARENA(sarif_gives_every_result_a_place),
        CHECK_WITH_ARENA(sarif_counts_columns_in_characters),
        CHECK_WITH_ARENA(a_span_ends_on_its_own_line),
        CHECK_WITH_ARENA(sarif_speaks_in_whole_sentences),
        CHECK_WITH_ARENA(sarif_describes_each_check_once),
        CHECK_WITH_ARENA(fingerprints_outlive_moving_and_respelling),
        CHECK_WITH_ARENA(sarif_stops_at_five_thousand),
        CHECK_WITH_ARENA(sarif_tells_a_run_that_failed),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
