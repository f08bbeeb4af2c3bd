/* model/plan: batches as columns, from blocks and from CSV. A cell has to mean what the same clause means in
 * a block, and every fault has to be told at its line and column. A fault is written here as "line:column
 * name <what is pointed at>". */
#include "check.h"

#include "base/buffer.h"
#include "model/plan.h"
#include "syntax/read.h"

/* ------------------------------------------------------------------ a nursery and a table */

static const char base[] = "nursery small { language 1 }\n"
                           "site yard { latitude 51 deg }\n"
                           "place bench { site yard; enclosure mist }\n"
                           "place tent { site yard; enclosure tent }\n"
                           "container tray-77 { cells 77 }\n"
                           "variety white-mophead { species Hydrangea macrophylla }\n"
                           "protocol tips { for Hydrangea macrophylla; stage root { lasts 4 weeks }; stage "
                           "grow { lasts 2 weeks } }\n"
                           "batch B1 { follow tips; depth 15 mm; stands bench; stands tent from grow }\n"
                           "record R1 { 18 Jun 2027 stuck 50 }\n";

static Nursery *nursery_of(Arena *arena, const char *more, size_t keep)
{
    Notes *notes = notes_new(arena, keep);
    Nursery *nursery = nursery_new(arena, notes);
    const char *source = arena_print(arena, "%s%s", base, more);
    Text *text = text_new(arena, "n.heel", source, (uint32_t)strlen(source), 1);
    nursery_add(nursery, syntax_read(arena, text, notes), false);
    nursery_finish(nursery);
    return nursery;
}

typedef struct Source {
    const char *bytes;
    size_t length, at, step;
    bool fails;
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

static Source *source_of(Arena *arena, const char *text)
{
    Source *source = ARENA_NEW(arena, Source);
    *source = (Source){.bytes = text, .length = strlen(text)};
    return source;
}

static PlanTable *table_of(Nursery *nursery, const char *text)
{
    return plan_table_open(nursery, "p.csv", give, source_of(nursery->arena, text), check_exhausted);
}

static const Reading *cell_of(const Plan *plan, size_t row, const char *field)
{
    return plan_cell(plan, row, field_find(slice_of(field), BLOCK_BATCH));
}

/* ------------------------------------------------------------------ faults */

static void write_place(Buffer *out, Span span)
{
    if (!span.text) {
        buffer_text(out, "nowhere");
        return;
    }
    Position at = text_position(span.text, span.begin);
    buffer_print(out, "%u:%u", at.line, at.column);
}

static const char *faults_of(Nursery *nursery, size_t skip)
{
    Buffer *out = buffer_in_memory(nursery->arena);
    size_t count;
    Note *const *notes = notes_sorted(nursery->notes, &count);
    for (size_t i = skip; i < count; i++) {
        const Note *note = notes[i];
        assert_int_equal(note->severity, SEVERITY_ERROR);
        if (note->place[0].span.text) assert_string_equal(note->place[0].span.text->name, "p.csv");
        write_place(out, note->place[0].span);
        buffer_print(out, " %s%s <", note->name, note->fatal ? "!" : "");
        buffer_slice(out, span_slice(note->place[0].span));
        buffer_text(out, ">");
        for (unsigned place = 1; place < note->places; place++) {
            buffer_text(out, " ");
            write_place(out, note->place[place].span);
        }
        buffer_text(out, "\n");
    }
    Slice all = buffer_slice_of(out);
    return arena_copy(nursery->arena, all.at, all.length);
}

typedef struct Outcome {
    Nursery *nursery;
    size_t rows;
    const char *ids; /* with a blank behind each */
    const char *faults;
} Outcome;

static Outcome outcome_of(Arena *arena, Source source)
{
    Nursery *nursery = nursery_of(arena, "", 100);
    Outcome outcome = {.nursery = nursery};
    Buffer *ids = buffer_in_memory(arena);
    assert_int_equal(notes_total(nursery->notes), 0);
    PlanTable *table = plan_table_open(nursery, "p.csv", give, &source, check_exhausted);
    for (const Plan *plan; (plan = plan_table_next(table));) {
        outcome.rows += plan->rows;
        for (size_t row = 0; row < plan->rows; row++) {
            buffer_slice(ids, plan->ids[row]);
            buffer_text(ids, " ");
        }
    }
    assert_null(plan_table_next(table));
    assert_int_equal(plan_table_failed(table), source.fails);
    plan_table_close(table);
    Slice all = buffer_slice_of(ids);
    outcome.ids = arena_copy(arena, all.at, all.length);
    outcome.faults = faults_of(nursery, 0);
    return outcome;
}

/* The rows that are left, and what is told, at once and byte by byte. */
static void expect_bytes(Arena *arena, const char *bytes, size_t length, const char *ids, const char *faults)
{
    for (size_t step = 0; step < 2; step++) {
        Outcome outcome = outcome_of(arena, (Source){bytes, length, 0, step, false});
        assert_string_equal(outcome.faults, faults);
        assert_string_equal(outcome.ids, ids);
    }
}

static void expect(Arena *arena, const char *text, const char *ids, const char *faults)
{
    expect_bytes(arena, text, strlen(text), ids, faults);
}

static const char *message_of(const Nursery *nursery, size_t index)
{
    size_t count;
    Note *const *notes = notes_sorted(nursery->notes, &count);
    assert_true(index < count);
    return notes[index]->message;
}

static void expect_message(Arena *arena, const char *text, const char *message)
{
    Outcome outcome = outcome_of(arena, *source_of(arena, text));
    assert_string_equal(message_of(outcome.nursery, 0), message);
}

/* ------------------------------------------------------------------ what cells mean */

typedef struct Pair {
    const char *heading, *cell, *clauses;
} Pair;

static void expect_same(Arena *arena, Pair pair)
{
    ArenaMark before = arena_mark(arena);
    size_t name_length = strcspn(pair.heading, " ");
    Slice name = {pair.heading, name_length};
    const Field *field = field_find(name, BLOCK_BATCH);
    Nursery *nursery =
        nursery_of(arena, arena_print(arena, "batch X { follow tips; %s }\n", pair.clauses), 100);
    if (notes_total(nursery->notes)) fail_msg("%s: %s", pair.clauses, message_of(nursery, 0));
    const Plan *blocks = plan_of_blocks(nursery);
    const Reading *wanted = plan_cell(blocks, 1, field);
    assert_true(slice_is(blocks->ids[1], "X"));
    assert_non_null(wanted);
    bool is_follow = field == FIELD_ROW(FOLLOW);
    const char *text = arena_print(arena, "batch,%s%s\nH1,%s%s\n", pair.heading, is_follow ? "" : ",follow",
                                   pair.cell, is_follow ? "" : ",tips");
    PlanTable *table = table_of(nursery, text);
    const Plan *plan = plan_table_next(table);
    assert_non_null(plan);
    const Reading *reading = plan_cell(plan, 0, field);
    if (notes_total(nursery->notes)) fail_msg("%s: %s", pair.cell, message_of(nursery, 0));
    if (!reading || !reading_equal(reading, wanted)) fail_msg("%s is not %s", pair.cell, pair.clauses);
    assert_true(reading->unit == wanted->unit);
    plan_table_close(table);
    arena_release(arena, before);
}

static void test_cells_are_clauses(void **state)
{
    static const Pair pairs[] = {
        {"follow", "tips", "depth 1 mm"},
        {"plant", "Hydrangea macrophylla", "plant Hydrangea macrophylla"},
        {"plant", "white-mophead", "plant white-mophead"},
        {"plant", "\"Hydrangea macrophylla \"\"early, white\"\"\"",
         "plant Hydrangea macrophylla \"early, white\""},
        {"stick", "2027-06-18", "stick 18 Jun 2027"},
        {"stick", "2027-12-18", "stick 18 Dec 2027"},
        {"stick", "18 Jun 2027", "stick 2027-06-18"},
        {"stick", "18 Jun 2027 .. 20 Jun 2027", "stick 18 Jun 2027 .. 20 Jun 2027"},
        {"depth (mm)", "15", "depth 15 mm"},
        {"depth (mm)", "12.50", "depth 12.5 mm"},
        {"depth (mm)", "12 .. 25", "depth 12 .. 25 mm"},
        {"depth (mm)", "1/2 in", "depth 1/2 in"},
        {"depth ( mm )", "15", "depth 15 mm"},
        {"depth", "1 1/2 in", "depth 1 1/2 in"},
        {"leaf-length (cm)", "\"12\"", "leaf-length 12 cm"},
        {"leaf-trim (%)", "50", "leaf-trim 50 %"},
        {"hold-temperature (F)", "40", "hold-temperature 40 F"},
        {"hold-temperature (C)", "-2", "hold-temperature -2 C"},
        {"soak (min)", "30", "soak 30 min"},
        {"leaves", "2", "leaves 2"},
        {"leaves", "none", "leaves none"},
        {"count", "308", "count 308"},
        {"pH", "5.5", "pH 5.5"},
        {"want", "200 by 1 Apr 2028", "want 200 by 1 Apr 2028"},
        {"hormone", "IBA 1000 ppm quick-dip 5 s", "hormone IBA 1000 ppm quick-dip 5 s"},
        {"hormone", "none", "hormone none"},
        {"dilution", "1 in 10", "dilution 1 in 10"},
        {"medium", "1 peat : 2 perlite", "medium 1 peat : 2 perlite"},
        {"wood", "\"softwood, semi-hardwood\"", "wood softwood, semi-hardwood"},
        {"into", "tray-77", "into tray-77"},
        {"spacing", "4 x 5 cm", "spacing 4 x 5 cm"},
        {"stands", "bench", "stands bench"},
        {"stands", "bench; tent from grow", "stands bench; stands tent from grow"},
        {"material", "mother-row-3", "material mother-row-3"},
        {"enclosure", "\tmist ", "enclosure mist"},
    };
    for (size_t i = 0; i < CHECK_COUNT(pairs); i++) expect_same(*state, pairs[i]);
}

/* Numbers without a unit are read without the parser: in every column that takes them. */
static void test_plain_numbers(void **state)
{
    Arena *arena = *state;
    size_t tried = 0;
    for (size_t i = 0; i < field_count; i++) {
        const Field *field = &field_table[i];
        if (!field_stands_in(field, BLOCK_BATCH) || !(field->flags & FIELD_COLUMN)) continue;
        if (field->type != TYPE_QUANTITY) continue;
        const char *unit = field->dimension == DIM_NONE ? "" : unit_base(field->dimension)->spelling;
        const char *bracket = *unit ? arena_print(arena, " (%s)", unit) : "";
        const char *number = field->dimension == DIM_SHARE ? "0.5" : "5";
        if (field->dimension == DIM_SHARE) { /* the base unit of shares has no spelling of its own */
            unit = "%";
            bracket = " (%)";
        }
        expect_same(arena, (Pair){arena_print(arena, "%s%s", field->spelling, bracket), number,
                                  arena_print(arena, "%s %s %s", field->spelling, number, unit)});
        tried++;
    }
    assert_true(tried > 15);
}

static void test_unstated(void **state)
{
    Arena *arena = *state;
    Nursery *nursery = nursery_of(arena, "", 100);
    PlanTable *table = table_of(nursery, "batch,follow,depth (mm),count\nH1,tips,,\nH2,tips,\"\", \n");
    const Plan *plan = plan_table_next(table);
    assert_int_equal(plan->rows, 2);
    for (size_t row = 0; row < 2; row++) {
        assert_null(cell_of(plan, row, "depth"));
        assert_null(cell_of(plan, row, "count"));
        assert_non_null(cell_of(plan, row, "follow"));
        assert_null(cell_of(plan, row, "stick")); /* no such column */
    }
    assert_null(plan->blocks);
    plan_table_close(table);
}

/* ------------------------------------------------------------------ the heading */

static void test_headings_wrong(void **state)
{
    Arena *arena = *state;
    expect(arena, "", "", "nowhere syntax! <>\n");
    expect(arena, "\n\r\n", "", "nowhere syntax! <>\n");
    expect(arena, "\xEF\xBB\xBF", "", "nowhere syntax! <>\n");
    expect(arena, "batch,depth (mm)\nH1,1\n", "", "1:1 syntax! <batch,depth (mm)>\n");
    expect(arena, "follow,depth (mm)\ntips,1\n", "", "1:1 syntax! <follow,depth (mm)>\n");
    expect(arena, "batch;follow\nH1;tips\n", "", "1:1 syntax! <batch;follow>\n");
    expect(arena, "batch\tfollow\nH1\ttips\n", "", "1:1 syntax! <batch\tfollow>\n");
    expect(arena, "batch,fol\"low\n", "", "1:10 syntax! <\"low>\n");
    expect(arena, "batch,\"follow\nH1,tips\n", "", "1:7 syntax! <\"follow>\n");
    expect(arena, "batch,f\x01low\n", "", "1:8 syntax! <\x01>\n");
    expect(arena, "batch,follow,dept\nH1,tips,1\n", "H1 ", "1:14 unknown-word <dept>\n");
    expect(arena, "batch,follow,accept\nH1,tips,x\n", "H1 ", "1:14 unknown-word <accept>\n");
    expect(arena, "batch,follow,\nH1,tips,x\n", "H1 ", "1:14 syntax <>\n");
    expect(arena, "batch,follow,count,batch\nH1,tips,1,H2\n", "H1 ", "1:20 duplicate <batch>\n");
    expect(arena, "batch,count,follow,\"count\"\nH1,1,tips,x\n", "H1 ", "1:20 duplicate <\"count\">\n");
    expect(arena, "batch,follow,count (mm)\nH1,tips,1\n", "H1 ", "1:14 value <count (mm)>\n");
    expect(arena, "batch,follow,depth (kg)\nH1,tips,1\nH2,tips,2\n", "H1 H2 ",
           "1:14 value <depth (kg)>\n"); /* told once, not in each row */
    expect_message(arena, "batch,follow,dept (mm)\n", "no field of a batch is called 'dept'");
    expect_message(arena, "batch,follow,depth (kg)\n", "kg is no unit of depth; it takes a length");
    expect_message(arena, "batch;follow\n",
                   "the columns are parted by semicolons; a plan parts them by commas");
}

static void test_heading_of_a_bad_unit_spoils(void **state)
{
    Nursery *nursery = nursery_of(*state, "", 100);
    PlanTable *table = table_of(nursery, "batch,follow,depth (kg)\nH1,tips,1 mm\nH2,tips,\n");
    const Plan *plan = plan_table_next(table);
    assert_ptr_equal(cell_of(plan, 0, "depth"), &reading_spoiled);
    assert_null(cell_of(plan, 1, "depth"));
    plan_table_close(table);
}

static void test_number_of_columns(void **state)
{
    Arena *arena = *state;
    Buffer *most = buffer_in_memory(arena), *faults = buffer_in_memory(arena);
    buffer_text(most, "batch,follow");
    for (int i = 2; i < PLAN_COLUMNS; i++) {
        buffer_print(most, ",x");
        buffer_print(faults, "1:%d unknown-word <x>\n", 14 + 2 * (i - 2));
    }
    const char *heading = arena_copy(arena, buffer_slice_of(most).at, buffer_slice_of(most).length);
    Nursery *nursery = nursery_of(arena, "", 2000);
    PlanTable *table = table_of(nursery, heading);
    assert_null(plan_table_next(table));
    assert_string_equal(faults_of(nursery, 0),
                        arena_copy(arena, buffer_slice_of(faults).at, buffer_slice_of(faults).length));
    plan_table_close(table);
    expect_message(arena, arena_print(arena, "%s,y\n", heading), "a plan has at most 1,000 columns");
}

/* ------------------------------------------------------------------ rows */

static void test_good_tables(void **state)
{
    Arena *arena = *state;
    expect(arena, "batch,follow", "", "");
    expect(arena, "batch,follow\nH1,tips\nH2,tips", "H1 H2 ", "");
    expect(arena, "\xEF\xBB\xBF\"batch\",follow\r\nH1,tips\r\n\r\nH2,tips\r\n", "H1 H2 ", "");
    expect(arena, "\nfollow,batch\ntips,\"H1\"\n", "H1 ", "");
    expect(arena, "batch,follow\n\xC3\xB6l,tips\nx,tips\na-1_b,tips\nmm,tips\n", "\xC3\xB6l x a-1_b mm ", "");
}

static void test_rows_left_out(void **state)
{
    Arena *arena = *state;
    expect(arena, "batch,follow,count\nH1,tips\nH2,tips,1\nH3,tips,1,2,3\n", "H2 ",
           "2:1 syntax <H1,tips>\n4:11 syntax <2,3>\n");
    expect(arena, "batch,follow,count\nH1,tips,5\"\nH2,tips,\"5\"x\nH3,tips,\"5\nH4,tips,1\n", "H4 ",
           "2:10 syntax <\">\n3:12 syntax <x>\n4:9 syntax <\"5>\n");
    expect(arena, "batch,follow,plant\nH1,tips,\"a\nH2,tips,\"b\"\nH3,tips,\n", "H3 ",
           "3:10 syntax <b\"> 2:9\n"); /* and where the quote was opened */
    expect(arena, "batch,follow\nH1,ti\x07ps\nH2,tips\nH3,\xFFtips\nH4,ti\xE2\x80\xAEps\nH5,tips\r", "H2 ",
           "2:6 syntax <\x07>\n4:4 syntax <\xFF>\n5:6 syntax <\xE2\x80\xAE>\n6:8 syntax <\r>\n");
    expect(arena, "batch,follow\nH1,tips\n\xEF\xBB\xBFH2,tips\nH3,tips\n", "H1 H3 ",
           "3:1 syntax <\xEF\xBB\xBF>\n");
    expect_bytes(arena, "batch,follow\nH1,t\0ips\nH2,tips\n", 30, "H2 ", "2:5 syntax <\0>\n");
    expect_message(arena, "batch,follow,count\nH1,tips\n", "there are 2 cells for 3 columns");
    expect_message(arena, "batch,follow\nH1,tips,5,6\n", "there are more cells than the 2 columns");
}

static void test_cell_too_long(void **state)
{
    Arena *arena = *state;
    enum { LONG = 65537 };
    char *cell = arena_alloc(arena, LONG + 1);
    memset(cell, 'x', LONG);
    expect_message(arena, arena_print(arena, "batch,follow,plant\nH1,tips,%s\n", cell),
                   "a cell is longer than 65,536 bytes");
    Outcome outcome = outcome_of(
        arena, *source_of(arena, arena_print(arena, "batch,follow,plant\nH1,tips,\"%s\"\nH2,tips,\n", cell)));
    assert_string_equal(outcome.ids, "H2 ");
    assert_string_equal(message_of(outcome.nursery, 0),
                        "a cell is longer than 65,536 bytes, or the quote here is never closed");
}

static void test_ids(void **state)
{
    Arena *arena = *state;
    expect(
        arena,
        "batch,follow\n,tips\n7,tips\nH 1,tips\nH1-,tips\nH--1,tips\nmust,tips\nH\xC3\x97,tips\nH1.2,tips\n"
        "\"H\n1\",tips\nH1,tips\n",
        "H1 ",
        "2:1 value <>\n3:1 value <7>\n4:1 value <H 1>\n5:1 value <H1->\n6:1 value <H--1>\n7:1 value <must>\n"
        "8:1 value <H\xC3\x97>\n9:1 value <H1.2>\n10:1 value <\"H\n1\">\n");
    expect(arena, "batch,follow\nH1,tips\nH2,tips\n\"H1\",tips\nH1 ,tips\n", "H1 H2 ",
           "4:1 duplicate <\"H1\">\n5:1 duplicate <H1 >\n");
    expect(arena, "batch,follow\nB1,tips\nH2,tips\n", "H2 ", "2:1 duplicate <B1> 8:7\n");
    expect_message(arena, "batch,follow\nH1,tips\nH2,tips\nH1,tips\n",
                   "the batch H1 stands in row 2 already");
    expect_message(arena, "batch,follow\nB1,tips\n", "there is a batch B1 already");
}

/* ------------------------------------------------------------------ cells that cannot be read */

static void test_cells_wrong(void **state)
{
    Arena *arena = *state;
    expect(arena,
           "batch,follow,depth,count,stick\n"
           "H1,tips,15,,\n"
           "H2,tips,15 kg,,\n"
           "H3,tips,\"20 mm .. 10 mm\",,\n"
           "H4,tips,,fifty,\n"
           "H5,tips,,,6/9/2027\n"
           "H6,tips,,,2027-09-31\n"
           "H7,tips,15;16,5 mm,1 1 1\n",
           "H1 H2 H3 H4 H5 H6 H7 ",
           "2:9 value <15>\n3:12 value <kg>\n4:10 value <20 mm .. 10 mm>\n5:10 value <fifty>\n"
           "6:11 syntax <6/9/2027>\n7:11 syntax <2027-09-31>\n8:12 syntax <16>\n8:17 value <mm>\n"
           "8:20 value <1>\n");
    expect_message(arena, "batch,follow,depth\nH1,tips,15\n", "depth takes a length; 15 what? in, cm, mm");
}

static void test_names_unknown(void **state)
{
    Arena *arena = *state;
    expect(arena,
           "batch,follow,into,stands,plant\n"
           "H1,tip,tray-78,bench; tant,white-mopheed\n"
           "H2,tips,tent,tant,\n"
           "H3,,,bench; tent; ten,\n",
           "H1 H2 H3 ",
           "2:4 unknown-word <tip>\n2:8 unknown-word <tray-78>\n2:23 unknown-word <tant>\n"
           "2:28 unknown-word <white-mopheed>\n3:9 unknown-word <tent>\n3:14 unknown-word <tant>\n"
           "4:19 unknown-word <ten>\n");
    Outcome outcome = outcome_of(arena, *source_of(arena, "batch,follow\nH1,tip\n"));
    size_t count;
    const Note *note = notes_sorted(outcome.nursery->notes, &count)[0];
    assert_string_equal(note->message, "there is no protocol 'tip'");
    assert_string_equal(note->instead, "did you mean tips?");
    assert_string_equal(note->subject, "H1");
}

/* The cell is spoiled and every row that has the fault is told of. */
static void test_faults_are_not_remembered(void **state)
{
    Nursery *nursery = nursery_of(*state, "", 100);
    PlanTable *table =
        table_of(nursery, "batch,follow,depth\nH1,tips,15\nH2,nobody,15\nH3,nobody,15\nH4,tips,15 mm\n");
    const Plan *plan = plan_table_next(table);
    for (size_t row = 0; row < 3; row++) assert_ptr_equal(cell_of(plan, row, "depth"), &reading_spoiled);
    assert_ptr_equal(cell_of(plan, 1, "follow"), &reading_spoiled);
    assert_ptr_equal(cell_of(plan, 2, "follow"), &reading_spoiled);
    assert_true(cell_of(plan, 3, "depth") != &reading_spoiled);
    assert_string_equal(faults_of(nursery, 0), "2:9 value <15>\n3:4 unknown-word <nobody>\n3:11 value <15>\n"
                                               "4:4 unknown-word <nobody>\n4:11 value <15>\n");
    plan_table_close(table);
}

/* A fault in a cell of many lines stands in its own line. */
static void test_faults_below_the_first_line(void **state)
{
    expect(*state,
           "batch,follow,plant,count\nH1,tips,\"Hydrangea macrophylla\",\"\n\n  fifty\"\nH2,tips,,x\n",
           "H1 H2 ", "4:3 value <fifty>\n5:10 value <x>\n");
}

/* ------------------------------------------------------------------ stretches */

/* `rows` rows; %u in the form is the row. */
static const char *many_rows(Arena *arena, const char *heading, const char *form, unsigned rows)
{
    Buffer *out = buffer_in_memory(arena);
    buffer_text(out, heading);
    for (unsigned i = 1; i <= rows; i++)
        for (const char *c = form; *c; c++) {
            if (*c == '#')
                buffer_integer(out, i);
            else
                buffer_char(out, *c);
        }
    Slice all = buffer_slice_of(out);
    return arena_copy(arena, all.at, all.length);
}

static void test_equal_cells_are_one(void **state)
{
    Arena *arena = *state;
    Nursery *nursery = nursery_of(arena, "", 100);
    PlanTable *table = table_of(nursery, many_rows(arena, "batch,follow,depth (mm),plant\n",
                                                   "H#,tips,15,Hydrangea macrophylla\n", 5000));
    static const char *const fields[] = {"follow", "depth", "plant"};
    const Reading *first[CHECK_COUNT(fields)] = {0};
    uint32_t generation = 0;
    size_t rows = 0, stretches = 0;
    for (const Plan *plan; (plan = plan_table_next(table)); rows += plan->rows, stretches++) {
        if (!generation) generation = plan->generation;
        assert_int_equal(plan->generation, generation);
        for (size_t row = 0; row < plan->rows; row++)
            for (size_t i = 0; i < CHECK_COUNT(fields); i++) {
                if (!first[i]) first[i] = cell_of(plan, row, fields[i]);
                assert_ptr_equal(cell_of(plan, row, fields[i]), first[i]);
            }
    }
    assert_int_equal(rows, 5000);
    assert_int_equal(stretches, 3);
    plan_table_close(table);
}

/* Cells that are all different are forgotten now and then, under a new generation, and memory stays where it
 * is. */
static void test_generations(void **state)
{
    Arena *arena = *state;
    enum { ROWS = 40000 };
    Nursery *nursery = nursery_of(arena, "", 100);
    PlanTable *table =
        table_of(nursery, many_rows(arena, "batch,follow,count,depth\n", "H#,tips,#,# mm\n", ROWS));
    uint32_t generation = 0, changes = 0;
    size_t rows = 0, held = 0;
    for (const Plan *plan; (plan = plan_table_next(table)); rows += plan->rows) {
        changes += plan->generation != generation;
        assert_true(plan->generation >= generation);
        generation = plan->generation;
        if (!held) held = arena_size(arena);
        for (size_t row = 0; row < plan->rows; row++) {
            Number number = NUMBER((int64_t)(rows + row + 1));
            const Reading *count = cell_of(plan, row, "count"), *depth = cell_of(plan, row, "depth");
            assert_true(intervals_has(count->numbers, number) && intervals_has(depth->numbers, number));
        }
    }
    assert_int_equal(rows, ROWS);
    assert_in_range(changes, 3, ROWS / PLAN_ROWS + 1);
    assert_int_equal(arena_size(arena), held);
    assert_int_equal(notes_total(nursery->notes), 0);
    PlanTable *other = table_of(nursery, "batch,follow\nH1,tips\n"); /* another table: a new one too */
    assert_true(plan_table_next(other)->generation > generation);
    plan_table_close(other);
    plan_table_close(table);
}

/* A stretch ends early when its readings take too much: here 200 columns would hold 400,000. */
static void test_wide_tables(void **state)
{
    Arena *arena = *state;
    enum { ROWS = 3000 };
    Nursery *nursery = nursery_of(arena, "", 100);
    PlanTable *table = table_of(
        nursery,
        many_rows(arena,
                  "batch,follow,count,trays,depth,length,thickness,leaf-length,bare,cover,filled,rows,"
                  "apart,depth-top,wound-length,stem-above,stem-below,discard-tip\n",
                  "H#,tips,#,#,# mm,# mm,# mm,# mm,# mm,# mm,# mm,# mm,# mm,# mm,# mm,# mm,# mm,# mm\n",
                  ROWS));
    size_t rows = 0, stretches = 0;
    for (const Plan *plan; (plan = plan_table_next(table)); rows += plan->rows) {
        assert_true(intervals_has(cell_of(plan, 0, "discard-tip")->numbers, NUMBER((int64_t)rows + 1)));
        stretches++;
    }
    assert_int_equal(rows, ROWS);
    assert_true(stretches > 2);
    plan_table_close(table);
}

/* Unknown names and other faults in every row are all counted, and do not fill the memory. */
static void test_very_many_faults(void **state)
{
    Arena *arena = *state;
    enum { ROWS = 40000, KEPT = 10 };
    Nursery *nursery = nursery_of(arena, "", KEPT);
    PlanTable *table = table_of(
        nursery, many_rows(arena, "batch,follow,stands,count\n", "H#,nobody-#,bench; place-#,fifty\n", ROWS));
    size_t rows = 0, held = 0;
    for (const Plan *plan; (plan = plan_table_next(table)); rows += plan->rows) {
        assert_ptr_equal(cell_of(plan, 0, "stands"), &reading_spoiled);
        if (!held) held = arena_size(arena);
    }
    assert_int_equal(rows, ROWS);
    assert_int_equal(notes_count(nursery->notes, SEVERITY_ERROR), 3 * ROWS);
    assert_int_equal(arena_size(arena), held);
    plan_table_close(table);
}

/* Rows that are left out are shown as far as notes are kept; the others share one text. */
static void test_very_many_rows_left_out(void **state)
{
    Arena *arena = *state, *other = arena_new(check_exhausted);
    enum { ROWS = 100000, KEPT = 10, MOST = 4 << 20 };
    const char *text = many_rows(other, "batch,follow\n", "H#,tips,too,many,cells,to,be,a,row\n", ROWS);
    Source source = {.bytes = text, .length = strlen(text)};
    Nursery *nursery = nursery_of(arena, "", KEPT);
    size_t held = arena_size(arena);
    PlanTable *table = plan_table_open(nursery, "p.csv", give, &source, check_exhausted);
    assert_null(plan_table_next(table));
    assert_int_equal(notes_count(nursery->notes, SEVERITY_ERROR), ROWS);
    assert_true(arena_size(arena) < held + MOST);
    plan_table_close(table);
    arena_free(other);
}

static void test_reading_fails(void **state)
{
    Arena *arena = *state;
    static const char text[] = "batch,follow\nH1,tips\nH2";
    Outcome outcome = outcome_of(arena, (Source){text, sizeof text - 1, 0, 0, true});
    assert_string_equal(outcome.ids, "H1 ");
    assert_string_equal(outcome.faults, "");
    outcome = outcome_of(arena, (Source){text, 5, 0, 0, true});
    assert_string_equal(outcome.faults, "");
}

/* ------------------------------------------------------------------ places and records */

static void expect_place(const Plan *plan, size_t row, const Field *field, const char *place)
{
    Span span = plan_place(plan, row, field);
    Position at = text_position(span.text, span.begin);
    char text[64];
    snprintf(text, sizeof text, "%u:%u %.*s", at.line, at.column, SLICE_ARG(span_slice(span)));
    assert_string_equal(text, place);
}

static void test_places(void **state)
{
    Nursery *nursery = nursery_of(*state, "", 100);
    PlanTable *table =
        table_of(nursery, "batch,plant,follow,depth (mm)\nH1,\"Hydrangea\nmacrophylla\",tips,15\n"
                          "H2,\xC3\x96lweide,tips,\"16\"\nH3,,tips,\n");
    const Plan *plan = plan_table_next(table);
    assert_int_equal(plan->rows, 3);
    expect_place(plan, 0, NULL, "2:1 H1");
    expect_place(plan, 0, FIELD_ROW(FOLLOW), "3:14 tips");
    expect_place(plan, 0, FIELD_ROW(DEPTH), "3:19 15");
    expect_place(plan, 1, FIELD_ROW(DEPTH), "4:17 \"16\"");
    expect_place(plan, 2, FIELD_ROW(DEPTH), "5:1 H3"); /* not stated */
    expect_place(plan, 2, FIELD_ROW(STICK), "5:1 H3"); /* no such column */
    Span kept = plan_place(plan, 1, FIELD_ROW(FOLLOW));
    assert_ptr_equal(plan_place(plan, 1, NULL).text, kept.text); /* one text a row */
    assert_null(plan_table_next(table));
    plan_table_close(table);
    assert_true(slice_is(span_slice(kept), "tips")); /* as long as the nursery */
    assert_int_equal(text_position(kept.text, kept.begin).line, 4);
}

static void test_places_of_each_stretch(void **state)
{
    Arena *arena = *state;
    Nursery *nursery = nursery_of(arena, "", 100);
    PlanTable *table = table_of(nursery, many_rows(arena, "batch,follow\n", "H#,tips\n", 3 * PLAN_ROWS));
    unsigned rows = 0;
    for (const Plan *plan; (plan = plan_table_next(table)); rows += (unsigned)plan->rows)
        expect_place(plan, 0, NULL, arena_print(arena, "%u:1 H%u", rows + 2, rows + 1));
    assert_int_equal(rows, 3 * PLAN_ROWS);
    plan_table_close(table);
}

static void test_records(void **state)
{
    Arena *arena = *state;
    Nursery *nursery = nursery_of(arena, "", 100);
    PlanTable *table = table_of(nursery, "batch,follow\nR1,tips\nR2,tips\n");
    const Plan *plan = plan_table_next(table);
    assert_non_null(plan->records[0]);
    assert_true(plan->records[0]->type->kind == BLOCK_RECORD);
    assert_null(plan->records[1]);
    plan_table_close(table);
}

/* What a batch says as the one before it said it is one reading; words are not, as they have places. */
static void test_alike_blocks(void **state)
{
    Arena *arena = *state;
    Nursery *nursery = nursery_of(arena,
                                  "batch A1 { follow tips; depth 20 mm; count 50 }\n"
                                  "batch A2 { follow tips; depth 20 mm; count 60 }\n"
                                  "batch A3 { follow tips; depth 2 cm; count 50 }\n",
                                  100);
    const Plan *plan = plan_of_blocks(nursery);
    assert_int_equal(plan->rows, 4); /* B1 stands in every nursery of these tests */
    assert_ptr_equal(cell_of(plan, 0, "depth"), cell_of(plan, 1, "depth"));
    assert_ptr_not_equal(cell_of(plan, 1, "depth"), cell_of(plan, 2, "depth"));
    assert_ptr_not_equal(cell_of(plan, 0, "count"), cell_of(plan, 1, "count"));
    assert_ptr_not_equal(cell_of(plan, 0, "follow"), cell_of(plan, 1, "follow"));
    assert_true(reading_equal(cell_of(plan, 0, "follow"), cell_of(plan, 1, "follow")));
}

static void test_blocks(void **state)
{
    Arena *arena = *state;
    Nursery *nursery = nursery_of(arena,
                                  "batch A1 { follow tips; count 50 }\n"
                                  "batch C1 { follow nobody; depth 15; stands bench; stands nowhere }\n"
                                  "record A1 { 18 Jun 2027 stuck 50 }\n",
                                  100);
    const Plan *plan = plan_of_blocks(nursery);
    assert_int_equal(plan->rows, 3);
    assert_int_equal(plan->generation, 1); /* 0 is that of nothing remembered */
    assert_true(slice_is(plan->ids[0], "A1") && slice_is(plan->ids[1], "B1") && slice_is(plan->ids[2], "C1"));
    assert_non_null(plan->records[0]);
    assert_null(plan->records[1]);
    assert_null(cell_of(plan, 0, "depth"));
    assert_null(cell_of(plan, 1, "count"));
    assert_null(cell_of(plan, 1, "stick"));
    assert_int_equal(cell_of(plan, 1, "stands")->standing_count, 2);
    assert_ptr_equal(cell_of(plan, 2, "follow"), &reading_spoiled);
    assert_ptr_equal(cell_of(plan, 2, "depth"), &reading_spoiled);
    assert_ptr_equal(cell_of(plan, 2, "stands"), &reading_spoiled);
    expect_place(plan, 1, FIELD_ROW(DEPTH), "8:31 15 mm");
    expect_place(plan, 1, FIELD_ROW(STICK), "8:7 B1");
    expect_place(plan, 1, NULL, "8:7 B1");
    for (size_t column = 0; column < plan->column_count; column++)
        assert_int_equal(plan->column_of[plan->columns[column]->number], column);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        CHECK_WITH_ARENA(test_cells_are_clauses),
        CHECK_WITH_ARENA(test_plain_numbers),
        CHECK_WITH_ARENA(test_unstated),
        CHECK_WITH_ARENA(test_headings_wrong),
        CHECK_WITH_ARENA(test_heading_of_a_bad_unit_spoils),
        CHECK_WITH_ARENA(test_number_of_columns),
        CHECK_WITH_ARENA(test_good_tables),
        CHECK_WITH_ARENA(test_rows_left_out),
        CHECK_WITH_ARENA(test_cell_too_long),
        CHECK_WITH_ARENA(test_ids),
        CHECK_WITH_ARENA(test_cells_wrong),
        CHECK_WITH_ARENA(test_names_unknown),
        CHECK_WITH_ARENA(test_faults_are_not_remembered),
        CHECK_WITH_ARENA(test_faults_below_the_first_line),
        CHECK_WITH_ARENA(test_equal_cells_are_one),
        CHECK_WITH_ARENA(test_generations),
        CHECK_WITH_ARENA(test_wide_tables),
        CHECK_WITH_ARENA(test_very_many_faults),
        CHECK_WITH_ARENA(test_very_many_rows_left_out),
        CHECK_WITH_ARENA(test_reading_fails),
        CHECK_WITH_ARENA(test_places),
        CHECK_WITH_ARENA(test_places_of_each_stretch),
        CHECK_WITH_ARENA(test_records),
        CHECK_WITH_ARENA(test_blocks),
        CHECK_WITH_ARENA(test_alike_blocks),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
